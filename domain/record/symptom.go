package record

import (
	_ "embed"
	"math"
	"slices"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"boardlore/domain/message"
)

//go:embed synonyms.txt
var synonymsFile string

// MaxWords bounds a question's words; a symptom is told in fewer.
const MaxWords = 12

// maxLetters bounds one of them, bytes: an index takes no longer ones.
const maxLetters = 200

// idle are words that say nothing of a symptom.
var idle = map[string]bool{"a": true, "an": true, "the": true, "of": true, "on": true, "at": true, "in": true,
	"when": true, "is": true, "it": true,
	"and": true, "with": true, "to": true, "der": true, "die": true, "das": true, "und": true, "bei": true,
	"nach": true, "le": true, "la": true, "les": true,
	"de": true, "du": true, "des": true, "et": true, "un": true, "une": true, "after": true, "from": true, "very": true}

// Words are the words of a text in the form in which they are compared: lower
// case, without accents, and without the endings that only bend a word.
func Words(text string) []string {
	var b strings.Builder
	for _, r := range norm.NFKD.String(strings.ToLower(text)) {
		if !unicode.Is(unicode.Mn, r) && r != '\'' && r != '’' {
			b.WriteRune(r)
		}
	}
	out := strings.FieldsFunc(b.String(), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	for i, w := range out {
		out[i] = stem(w)
	}
	return out
}

// stem takes off what only bends a word, where enough of it stays.
func stem(w string) string {
	for _, end := range []string{"ing", "ed", "es", "s"} {
		if s, ok := strings.CutSuffix(w, end); ok && len(s) >= 4 && !strings.HasSuffix(w, "ss") {
			return s
		}
	}
	return w
}

// lexicon is the file of synonyms, read.
type lexicon struct {
	groups  [][]string       // the words of each group's terms, stemmed
	phrases map[string][]int // first word → terms
	terms   []term
}

type term struct {
	words []string
	group int
}

var synonyms = sync.OnceValue(func() *lexicon {
	l := &lexicon{phrases: map[string][]int{}}
	for _, line := range strings.Split(synonymsFile, "\n") {
		if line == "" || line[0] == '#' {
			continue
		}
		var all []string
		for _, t := range strings.Split(line, ",") {
			ws := Words(t)
			l.phrases[ws[0]] = append(l.phrases[ws[0]], len(l.terms))
			l.terms = append(l.terms, term{ws, len(l.groups)})
			all = append(all, ws...)
		}
		slices.Sort(all)
		l.groups = append(l.groups, slices.Compact(all))
	}
	for _, at := range l.phrases { // the longest first
		slices.SortFunc(at, func(a, b int) int { return len(l.terms[b].words) - len(l.terms[a].words) })
	}
	return l
})

// Question is what somebody notices, ready to be compared with symptoms.
type Question struct {
	senses []sense
}

// sense is one thing that a text says: a group of synonyms, or a word of none.
type sense struct {
	group int // -1 for none
	word  string
}

// sensesOf reads a text, the longest known phrases first.
func sensesOf(text string) []sense {
	l, ws := synonyms(), Words(text)
	var out []sense
	for i := 0; i < len(ws); {
		s, n := sense{-1, ws[i]}, 1
		for _, t := range l.phrases[ws[i]] {
			if tw := l.terms[t].words; len(tw) <= len(ws)-i && slices.Equal(tw, ws[i:i+len(tw)]) {
				s, n = sense{l.terms[t].group, ""}, len(tw)
				break
			}
		}
		if i += n; s.group < 0 && idle[s.word] || slices.Contains(out, s) {
			continue
		}
		out = append(out, s)
	}
	return out
}

// Ask reads a question; ok is false where it holds no word, too many, or one that
// is too long for any.
func Ask(text string) (q Question, ok bool) {
	q.senses = sensesOf(text)
	long := slices.ContainsFunc(q.senses, func(s sense) bool { return len(s.word) > maxLetters })
	return q, len(q.senses) > 0 && len(q.senses) <= MaxWords && !long
}

// Match tells whether a symptom says all that the question does.
func (q Question) Match(symptom string) bool {
	said := sensesOf(symptom)
	for _, s := range q.senses {
		if !slices.Contains(said, s) {
			return false
		}
	}
	return true
}

// Any lists, for each sense of the question, the words of which a matching
// text has at least one: what an index can look for before Match.
func (q Question) Any() [][]string {
	out := make([][]string, len(q.senses))
	for i, s := range q.senses {
		out[i] = []string{s.word}
		if s.group >= 0 {
			out[i] = synonyms().groups[s.group]
		}
	}
	return out
}

// Suspect is a position or a failure point that may be behind a symptom, with
// the units of its board counted.
type Suspect struct {
	Board      string
	Point      string // ID of a failure point; "" for a position
	Designator string
	Title      string
	Told       string   // symptom of the map that the question matches; "" for none
	Beside     []string // positions of which one had failed in the units that are meant; nil for a symptom
	With       int      // units with the symptom
	Had        int      // those of them that had it
	Without    int      // units without the symptom
	OtherHad   int      // those of them that had it
}

// Ranked is a suspect with its score, ready to be told.
type Ranked struct {
	Board      string  `json:"board"`
	ID         string  `json:"id,omitzero"`         // of a failure point
	Designator string  `json:"designator,omitzero"` // of a position
	Title      string  `json:"title"`
	Score      float64 `json:"score"` // natural logarithm of the odds ratio
	Units      int     `json:"units"` // with such a symptom
	Share
	Why []message.Message `json:"why"`
}

// Odds is the natural logarithm of the ratio of the odds that it had failed
// among the units with a symptom to those among the units without, half a unit
// added to each of the four counts (Haldane 1956, Anscombe 1956), so that none
// is nought.
func Odds(had, hadNot, otherHad, otherHadNot int) float64 {
	return math.Log((float64(had) + 0.5) * (float64(otherHadNot) + 0.5) / ((float64(hadNot) +
		0.5) * (float64(otherHad) + 0.5)))
}

// Rank scores suspects and puts the likeliest first.
func Rank(suspects []Suspect) []Ranked {
	out := make([]Ranked, 0, len(suspects))
	for _, s := range suspects {
		out = append(out, Ranked{Board: s.Board, ID: s.Point, Designator: s.Designator, Title: s.Title, Units: s.With,
			Share: ShareOf(s.Had, s.With),
			Score: Odds(s.Had, s.With-s.Had, s.OtherHad, s.Without-s.OtherHad), Why: s.why()})
	}
	slices.SortStableFunc(out, func(a, b Ranked) int {
		switch {
		case a.Score != b.Score:
			if a.Score > b.Score {
				return -1
			}
			return 1
		case a.Board != b.Board:
			return strings.Compare(a.Board, b.Board)
		case (a.ID == "") != (b.ID == ""): // the failure point says what to do
			return len(b.ID) - len(a.ID)
		}
		return 0
	})
	return out
}

// why gives the reasons, each in words and counts.
func (s *Suspect) why() []message.Message {
	out := []message.Message{}
	if s.Beside != nil {
		out = append(out, message.Of("symptom.beside", s.Had, s.With, message.Or(s.Beside)))
		if s.Without > 0 {
			out = append(out, message.Of("symptom.not-beside", s.OtherHad, s.Without))
		}
		return out
	}
	if s.Told != "" {
		out = append(out, message.Of("symptom.told", s.Told))
	}
	if s.With > 0 {
		out = append(out, message.Of("symptom.with", s.Had, s.With))
	} else {
		out = append(out, message.Of("symptom.new"))
	}
	if s.Without > 0 {
		out = append(out, message.Of("symptom.without", s.OtherHad, s.Without))
	}
	return out
}
