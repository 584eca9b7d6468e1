package kit

import (
	"boardlore/domain/message"
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/list"
	"boardlore/domain/part"
)

// Widths of the table in characters.
const (
	minWidth     = 72 // a digest with its word takes 68
	defaultWidth = 100
)

// Text is the report for a terminal of the given width in characters; 0 takes
// the usual one. What to look at stands first, the warnings last, where the eye
// stays.
func (r Report) Text(in *message.Language, width int) string {
	if width <= 0 {
		width = defaultWidth
	}
	w := writer{in: in, width: max(width, minWidth)}
	w.head(r)
	w.flags(&r)
	w.moves(&r)
	w.better(r.BetterFit)
	w.problems(r.Problems)
	w.positions(r)
	w.empty(&r)
	w.lines(r.Lines)
	w.buy(r.ToBuy)
	w.cautions(r.Cautions)
	return w.b.String()
}

type writer struct {
	in    *message.Language
	b     strings.Builder
	width int
}

func (w *writer) head(r Report) {
	release := message.Of("kit.not-released")
	if r.Revision > 0 {
		release = message.Of("kit.revision", r.Revision)
	}
	if r.Variant != "" {
		release = message.Of("kit.revision-variant", release, r.Variant)
	}
	s := r.Summary
	w.item("", r.Board+", "+w.in.Speak(release)+": "+strings.ToUpper(w.in.Say("kit.outcome."+r.Outcome)))
	if r.Outcome == ToCheck {
		w.item("", w.in.Say("kit.not-yet-complete-every"))
	}
	w.item("", w.in.Say("kit.positions-filled-unfilled-flagged", s.Positions, s.Filled, s.Unfilled, s.Flagged,
		s.Surplus, s.Penalty))
	if r.Digest != "" {
		fmt.Fprintf(&w.b, "map %s\n", r.Digest)
	}
}

func (w *writer) title(key string) { fmt.Fprintf(&w.b, "\n%s\n", w.in.Say(key)) }

// item writes a sentence behind a mark, broken at the width and hanging.
func (w *writer) item(mark, text string) {
	indent := utf8.RuneCountInString(mark)
	for i, l := range wrap(text, w.width-indent) {
		if i > 0 {
			mark = strings.Repeat(" ", indent)
		}
		w.b.WriteString(strings.TrimRight(mark+l, " ") + "\n")
	}
}

func (w *writer) mark(s finding.Severity) string {
	return fmt.Sprintf("  %-8s ", w.in.Say("kit.mark."+string(s)))
}

func (w *writer) flags(r *Report) {
	if len(r.Flags) == 0 {
		return
	}
	w.title("kit.look-first")
	for _, f := range r.Heads() {
		w.item(w.mark(f.Severity), w.in.Speak(f.Sentence))
	}
}

// Heads is the flags with those that say the same of several positions as one,
// and the same doubt about parts of several lines as one with its count.
func (r *Report) Heads() []Flag {
	var out []Flag
	told := make([]bool, len(r.Flags))
	for i, f := range r.Flags {
		if told[i] {
			continue
		}
		var also, beside []string
		for j := i + 1; j < len(r.Flags); j++ {
			o := &r.Flags[j]
			switch {
			case told[j] || f.Designator == "" || o.Designator == "":
			case f.like(*o):
				told[j] = true
				also = append(also, o.Designator)
			case f.Severity == finding.Caution && o.Severity == f.Severity && o.Code == f.Code &&
				rank(f) > 0: // labels are told one by one
				told[j] = true
				beside = append(beside, o.Designator)
			}
		}
		if beside != nil {
			all := slices.Concat([]string{f.Designator}, also, beside)
			slices.SortFunc(all, board.CompareDesignators)
			f.Sentence = message.Of("kit.positions-such", len(all), list.Ranges(all), codeWords(f.Code), f.Sentence)
			also = nil
		}
		f.Sentence = f.Sentence.And(so(also))
		out = append(out, f)
	}
	return out
}

// codeWords is what a code says in a few words.
func codeWords(code string) message.Message {
	if words := message.Word("code", code); words.Key != "" {
		return words
	}
	return message.Text(strings.ReplaceAll(code, "-", " "))
}

// like reports whether two flags say the same of two positions.
func (f Flag) like(o Flag) bool {
	return f.Code == o.Code && f.Severity == o.Severity && number(f.Line) == number(o.Line) &&
		f.Expected == o.Expected && f.Found == o.Found
}

// so adds the positions that a sentence is true of as well.
func so(also []string) message.Message {
	if len(also) == 0 {
		return message.Message{}
	}
	return message.Of("kit.so-too", list.Ranges(also))
}

// number is a line's number, 0 for none.
func number(line *int) int {
	if line == nil {
		return 0
	}
	return *line
}

func (w *writer) moves(r *Report) {
	if len(r.Rearrangement) == 0 {
		return
	}
	w.title("kit.kit-would-allow")
	for _, s := range r.Steps() {
		w.item("  - ", w.in.Speak(s))
	}
}

