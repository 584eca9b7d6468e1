package board

import (
	"regexp"
	"slices"
	"strings"
	"unicode"
)

// topic is something that a text may speak of and that can hurt whoever goes
// by it: a set.
type topic uint8

const (
	aboutPolarity topic = 1 << iota
	aboutVoltage
	aboutPower      // power-up, and working with the power on
	aboutSubstitute // another part, or none, instead
	aboutSafety     // mains, charge, cells, fuses, and what is said to be safe
	unread          // letters of a script that no list here has a word of
)

// topical is what makes a note or a replacement's reason one that a second
// reviewer has to read.
const topical = aboutPolarity | aboutVoltage | aboutPower | aboutSubstitute | unread

// lexicon holds the words of a topic in the languages that are read: English,
// German, French, Spanish, Italian, Dutch, Polish and Russian, in lower case.
// A stem stands for every word that begins with it, a whole word for itself.
type lexicon struct {
	topic topic
	stems string
	whole string
}

// The lists are common practice. They are made to find too much rather than
// too little: what they find is read by a second reviewer, nothing more.
var lexicons = []lexicon{
	{aboutPolarity,
		`polar polung verpol positiv négativ negativ anod cathod kathod katod stripe streifen revers invers inverti inverti vertausch
		 umgekehrt verkehrt umgedreht andersherum andersrum rückwärts backward flip rotat orient envers retourn rovesci capovol
		 contrari upside mirror spiegel turned swapped полярн плюс минус положит отрицат анод катод полос переверн наоборот
		 biegun dodatni ujemn odwrot omgekeer`,
		`plus minus + band bande banda moins más menos più meno`},
	{aboutVoltage,
		`volt spannung tension tensión tensione napięci spanning напряж вольт rating rated overvolt undervolt`,
		`v vdc vac ac dc kv mv hv ht`},
	{aboutPower,
		`power energis energiz einschalt eingeschalt anschalt angeschalt einsteck eingesteck allum brancher branché sous-tension включ
		 подключ подать encend enchuf conect accend aanzet ingeschakeld włącz zasilan live spannungsführend netzstecker`,
		`plugged strom courant`},
	{aboutSubstitute,
		`substitut instead ersatz anstatt anstelle equivalent équivalent äquivalent alternativ bridg bypass
		 jumper shorted shorting überbrück kurzschl kurzgeschl brück pontage ponter shunt court-circuit вместо перемыч закорот
		 замк sustituto puente puentea sostituto ponticell overbrug zamiast zwor omit unnecessar unneeded
		 überflüssig weglass weggelass entfall inutile superflu лишн swap exchang interchang`,
		`statt lieu link wire draht short any egal skip leave without ohne sans без senza zonder bez foil folie`},
	{aboutSafety,
		`fuse sicher fusibl предохр fusible bezpiecz zeker cell batter akku zelle pile accu элемент батар charg gelad entlad laden
		 décharg заряд разряд descarg scaric caric ontla rozład mains netz secteur réseau сеть сети rete sieć unplug safe sûr
		 безопас segur sicur veilig danger gefahr gefähr опас peligr pericol gevaar touch berühr anfass toucher касат tocar toccar
		 aanraken dotyk shock schlag choc удар fire feuer пожар explo burst platz electrolyt elektrolyt lithium x2 y2
		 empties ignor harmless harmlos ungefährlich inoffensif isolat isolier earth erd masse terre earthed discharg capacitor
		 kondensator condensat конденсат reservoir regulator regler`,
		`hot-side need needed needs nötig nécessaire нужно plug stecker fiche вилка`},
}

type wordLists struct {
	stems []string
	whole map[string]bool
}

// turnedPhrases say that something stands the other way round.
var turnedPhrases = []string{"way round", "other way", "anders herum", "anders rum", "au contraire", "al revés", "wrong way"}

// topicWords holds the lists taken apart, by topic.
var topicWords = func() map[topic]wordLists {
	out := map[topic]wordLists{}
	for _, l := range lexicons {
		w := wordLists{stems: strings.Fields(l.stems), whole: map[string]bool{}}
		for _, s := range strings.Fields(l.whole) {
			w.whole[s] = true
		}
		out[l.topic] = w
	}
	return out
}()

// voltPattern finds a figure with a volt sign behind it.
var voltPattern = regexp.MustCompile(`[0-9]\s*[kmµμ]?[Vv](?:[^\pL]|$|dc|ac|DC|AC)`)

// replacedBy finds what is put in place of something, in either order of the
// words: "replaced by", "durch … ersetzt". That something is often replaced
// says nothing of a substitute.
var replacedBy = regexp.MustCompile(`(?i)(?:replac|ersetz|remplac|reemplaz|sostitui|vervang|zamien|замен)\pL*(?:\s+\pL+){0,3}?\s+(?:by|with|durch|mit|gegen|par|por|con|door|przez|на)(?:[^\pL]|$)|(?:^|[^\pL])durch\s.*ersetz`)

// topicsOf says what a text speaks of.
func topicsOf(text string) topic {
	var t topic
	if voltPattern.MatchString(text) {
		t |= aboutVoltage
	}
	if strings.ContainsFunc(text, foreignLetter) {
		t |= unread
	}
	if replacedBy.MatchString(text) {
		t |= aboutSubstitute
	}
	if slices.ContainsFunc(turnedPhrases, func(s string) bool { return strings.Contains(strings.ToLower(text), s) }) {
		t |= aboutPolarity
	}
	for _, word := range strings.FieldsFunc(strings.ToLower(text), betweenWords) {
		for k, l := range topicWords {
			if t&k == 0 && (l.whole[word] || l.has(strings.Trim(word, "-−+"))) {
				t |= k
			}
		}
	}
	return t
}

func (l *wordLists) has(word string) bool {
	if word == "" {
		return false
	}
	if l.whole[word] {
		return true
	}
	for _, s := range l.stems {
		if strings.HasPrefix(word, s) {
			return true
		}
	}
	return false
}

// betweenWords tells what parts words; signs stay, since a + alone is a word.
func betweenWords(r rune) bool {
	return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '+' && r != '-' && r != '−'
}

// foreignLetter tells a letter of a script that no list has a word of.
func foreignLetter(r rune) bool {
	return unicode.IsLetter(r) && !unicode.In(r, unicode.Latin, unicode.Cyrillic, unicode.Greek, unicode.Common)
}

// speaks tells whether a text, old or new, is of one of the topics.
func speaks(of topic, texts ...string) bool {
	for _, s := range texts {
		if topicsOf(s)&of != 0 {
			return true
		}
	}
	return false
}

// typographic are signs that differ in nothing but their look.
var typographic = strings.NewReplacer("“", `"`, "”", `"`, "„", `"`, "«", `"`, "»", `"`, "‘", "'", "’", "'", "‚", "'",
	"–", "-", "—", "-", "‐", "-", "‑", "-", "−", "-", "…", "...", "\u00a0", " ", "\u202f", " ", "\u2009", " ", "μ", "µ", "\u2126", "Ω")

// unitSpace is the space between a figure and its unit.
var unitSpace = regexp.MustCompile(`([0-9])\s+([kMGmµnp]?(?:[VAWFHΩ]|Hz|Ah|°C|%)(?:[^\pL]|$))`)

// sameWords tells that two texts differ in nothing but case, spacing and the
// look of their punctuation.
func sameWords(a, b string) bool { return a == b || plain(a) == plain(b) }
