package list

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode"

	"boardlore/domain/message"
)

// Unreadable says why a text names no designators. It is an error and knows its
// message.
type Unreadable struct{ why message.Message }

func (u *Unreadable) Error() string { return u.why.String() }

// Say is the reason.
func (u *Unreadable) Say() message.Message { return u.why }

func wrongly(key string, values ...any) error { return &Unreadable{message.Of(key, values...)} }

// MaxDesignators is the most designators that one text may stand for.
const MaxDesignators = 5000

// Designators reads the designators that a text names, in the order in which
// it names them: separated by commas, semicolons, blanks, slashes or words,
// with ranges (C5-C8, C5…8, C5 to C8, C5 bis C8, C5 t/m C8, C7A-C7D) and with the letters left out
// where they stay the same (C1,3,5). Where a piece is no designator, the error
// names it; the others are returned all the same.
func Designators(text string) ([]string, error) {
	var out []string
	var wrong error
	prefix := ""
	if len(text) > maxLine {
		return nil, wrongly("lists.names-long", clip(text), maxLine>>10)
	}
	for _, piece := range strings.FieldsFunc(joinRanges(text), separator) {
		ds, letters, err := expand(piece, prefix)
		if err == nil && len(out)+len(ds) > MaxDesignators {
			return out, wrongly("lists.names-many", clip(text), MaxDesignators)
		}
		if err != nil && wrong == nil {
			wrong = err
		}
		out, prefix = append(out, ds...), letters
	}
	return out, wrong
}

func separator(r rune) bool {
	return unicode.IsSpace(r) || strings.ContainsRune(separators, r)
}

// What stands between designators, in the languages that lists are read in; common practice.
const (
	separators = ",;/&|+、；，"
	rangeSigns = `-|–|—|‒|−|→|~|～|〜|…|\.\.+|から`
	rangeWords = `to|bis|through|thru|à|a|al|jusqu'à|jusqu’à|tot|t/m|do|до|по`
	andSigns   = `と`
	andWords   = `and|und|u\.?|et|sowie|y|e|en|i|oraz|и|ja|og|och`
)

var (
	dashes = regexp.MustCompile(`\s*(?:` + rangeSigns + `)\s*|\s+(?i:` + rangeWords + `)\s+`)
	ands   = regexp.MustCompile(`\s*(?:` + andSigns + `)\s*|\s+(?i:` + andWords + `)\s+`)
)

// Pattern is a regular expression for designators beside a part: C1, C3-C5; C1 bis C4; C55/56; c53+c54. Figures without
// letters are one only behind a sign or a word.
const Pattern = one + `(?:` + tied + `(?:` + one + `|\d{1,4}[A-WYZa-wyz]?)\b|\s+` + one + `\b)*`

const (
	one  = `[A-Za-z]{1,4}\d{1,4}[A-Za-z]?`
	tied = `(?:\s*(?:[` + separators + `]|` + rangeSigns + `|` + andSigns + `)+\s*(?:(?i:` + andWords +
		`)\s+)?|\s+(?i:` + rangeWords + `|` + andWords + `)\s+)`
)

// joinRanges writes every range with one hyphen and no blanks, so that blanks
// separate.
func joinRanges(text string) string {
	if !strings.ContainsAny(text, " \t\n\f\r-–—‒−→~….～〜かと") {
		return text
	}
	return dashes.ReplaceAllString(ands.ReplaceAllString(text, ","), "-")
}

var (
	numbered = regexp.MustCompile(`^(\pL[\pL\pN_$]*?)(\d+)(\pL?)$`)
	figures  = regexp.MustCompile(`^(\d+)(\pL?)$`)
	named    = regexp.MustCompile(`^[\pL_$][\pL\pN_$#.+-]*$`)
)

// name is a designator taken apart.
type name struct {
	letters string
	digits  string // with leading noughts
	suffix  string // at most one letter
}

// parse takes a designator apart; bare figures take the letters given.
func parse(s, letters string) (name, bool) {
	if m := numbered.FindStringSubmatch(s); m != nil {
		return name{m[1], m[2], m[3]}, true
	}
	if m := figures.FindStringSubmatch(s); m != nil && letters != "" {
		return name{letters, m[1], m[2]}, true
	}
	return name{}, false
}

// expand reads one piece and returns its designators and the letters that bare
// figures after it take.
func expand(piece, letters string) ([]string, string, error) {
	if n, ok := parse(piece, letters); ok && len(piece) <= 32 {
		return []string{n.letters + n.digits + n.suffix}, n.letters, nil
	}
	if from, to, ok := strings.Cut(piece, "-"); ok {
		a, okA := parse(from, letters)
		if b, okB := parse(to, a.letters); okA && okB {
			ds, err := between(a, b, piece)
			return ds, a.letters, err
		}
	}
	if named.MatchString(piece) && len(piece) <= 32 {
		return []string{piece}, "", nil
	}
	return nil, letters, wrongly("lists.no-designator", clip(piece))
}

// between lists the designators from a to b.
func between(a, b name, piece string) ([]string, error) {
	if !strings.EqualFold(a.letters, b.letters) {
		return nil, wrongly("lists.range-letters", clip(piece))
	}
	if a.digits == b.digits && a.suffix != "" && b.suffix != "" {
		return lettered(a, b, piece)
	}
	if a.suffix != "" || b.suffix != "" {
		return nil, wrongly("lists.range-uncounted", clip(piece))
	}
	from, errA := strconv.Atoi(a.digits)
	to, errB := strconv.Atoi(b.digits)
	if errA != nil || errB != nil || to < from {
		return nil, wrongly("lists.range-downwards", clip(piece))
	}
	if to-from >= MaxDesignators {
		return nil, wrongly("lists.range-many", clip(piece), MaxDesignators)
	}
	width := 0
	if strings.HasPrefix(a.digits, "0") {
		width = len(a.digits)
	}
	out := make([]string, 0, to-from+1)
	for i := from; i <= to; i++ {
		out = append(out, fmt.Sprintf("%s%0*d", a.letters, width, i))
	}
	return out, nil
}

// lettered lists designators of one number from suffix to suffix.
func lettered(a, b name, piece string) ([]string, error) {
	from, to := []rune(a.suffix)[0], []rune(b.suffix)[0]
	if to < from || to-from > 25 {
		return nil, wrongly("lists.range-downwards", clip(piece))
	}
	var out []string
	for r := from; r <= to; r++ {
		out = append(out, a.letters+a.digits+string(r))
	}
	return out, nil
}

func clip(s string) string {
	if r := []rune(s); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return s
}
