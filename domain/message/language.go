package message

import (
	"embed"
	"fmt"
	"maps"
	"path"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/feature/plural"
	"golang.org/x/text/language"
)

// files are the languages, one file each; its name is the language's tag.
//
//go:embed *.txt
var files embed.FS

// Language is one file of sentences.
type Language struct {
	Tag       string // BCP 47
	tag       language.Tag
	sentences map[string][]piece
}

// Languages are all there are, English first.
var Languages, matcher = load()

// English is the language that every key was written in first.
var English = Languages[0]

func load() ([]*Language, language.Matcher) {
	names, _ := files.ReadDir(".")
	all := make([]*Language, 0, len(names))
	for _, n := range names {
		text, _ := files.ReadFile(n.Name())
		l, err := Parse(strings.TrimSuffix(n.Name(), path.Ext(n.Name())), string(text))
		if err != nil {
			panic(fmt.Sprintf("%s: %v", n.Name(), err)) // a file of the program itself, which every test reads
		}
		all = append(all, l)
	}
	first := slices.IndexFunc(all, func(l *Language) bool { return l.tag == language.English })
	all[0], all[first] = all[first], all[0]
	tags := make([]language.Tag, len(all))
	for i, l := range all {
		tags[i] = l.tag
	}
	return all, language.NewMatcher(tags)
}

// Parse reads the language of a tag from its file: lines of a key, an equals sign and a sentence; those that are
// empty or begin with # say nothing.
func Parse(tag, text string) (*Language, error) {
	l := &Language{Tag: tag, sentences: map[string][]piece{}}
	var err error
	if l.tag, err = language.Parse(tag); err != nil {
		return nil, err
	}
	for i, line := range strings.Split(text, "\n") {
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		key, sentence, ok := strings.Cut(line, " = ")
		if _, twice := l.sentences[key]; !ok || twice {
			return nil, fmt.Errorf("line %d is no sentence, or its key stands twice: %q", i+1, key)
		}
		if l.sentences[key], err = pieces(sentence); err != nil {
			return nil, fmt.Errorf("line %d, %s: %w", i+1, key, err)
		}
	}
	return l, nil
}

// piece is a text, or a blank with what is done to its value.
type piece struct {
	text  string
	blank int // 1, 2 …; 0 for a text
	how   string
	forms map[plural.Form]string // instead of the value, by its count
}

var formNames = map[string]plural.Form{"zero": plural.Zero, "one": plural.One, "two": plural.Two, "few": plural.Few,
	"many": plural.Many, "other": plural.Other}

// pieces takes a sentence apart. A brace without a number behind it is itself.
func pieces(s string) ([]piece, error) {
	var out []piece
	text := ""
	for s != "" {
		at := strings.IndexByte(s, '{')
		if at < 0 {
			break
		}
		end := strings.IndexByte(s[at:], '}')
		if end < 0 || s[at+1] < '0' || s[at+1] > '9' {
			text, s = text+s[:at+1], s[at+1:]
			continue
		}
		b, err := blank(s[at+1 : at+end])
		if err != nil {
			return nil, err
		}
		if text += s[:at]; text != "" {
			out = append(out, piece{text: text})
		}
		out, text, s = append(out, b), "", s[at+end+1:]
	}
	if text += s; text != "" || len(out) == 0 {
		out = append(out, piece{text: text})
	}
	return out, nil
}

// blank reads what stands between braces: 1, 1:quoted, 1?one:part|other:parts.
func blank(s string) (piece, error) {
	number, forms, plurals := strings.Cut(s, "?")
	number, how, _ := strings.Cut(number, ":")
	n, err := strconv.Atoi(number)
	p := piece{blank: n, how: how}
	if err != nil || n < 1 || how != "" && treatments[how] == nil {
		return p, fmt.Errorf("{%s} is no blank", s)
	}
	if !plurals {
		return p, nil
	}
	p.forms = map[plural.Form]string{}
	for f := range strings.SplitSeq(forms, "|") {
		name, words, _ := strings.Cut(f, ":")
		form, known := formNames[name]
		if !known {
			return p, fmt.Errorf("%q is no plural form", name)
		}
		p.forms[form] = words
	}
	if _, ok := p.forms[plural.Other]; !ok {
		return p, fmt.Errorf("{%s} lacks the form other", s)
	}
	return p, nil
}

