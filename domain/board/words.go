package board

import (
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"boardlore/domain/message"
)

// words of the lexicon, by what finds them.
var (
	wholeWords, wordStems = map[string]topic{}, map[string]topic{}
	topicPhrases          []topicPhrase
	longestStem           int // bytes
)

type topicPhrase struct {
	topic topic
	text  string // with the blank before it
}

func init() {
	for _, l := range lexicon {
		for _, s := range strings.Fields(l.stems) {
			wordStems[s] |= l.topic
			longestStem = max(longestStem, len(s))
		}
		for _, s := range strings.Fields(l.whole) {
			wholeWords[s] |= l.topic
		}
		for s := range strings.SplitSeq(l.phrases, ",") {
			if s = strings.TrimSpace(s); s != "" {
				topicPhrases = append(topicPhrases, topicPhrase{l.topic, " " + s})
			}
		}
	}
}

// rates tells a figure with the sign of a voltage, a current or a power behind
// it. Order codes have letters and figures after theirs.
func rates(text string) bool {
	for i := 0; i < len(text); i++ {
		if text[i] < '0' || text[i] > '9' {
			continue
		}
		rest := strings.TrimLeft(text[i+1:], " \t\n")
		for _, p := range [...]string{"k", "m", "µ", "μ"} {
			if s, there := strings.CutPrefix(rest, p); there {
				rest = s
				break
			}
		}
		if rest == "" {
			return false
		}
		next, _ := utf8.DecodeRuneInString(rest[1:])
		switch after := rest[1:]; rest[0] {
		case 'V', 'v':
			if after == "" || !unicode.IsLetter(next) || hasAnyPrefix(after, "dc", "ac", "DC", "AC") {
				return true
			}
		case 'A', 'W':
			if after == "" || !unicode.IsLetter(next) && !unicode.IsDigit(next) {
				return true
			}
		}
	}
	return false
}

func hasAnyPrefix(s string, prefixes ...string) bool {
	return slices.ContainsFunc(prefixes, func(p string) bool { return strings.HasPrefix(s, p) })
}

// replacedBy finds what is put in place of something, in either order of the
// words: "replaced by", "durch … ersetzt". That something is often replaced
// says nothing of a substitute.
var replacedBy = regexp.MustCompile(`(?i)(?:replac|ersetz|remplac|reemplaz|sostitui|vervang|zamien|замен)\pL*(?:\s+\pL+){0,3}?\s+(?:by|with|durch|mit|gegen|par|por|con|door|przez|на)(?:[^\pL]|$)|(?:^|[^\pL])durch\s.*ersetz`)

// replacing are the stems without which replacedBy finds nothing.
var replacing = []string{"replac", "ersetz", "remplac", "reemplaz", "sostitui", "vervang", "zamien", "замен"}

// addresses of what stands elsewhere and is judged by nobody begin so.
var addresses = []string{"http:", "https:", "www."}

// bare is a text without what is there to part or to hide its words: soft
// hyphens, joiners, marks struck through letters, letters of another width.
func bare(text string) string {
	if ascii(text) {
		return text
	}
	return strings.Map(func(r rune) rune {
		if unicode.In(r, unicode.Cf, unicode.Mn, unicode.Me) {
			return -1
		}
		return r
	}, norm.NFKC.String(text))
}

