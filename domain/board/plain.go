package board

import (
	"regexp"
	"slices"
	"strings"
)

// A note on a part with a direction is read by a second reviewer where it may
// say which way round, how much or what instead, whatever it calls the stripe:
// where it has a word that leads somewhere or compares, a figure that may be a
// rating, a colour beside a place, a drawing that is called bad, or a word that is
// not known. Words that lead and compare are few in every language, names of stripes
// are not. The words stand in plain_words.go.

var plainWord, colourWord, leadingWord = wordSet(plainWords), wordSet(colourWords), wordSet(leadingWords)

// frailWord and wetWord are for cautions: what cuts, springs and breaks, and what
// a board must not be treated with.
var frailWord, wetWord = wordSet(frailWords), wordSet(wetWords)

var (
	denying         = wordSet(denyingWords)
	allWord         = wordSet("all any every each both other others alle allen jede jeden beide andere anderen tous toutes todos todas tutti tutte wszystkie все")
	protectiveStems = strings.Fields(protectiveWords)
)

// figured finds a figure, the rest of its number and a unit behind it.
var figured = regexp.MustCompile(`\d+(?:\s*[.,/]\s*\d+)*\s*(?:([µμa-zω%°]{1,3})(?:[^\pL\d]|$))?`)

// measuredIn are the units of what is measured rather than borne. Volts,
// amperes and watts are words of the ratings.
var measuredIn = wordSet("mm cm m % ° °c mω ω kω mohm ohm kohm pf nf µf μf uf mf nh µh μh uh mh hz khz mhz h min g")

// namedPart finds a designator: letters and a number.
var namedPart = regexp.MustCompile(`^[a-z]{1,3}\d{1,4}[a-z]?$`)

// plainPhrases say nothing either, though a word of them alone might.
var plainPhrases = strings.NewReplacer(append(blanked(reasonPhrases), "to read", "", "to see", "", "to find", "", "to get at", "", "to reach", "",
	"next to", "near", "lasts longer", "", "keep it straight", "", "break easily", "", "breaks easily", "",
	"remove the shield", "", "remove the cover", "", "remove the lid", "", "remove the screws", "",
	"remove the heatsink", "", "remove the bracket", "", "remove the knobs", "", "remove the glue", "",
	"remove the board", "",
	"solder joint", "", "not legible", "", "not readable", "", "on top of", "", "of the same sort", "", "of the same kind", "", "of the same type", "", "than the others", "", "front panel", "", "rear panel", "",
	"nicht lesbar", "", "ab werk", "")...)

// blanked pairs each phrase with nothing.
func blanked(phrases string) (pairs []string) {
	for phrase := range strings.SplitSeq(phrases, ",") {
		pairs = append(pairs, strings.Join(strings.Fields(phrase), " "), "")
	}
	return pairs
}

// placeWords say that something is beside something.
var placeWords = wordSet(`near beside next close by at behind under between neben bei beim hinter unter zwischen
	près derrière entre chez cerca junto vicino accanto bij naast przy obok у возле`)

// plainText tells a text, in lower case, that says nothing of a direction, a
// rating or a substitute for all that its words tell.
func plainText(lower string) bool {
	colour, place, drawn, judged := false, false, false, false
	if alike.MatchString(lower) || nounless.MatchString(lower) {
		return false
	}
	text := plainPhrases.Replace(withoutNames(lower, &place))
	for word := range strings.FieldsFuncSeq(figured.ReplaceAllStringFunc(text, unlessPlain), betweenWords) {
		word = strings.Trim(word, "-−+")
		place = place || placeWords[word]
		switch {
		case word == "" || leadingWord[word] || word == rating: // "": a sign alone
			return false
		case colourWord[word]:
			colour = true
		case !isPlain(word):
			return false
		}
		drawn, judged = drawn || drawnWords[word], judged || judgingWords[word]
	}
	return !(colour && place) && !(drawn && judged)
}

func isPlain(word string) bool {
	return plainWord[word] || plainWord[strings.TrimSuffix(word, "s")] || strings.Contains(word, "-") &&
		plainParts(word)
}

// drawnWords are what people go by; judgingWords call it right or wrong.
var (
	drawnWords = wordSet(`drawing picture pictures photograph photographs photo photos schematic manual list lists label labels sleeve sleeves
		zeichnung bild foto plan schaltplan stückliste etikett aufschrift dessin schéma étiquette dibujo esquema etiqueta disegno schema etichetta`)
	judgingWords = wordSet(`bad good poor worse worst better best fault faulty faults suspect fine weak known fail fails failed failing failure obsolete revised undocumented
		defekt defekte besser lepiej meglio mejor mieux лучше`)
)