// treatments are what may be done to a value in its blank.
var treatments = map[string]func(string) string{
	"quoted":  strconv.Quote,
	"open":    func(s string) string { return strings.TrimSuffix(s, ".") }, // a sentence that goes on
	"clause":  clause,
	"article": article,
	"aside":   aside,
}

// aside is what may be said in brackets behind a word, nothing where there is nothing to say.
func aside(s string) string {
	if s == "" {
		return ""
	}
	return " (" + s + ")"
}

// article sets an English noun's indefinite article before it.
func article(s string) string {
	if s != "" && strings.ContainsRune("aeiou", rune(s[0])) {
		return "an " + s
	}
	return "a " + s
}

// clause is a sentence that follows a colon or another word.
func clause(s string) string {
	_, n := utf8.DecodeRuneInString(s)
	return strings.ToLower(s[:n]) + s[n:]
}

// Match is the language that suits an Accept-Language header best, English
// where none does.
func Match(accept string) *Language {
	wanted, _, err := language.ParseAcceptLanguage(accept)
	if err != nil || len(wanted) == 0 {
		return English
	}
	_, i, sure := matcher.Match(wanted...)
	if sure == language.No {
		return English
	}
	return Languages[i]
}

// Named is the language of a tag, nil where there is none.
func Named(tag string) *Language {
	i := slices.IndexFunc(Languages, func(l *Language) bool { return l.Tag == tag })
	if i < 0 {
		return nil
	}
	return Languages[i]
}

// Keys are all that the language has words for, sorted.
func (l *Language) Keys() []string { return slices.Sorted(maps.Keys(l.sentences)) }

// Blanks are the numbers of a sentence's blanks, each once, sorted.
func (l *Language) Blanks(key string) []int {
	var out []int
	for _, p := range l.sentences[key] {
		if p.blank > 0 {
			out = append(out, p.blank)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Has reports whether the language has words for a key.
func (l *Language) Has(key string) bool { return l.sentences[key] != nil }

// Speak puts a message into words. A key that the language lacks shows itself,
// which the tests refuse.
func (l *Language) Speak(m Message) string {
	if m.Key == "" {
		return l.each(m.Values)
	}
	ps, ok := l.sentences[m.Key]
	if !ok {
		return m.Key
	}
	if len(ps) == 1 && ps[0].blank == 0 {
		return ps[0].text
	}
	var b strings.Builder
	for i := range ps {
		b.WriteString(l.piece(&ps[i], m.Values))
	}
	return b.String()
}

// Say speaks a key with its values at once.
func (l *Language) Say(key string, values ...any) string { return l.Speak(Of(key, values...)) }

func (l *Language) each(values []any) string {
	if len(values) == 0 {
		return ""
	}
	return l.value(values[0])
}

func (l *Language) piece(p *piece, values []any) string {
	switch {
	case p.blank == 0:
		return p.text
	case p.blank > len(values):
		return ""
	case p.forms != nil:
		return l.form(p, values[p.blank-1])
	}
	s := l.value(values[p.blank-1])
	if p.how != "" {
		s = treatments[p.how](s)
	}
	return s
}

// form is the plural form that a count takes.
func (l *Language) form(p *piece, count any) string {
	n, err := strconv.Atoi(spell(count))
	if err == nil {
		if words, ok := p.forms[plural.Cardinal.MatchPlural(l.tag, n, 0, 0, 0, 0)]; ok {
			return words
		}
	}
	return p.forms[plural.Other]
}

func (l *Language) value(v any) string {
	switch v := v.(type) {
	case string:
		return v
	case Message:
		return l.Speak(v)
	case List:
		return l.list(v)
	case Sayer:
		return l.Speak(v.Say())
	}
	return spell(v)
}

// list joins by patterns of two, as CLDR does.
func (l *Language) list(x List) string {
	s := ""
	for i, v := range x.Items {
		switch word := l.value(v); i {
		case 0:
			s = word
		case len(x.Items) - 1:
			s = l.Say(x.Key+"-end", s, word)
		default:
			s = l.Say(x.Key+"-middle", s, word)
		}
	}
	return s
}