func ascii(s string) bool {
	for i := range len(s) {
		if s[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// topicsOf says what a text speaks of.
func topicsOf(text string) topic { return topicsIn(text, 0) }

// topicsIn says what a text speaks of, and stops at the first topic that is
// enough.
func topicsIn(text string, enough topic) topic {
	var t topic
	text = bare(text)
	if rates(text) {
		t |= aboutVoltage
	}
	lower := strings.ToLower(text)
	holds := func(s string) bool { return strings.Contains(lower, s) }
	if slices.ContainsFunc(replacing, holds) && replacedBy.MatchString(text) {
		t |= aboutSubstitute
	}
	if slices.ContainsFunc(addresses, holds) {
		t |= unread
	}
	if enough&unheard != 0 && !plainText(lower) {
		t |= unheard
	}
	if enough&leads != 0 && leadsSomewhere(lower) {
		t |= leads
	}
	single, before := "", "" // letters that stand alone, one after the other; and the word before
	for word := range strings.FieldsFuncSeq(lower, betweenWords) {
		if t |= topicsOfWord(word) | tornTopics(before, word); t&enough != 0 {
			return t
		}
		before = word
		if utf8.RuneCountInString(word) > 1 {
			single = ""
		} else if single += word; len(single) > 2 {
			t |= stemTopics(single)
		}
	}
	spaced := " " + strings.Join(strings.Fields(lower), " ")
	for i := range topicPhrases {
		if p := &topicPhrases[i]; t&p.topic == 0 && strings.Contains(spaced, p.text) {
			t |= p.topic
		}
	}
	return t
}

// topicsOfWord says what a word speaks of, and its parts between hyphens.
func topicsOfWord(word string) topic {
	t := wholeWords[word]
	word = strings.Trim(word, "-−+")
	t |= wholeWords[word] | stemTopics(word)
	if otherTongues[word] || !ascii(word) && strange(word) {
		t |= unread
	}
	if strings.Contains(word, "-") {
		for part := range strings.SplitSeq(word, "-") {
			t |= wholeWords[part] | stemTopics(part)
		}
	}
	if spelledWithFigures(word) {
		t |= stemTopics(figuresToLetters.Replace(word))
	}
	return t
}

// shortestTorn is how long a stem is, at least, that a word torn in two is known by.
const shortestTorn = 5

// tornTopics says what two words speak of that are one, torn where neither of
// them is a word.
func tornTopics(a, b string) topic {
	if a = strings.TrimRight(a, "-"); len(a) < 2 || len(a)+len(b) < shortestTorn || plainWord[a] &&
		(plainWord[b] || len(a) > 2) || leadingWord[a] {
		return 0
	}
	var t topic
	whole := a + b
	for n := len(a) + 1; n <= min(len(whole), longestStem); n++ {
		if n >= shortestTorn {
			t |= wordStems[whole[:n]]
		}
	}
	return t
}

// stemTopics says what the stems that a word begins with speak of.
func stemTopics(word string) topic {
	var t topic
	for n := range word {
		if n > longestStem {
			return t
		}
		t |= wordStems[word[:n]]
	}
	return t | wordStems[word]
}

// spelledWithFigures tells a word with a figure or two in place of letters.
// Designators and order codes rarely have small letters on both sides.
func spelledWithFigures(word string) bool {
	left := strings.TrimLeftFunc(word, unicode.IsLetter)
	right := strings.TrimLeftFunc(left, unicode.IsDigit)
	n := len(left) - len(right)
	return len(left) < len(word) && (n == 1 || n == 2) && right != "" && strings.TrimLeftFunc(right,
		unicode.IsLetter) == ""
}

var figuresToLetters = strings.NewReplacer("0", "o", "1", "l", "3", "e", "4", "a", "5", "s", "7", "t")

// units are Greek letters that stand for units and their prefixes.
var units = strings.NewReplacer("ω", "", "µ", "", "μ", "")

// strange tells a word of a script or a language that no list here has a word
// of, or of two scripts at once.
func strange(word string) bool {
	var latin, other bool
	for _, r := range units.Replace(word) {
		switch {
		case r < unicode.MaxASCII:
			latin = latin || unicode.IsLetter(r)
		case !unicode.IsLetter(r):
		case !strings.ContainsRune(ownLetters, r):
			return true
		case unicode.Is(unicode.Cyrillic, r):
			other = true
		default:
			latin = true
		}
	}
	return latin && other
}

// betweenWords tells what parts words; signs stay, since a + alone is a word.
func betweenWords(r rune) bool {
	return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '+' && r != '-' && r != '−'
}

// speaks tells whether a text, old or new, is of one of the topics.
func speaks(of topic, texts ...string) bool {
	for _, s := range texts {
		if s != "" && topicsIn(s, of)&of != 0 {
			return true
		}
	}
	return false
}

// softened says why a title that stands above everything bears on safety: it
// speaks of something grave that it did not speak of, or no longer does.
func softened(what, a, b string) []weak {
	const grave = aboutPolarity | aboutPower | aboutSubstitute | aboutSafety | aboutEase | unread
	if sameWords(a, b) || (topicsOf(a)^topicsOf(b))&grave == 0 && !graveWords(grave, a, b) {
		return nil
	}
	return []weak{{message.Of("hazard.says-else", message.Word("wording", what)), quotedOrNothing(a),
		quotedOrNothing(b)}}
}

// graveWords tells whether a word that came or went speaks of one of the topics.
func graveWords(of topic, a, b string) bool {
	x, y := wordsOf(a), wordsOf(b)
	return speaks(of, slices.Concat(without(x, y), without(y, x))...)
}

// typographic are signs that differ in nothing but their look.
var typographic = strings.NewReplacer("“", `"`, "”", `"`, "„", `"`, "«", `"`, "»", `"`, "‘", "'", "’", "'", "‚", "'",
	"–", "-", "—", "-", "‐", "-", "‑", "-", "−", "-", "…", "...", "\u00a0", " ", "\u202f", " ", "\u2009", " ", "μ", "µ",
	"\u2126", "Ω")

// sameWords tells that two texts differ in nothing but case, spacing and the
// look of their punctuation.
func sameWords(a, b string) bool { return a == b || unstyled(a) == unstyled(b) }
