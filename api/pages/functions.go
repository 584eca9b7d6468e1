package pages

import (
	"html/template"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"boardlore/domain/bench"
	"boardlore/domain/board"
	"boardlore/domain/drawing"
	"boardlore/domain/kit"
	"boardlore/domain/list"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/review"
)

// functions are what templates call, in one language.
func (p *Pages) functions(in *message.Language) template.FuncMap {
	return template.FuncMap{
		"t":       func(key string, values ...any) string { return in.Speak(t(key, unfilled(values)...)) },
		"say":     func(x any) any { return worded(in, x) },
		"static":  p.staticPath,
		"part":    func(x any) string { return in.Speak(partSaid(x)) },
		"date":    date,
		"day":     func(moment string) string { return moment[:min(len(time.DateOnly), len(moment))] },
		"moment":  func(x time.Time) string { return x.UTC().Format("2006-01-02 15:04 UTC") },
		"short":   short,
		"bytes":   bytesOf,
		"join":    commas,
		"spans":   list.Ranges,
		"path":    url.PathEscape,
		"number":  number,
		"want":    wantText,
		"words":   func() []string { return editorWords },
		"mm":      func(x float64) string { return strconv.FormatFloat(x, 'f', 2, 64) },
		"flag":    func(b *bool) message.Message { return yesNo(b != nil && *b) },
		"members": members,
		"line":    lineText,
		"kitform": func(v *visit, k *kitView) kitForm { return kitForm{v, k} },
		"yes":     func(b *bool) bool { return b != nil && *b },
		"told":    func(b *boardPage, p *board.Position) toldOf { return toldOf{b, p} },
		"likes":   func(b *boardPage, ls []*like) likesOf { return likesOf{b, ls} },
		"choice":  choiceText,
		"word":    func(set, name string) message.Message { return message.Word(set, name) },
		"known":   func(b *bool) bool { return b != nil },
		"add":     func(a, b int) int { return a + b },
		"list":    func(xs ...string) []string { return xs },
		"remark":  func(id, designator, text string) remarkRow { return remarkRow{id, designator, text} },
		"decision": func(v *visit, id int64, digest, act string) decisionForm {
			return decisionForm{v, id, digest, act}
		},
		"claim": func(pv *proposalView, c board.Claim, id string) claimShown { return pv.shown(c, id) },
		"talk": func(v *visit, proposal int64, rs []review.Review, may bool) conversation {
			return conversation{v, proposal, rs, may}
		},
		"doubted":  func(v *visit, d openDoubt, back string) doubtForm { return doubtForm{v, &d, back} },
		"choices":  choicesOf,
		"keyid":    passkeyID,
		"readings": func(j *jobView, stage string, cs []bench.Check) readingSteps { return readingSteps{j, stage, cs} },
		"checks":   func(title string, ks []board.Measurement) checkTable { return checkTable{title, ks} },
	}
}

// commas sets texts or messages one after the other.
func commas(xs any) any {
	switch xs := xs.(type) {
	case []string:
		return strings.Join(xs, ", ")
	case []message.Message:
		return message.Commas(xs).Say()
	}
	return xs
}

func (p *Pages) staticPath(name string) string {
	return "/static/" + name + "?v=" + p.static[name].tag
}

func date(x time.Time) string {
	if x.IsZero() {
		return ""
	}
	return x.UTC().Format(time.DateOnly)
}

// short is enough of a digest to tell two apart by eye.
func short(digest string) string { return digest[:min(12, len(digest))] }

func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// query puts parameters into an address, in a fixed order and without empty
// ones.
func query(path string, pairs ...string) string {
	var b strings.Builder
	b.WriteString(path)
	sep := "?"
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i+1] == "" {
			continue
		}
		b.WriteString(sep + pairs[i] + "=" + url.QueryEscape(pairs[i+1]))
		sep = "&"
	}
	return b.String()
}

func has(p *board.Position, service string) bool {
	return string(p.Service.Or()) == service
}

// checkTable is a list of checks under its title.
type checkTable struct {
	Title  string
	Checks []board.Measurement
}

// remarkRow is one line of the remarks of a review.
type remarkRow struct{ ID, Designator, Text string }

// decisionForm is the form of a release, a decline or a withdrawal.
type decisionForm struct {
	Visit  *visit
	ID     int64
	Digest string
	Act    string
}

// lineText names a line of a kit, "" for none.
func lineText(n *int) message.Message {
	if n == nil {
		return message.Message{}
	}
	return t("kit.line", *n)
}

// toldOf is a position of a board's page, told in a line.
type toldOf struct {
	Board    *boardPage
	Position *board.Position
}

// likesOf are rows of like parts on a board's page.
type likesOf struct {
	Board *boardPage
	Likes []*like
}

// choiceList is what a field offers and which of it stands.
type choiceList struct {
	Value   string
	Choices []string
}

// choicesOf offers what the field may hold and, in its place, what it holds
// against the rules, so that nothing is changed unasked.
func choicesOf(value string, offered []string) choiceList {
	if !slices.Contains(offered, value) {
		offered = append([]string{value}, offered...)
	}
	return choiceList{value, offered}
}

// choiceSets are the sets of words that fields offer, as their keys begin.
var choiceSets = []string{"class.", "side.", "service.", "moment.", "page.role.", "page.circuit.", "page.severity.",
	"page.measure.", "page.basis.", "choice."}

// choiceText is a word that a field offers in the reader's language; what is no
// word of ours stands as it is.
func choiceText(name string) message.Message {
	for _, set := range choiceSets {
		if key := set + name; message.English.Has(key) {
			return message.Of(key)
		}
	}
	return message.Text(name)
}

// fitTable lists positions with what the kit holds for them, like ones in one
// row.
type fitTable struct {
	Title message.Message
	Count int // of positions
	Rows  []kit.Run
}

// partSaid says what a part is, given as a value or as a pointer.
func partSaid(x any) message.Message {
	switch x := x.(type) {
	case part.Part:
		return drawing.PartText(&x)
	case *part.Part:
		if x != nil {
			return drawing.PartText(x)
		}
	}
	return message.Message{}
}

// inLine are the members that partSaid tells.
var inLine = map[string]bool{"class": true, "value": true, "tolerance": true, "voltage": true, "current": true,
	"power":        true,
	"safety_class": true, "chemistry": true, "text": true}

// memberText is a member of a part in words.
type memberText struct {
	Name  string
	Value message.Message
}

// members are what is known of a part beside what stands in its line.
func members(p part.Part) (out []memberText) {
	for i := range part.Members {
		m := &part.Members[i]
		if inLine[m.Name] || !m.Is(&p) {
			continue
		}
		value := message.Text(m.Printed(&p))
		switch x := m.At(&p).(type) {
		case **bool:
			value = yesNo(**x)
		case message.Sayer:
			value = x.Say()
		}
		out = append(out, memberText{m.Name, value})
	}
	return out
}

// unfilled leaves the blanks of a sentence that has no values for a script to
// fill in.
func unfilled(values []any) []any {
	if len(values) == 0 {
		return []any{"{1}", "{2}", "{3}", "{4}"}
	}
	return values
}

func yesNo(b bool) message.Message {
	if b {
		return t("yes")
	}
	return t("no")
}