// alike finds a part that another is said to be like.
var alike = regexp.MustCompile(`(?:^|\s)(?:like|as|wie|comme|como|come|zoals|jak|как)\s+\pL{1,3} ?\d{1,4}`)

// nounless finds something told by its look alone that sits or goes somewhere:
// an end of a part.
var nounless = regexp.MustCompile(`(?:^|\s)(?:the|der|die|das|le|la|el|lo|il|de|het)\s+(?:painted|stamped|printed|shiny|dull|dented|scratched|stained|darkened|` +
	`yellowed|bleached|clear|cloudy|smooth|rough|flat|round|thin|thick|tall|taller|wide|longer|shorter|longest|shortest)\s+(?:goes|go|sits|stands|lies|is|belongs|fits)(?:\s|$)`)

// plainTexts tells texts that are all plain, and of nothing wet.
func plainTexts(texts ...string) bool {
	return !slices.ContainsFunc(texts, func(s string) bool {
		return s != "" && (!plainText(strings.ToLower(bare(s))) || slices.ContainsFunc(wordsOf(s),
			func(w string) bool { return wetWord[w] }))
	})
}

// plainCaution tells a caution that is of nothing but edges, springs and what
// breaks: of all others only a person can say that they warn of the right thing.
func plainCaution(text string) bool {
	for _, word := range wordsOf(plainPhrases.Replace(strings.ToLower(bare(text)))) {
		if wetWord[word] || !isPlain(word) && !frailWord[word] && !namedPart.MatchString(word) {
			return false
		}
	}
	return true
}

// leadsSomewhere tells a text, in lower case, with a word that leads somewhere
// or compares, or a colour: by those, pins are told.
func leadsSomewhere(lower string) bool {
	for word := range strings.FieldsFuncSeq(plainPhrases.Replace(lower), betweenWords) {
		if leadingWord[word] || colourWord[word] {
			return true
		}
	}
	return false
}

// rating stands for a figure that may be one.
const rating = "0"

// withoutNames takes the names of parts out of a text, and notes that there are.
func withoutNames(lower string, found *bool) string {
	words := strings.Fields(lower)
	for i, w := range words {
		if namedPart.MatchString(strings.TrimRight(w, ".,;:!?")) {
			words[i], *found = "", true
		}
	}
	return strings.Join(words, " ")
}

// unlessPlain takes a number out of a text where it is a measured quantity, a
// year or a date code, or a count of few, and puts rating in for any other.
func unlessPlain(number string) string {
	digits := strings.TrimRight(number, " \t\n.,;:!?)µμω°%abcdefghijklmnopqrstuvwxyz")
	unit := strings.Trim(number[len(digits):], " \t\n.,;:!?)")
	switch {
	case measuredIn[unit]:
		return " "
	case strings.Trim(digits, "0123456789") != "" || len(digits) != 1 && len(digits) != 4:
		return " " + rating + " "
	}
	return " " + unit + " "
}

func plainParts(word string) bool {
	for part := range strings.SplitSeq(word, "-") {
		if !plainWord[part] && !colourWord[part] {
			return false
		}
	}
	return true
}

// turnedRound tells two texts that differ in nothing but a figure, a colour or
// a word that stands on one axis with the other's: left and right, first and
// last. A quantity that was measured anew is none.
func turnedRound(a, b string) bool {
	x, y := wordsOf(a), wordsOf(b)
	if len(x) != len(y) {
		return false
	}
	turned := false
	for i := range x {
		switch {
		case x[i] == y[i]:
		case isFigure(x[i]) && isFigure(y[i]):
			turned = turned || !measuredIn[unitBehind(y, i)]
		case axisOf[x[i]] != 0 && axisOf[x[i]]&axisOf[y[i]] != 0:
			turned = true
		default:
			return false
		}
	}
	return turned
}

func wordsOf(text string) []string {
	return strings.FieldsFunc(strings.ToLower(bare(text)), betweenWords)
}

func isFigure(word string) bool { return strings.Trim(word, "+-−0123456789") == "" }

// unitBehind gives the word behind a number, whose places behind the point
// count as words of their own.
func unitBehind(words []string, i int) string {
	for i++; i < len(words); i++ {
		if !isFigure(words[i]) {
			return words[i]
		}
	}
	return ""
}

// axisOf gives the axes that a word stands on, as a set.
var axisOf = func() map[string]uint64 {
	of := map[string]uint64{}
	for i, line := range append(strings.Split(axes, "\n"), strings.ReplaceAll(colourWords, "\n", " ")) {
		for _, w := range strings.Fields(line) {
			of[w] |= 1 << i
		}
	}
	return of
}()