// Steps is the rearrangement in sentences, like moves as one.
func (r *Report) Steps() []message.Message {
	type step struct {
		from, to int
		wanted   part.Key
	}
	at := map[string]*PositionReport{}
	for i := range r.Positions {
		at[r.Positions[i].Designator] = &r.Positions[i]
	}
	var empty []string
	var out []message.Message
	also := map[step][]string{}
	for _, m := range r.Rearrangement {
		p := at[m.Designator]
		if m.ToLine == nil && p.Fit == Unsuitable {
			empty = append(empty, m.Designator)
			continue
		}
		key := step{number(m.FromLine), number(m.ToLine), p.Wanted.Key()}
		also[key] = append(also[key], m.Designator)
	}
	for _, m := range r.Rearrangement {
		key := step{number(m.FromLine), number(m.ToLine), at[m.Designator].Wanted.Key()}
		if ds := also[key]; len(ds) > 0 && ds[0] == m.Designator {
			out = append(out, m.Sentence.And(so(ds[1:])))
		}
	}
	if empty != nil {
		out = append(out, message.Of("kit.leave-empty", list.Ranges(empty)))
	}
	return out
}

func (w *writer) better(fs []BetterFit) {
	if len(fs) == 0 {
		return
	}
	w.title("kit.fits-better-elsewhere")
	for _, f := range fs {
		w.item("  - ", w.in.Speak(f.Sentence))
	}
}

func (w *writer) problems(ps []Problem) {
	if len(ps) == 0 {
		return
	}
	w.title("kit.what-list-left-open")
	for _, p := range ps {
		w.item("  - ", w.in.Speak(p.Sentence()))
	}
}

// signs stand before positions that need a second look.
var signs = map[string]string{Unsuitable: "X", Doubtful: "?", None: "-"}

func (w *writer) positions(r Report) {
	parts := map[int]string{}
	for _, l := range r.Lines {
		if l.Read != nil {
			parts[l.Line] = w.in.Speak(brief(l.Read))
		}
	}
	rows := [][]string{w.headings("", "positions", "wanted", "line", "part", "fit")}
	for _, p := range r.Runs() {
		row := []string{signs[p.Fit], list.Ranges(p.Designators), w.in.Speak(brief(&p.Wanted)), "-", "-",
			w.in.Say("kit.fit." + p.Fit)}
		if p.Line != nil {
			if row[3], row[4] = strconv.Itoa(*p.Line), parts[*p.Line]; row[4] == row[2] && signs[p.Fit] == "" {
				row[4] = w.in.Say("kit.the-same")
			}
		}
		rows = append(rows, row)
	}
	w.title("kit.positions")
	w.table(rows, 1, 2, 4)
}

// empty says of each position that gets no part why, unless it stands first.
func (w *writer) empty(r *Report) {
	flagged := map[string]bool{}
	for _, f := range r.Flags {
		flagged[f.Designator] = true
	}
	first := true
	for _, x := range r.Runs() {
		if x.Fit != None || len(x.Findings) == 0 || flagged[x.Designators[0]] {
			continue
		}
		if first {
			w.title("kit.why-empty")
			first = false
		}
		w.item("  - ", w.in.Say("text.colon", list.Ranges(x.Designators), x.Findings[0].Sentence))
	}
}

func (w *writer) lines(ls []LineReport) {
	rows := [][]string{w.headings("line", "quantity", "used", "left", "read-as")}
	for _, l := range ls {
		read := w.in.Say("kit.not-read", l.Text)
		switch {
		case l.Read != nil && l.Sure:
			read = w.in.Speak(l.Read.Said())
		case l.unsure():
			read = w.in.Say("kit.not-sure", l.Text)
		}
		rows = append(rows, []string{strconv.Itoa(l.Line), strconv.Itoa(l.Quantity), strconv.Itoa(l.Used),
			strconv.Itoa(l.Surplus), read})
	}
	w.title("kit.lines-kit")
	w.table(rows, 4)
}

func (w *writer) buy(ps []Purchase) {
	if len(ps) == 0 {
		return
	}
	w.title("kit.to-buy")
	for _, p := range ps {
		w.item(fmt.Sprintf("  %3d x ", p.Quantity), w.in.Say("kit.buy-for", p.Part.Said(), list.Ranges(p.For),
			message.Semicolons(p.Asks)))
		for _, o := range p.Open {
			w.item("        ? ", w.in.Speak(o))
		}
	}
}

// moments of cautions, in order, with their titles.
var moments = []struct {
	when  board.Moment
	title string
}{
	{board.BeforeOpening, "kit.before-you-open"}, {board.WhileWorking, "kit.while-you-work"},
	{board.BeforePowerUp, "kit.before-you-switch"}, {board.Afterwards, "kit.afterwards"},
}

func (w *writer) cautions(cs []Caution) {
	for _, m := range moments {
		first := true
		for _, c := range cs {
			if momentOf(c) != m.when {
				continue
			}
			if first {
				w.title(m.title)
				first = false
			}
			w.item(w.mark(c.Severity), w.in.Speak(c.Text))
		}
	}
}

// headings are the words of a table's first row.
func (w *writer) headings(keys ...string) []string {
	for i, k := range keys {
		if k != "" {
			keys[i] = w.in.Say("kit.table." + k)
		}
	}
	return keys
}

// table writes rows in columns. The columns named are broken over several lines
// where the rows would not keep to the width, the widest first.
func (w *writer) table(rows [][]string, broken ...int) {
	wide := make([]int, len(rows[0]))
	all := 2 * len(wide)
	for i := range wide {
		for _, row := range rows {
			wide[i] = max(wide[i], utf8.RuneCountInString(row[i]))
		}
		all += wide[i]
	}
	for ; all > w.width; all-- {
		widest := slices.MaxFunc(broken, func(a, b int) int { return cmp.Compare(wide[a], wide[b]) })
		if wide[widest] <= minCell {
			break
		}
		wide[widest]--
	}
	for _, row := range rows {
		w.row(row, wide)
	}
}

// minCell is how narrow a broken column gets, in characters.
const minCell = 12

// row writes a table's row, each cell broken at its column's width.
func (w *writer) row(cells []string, wide []int) {
	lines := make([][]string, len(cells))
	most := 1
	for i, c := range cells {
		lines[i] = wrap(c, wide[i])
		most = max(most, len(lines[i]))
	}
	for n := range most {
		text := ""
		for i := range cells {
			c := ""
			if n < len(lines[i]) {
				c = lines[i][n]
			}
			text += "  " + c + strings.Repeat(" ", max(0, wide[i]-utf8.RuneCountInString(c)))
		}
		w.b.WriteString(clip(strings.TrimRight(text, " "), w.width) + "\n")
	}
}

func clip(s string, width int) string {
	if r := []rune(s); len(r) > width {
		return string(r[:width-1]) + "…"
	}
	return s
}

// wrap breaks text at blanks; a longer word gets a line of its own.
func wrap(text string, width int) []string {
	var lines []string
	line, n := "", 0
	for _, word := range strings.Fields(text) {
		m := utf8.RuneCountInString(word)
		switch {
		case n == 0:
			line, n = word, m
		case n+1+m > width:
			lines = append(lines, line)
			line, n = word, m
		default:
			line, n = line+" "+word, n+1+m
		}
	}
	return append(lines, line)
}

// CSV is the report's positions as RFC 4180 text with a line of headings, then
// the lines with parts left over or not read, whose designator is empty; all
// findings of a position or line stand in one cell. Labels that are wrong out of
// scope have rows of their own, and every row says the outcome, so that a part of
// the table can't be taken for all clear.
func (r Report) CSV(in *message.Language) []byte {
	parts := map[int]*LineReport{}
	for i := range r.Lines {
		parts[r.Lines[i].Line] = &r.Lines[i]
	}
	rows := [][]string{{"designator", "wanted", "line", "part", "fit", "penalty", "findings", "outcome"}}
	for _, p := range r.Positions {
		row := []string{p.Designator, p.Wanted.String(), "", "", p.Fit, strconv.Itoa(p.Penalty),
			sentences(in, p.Findings)}
		if p.Line != nil {
			row[2] = strconv.Itoa(*p.Line)
			if l := parts[*p.Line]; l != nil && l.Read != nil {
				row[3] = l.Read.String()
			}
		}
		rows = append(rows, row)
	}
	for i := range r.Lines {
		if l := &r.Lines[i]; l.Surplus > 0 || !l.Sure {
			rows = append(rows, l.cells(in))
		}
	}
	rows = append(rows, r.beyond(in)...)
	for n := 1; n < len(rows); n++ {
		rows[n] = append(rows[n], r.Outcome)
	}
	return list.CSV(rows)
}

// beyond has a row for each flagged label out of scope.
func (r *Report) beyond(in *message.Language) [][]string {
	inside := map[string]bool{}
	for i := range r.Positions {
		inside[r.Positions[i].Designator] = true
	}
	var rows [][]string
	for _, f := range r.Flags {
		if f.Designator == "" || inside[f.Designator] {
			continue
		}
		fit := Doubtful
		if f.Severity == finding.Stop {
			fit = Unsuitable
		}
		rows = append(rows, []string{f.Designator, f.Expected, strconv.Itoa(number(f.Line)), f.Found, fit, "",
			string(f.Severity) + ": " + in.Speak(f.Sentence)})
	}
	return rows
}

// unsure reports whether a line reads as a part that a person has to confirm.
func (l *LineReport) unsure() bool { return !l.Sure && (l.Read != nil || l.Readings != nil) }

// cells tells of a line's parts that no position has.
func (l *LineReport) cells(in *message.Language) []string {
	text, fit := l.Text, "not read"
	switch {
	case l.Read != nil && l.Sure:
		text, fit = l.Read.String(), "left over"
	case l.unsure():
		fit = "not sure"
	}
	return []string{"", "", strconv.Itoa(l.Line), text, fit, "", strings.TrimSpace(in.Say("kit.left-over", l.Surplus,
		sentences(in, l.Findings)))}
}

func sentences(in *message.Language, fs []finding.Finding) string {
	out := make([]string, len(fs))
	for i, f := range fs {
		out[i] = string(f.Severity) + ": " + in.Speak(f.Sentence)
	}
	return strings.Join(out, " ")
}
