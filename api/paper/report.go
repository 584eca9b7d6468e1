package paper

import (
	"slices"
	"strconv"

	"boardlore/domain/drawing"
	"boardlore/domain/finding"
	"boardlore/domain/kit"
	"boardlore/domain/list"
	"boardlore/domain/message"
)

// How tall the drawing of a report may be.
const (
	minDrawing = 54.0
	maxDrawing = 130.0
)

// sizes of letters that a report is tried in, points.
var sizes = []float64{7.6, 7.1, 6.6}

// Report is the report of a kit: what to look at first, what to buy, drawing, cautions, then
// which part of the kit goes where, to be ticked. It takes one
// page where the letters can be as small, with the drawing as large as leaves
// it so.
func Report(b *Board, r *kit.Report) ([]byte, error) {
	for _, size := range sizes {
		d := report(b, r, size, 1, 0)
		if free := d.left() - 5*d.line(); d.Ok() && free >= minDrawing {
			return report(b, r, size, maxPages, min(free, maxDrawing)).bytes()
		}
	}
	return report(b, r, sizes[0], maxPages, maxDrawing).bytes()
}

// report writes no more pages than most, with a drawing no taller than tallest; 0 for none.
func report(b *Board, r *kit.Report, size float64, most int, tallest float64) *document {
	d := newDocument(b, b.In.Say("paper.report-title", b.Map.Name), size)
	d.most = most
	d.head(b, d.say("paper.report"))
	d.outcome(r)
	d.flags(r)
	d.advice(r)
	d.toBuy(r.ToBuy)
	d.problems(r.Problems)
	if tallest > 0 {
		d.Ln(1)
		if scenes := b.scenes(Badges(r)); scenes != nil {
			d.draw(tallest, scenes...)
		}
		d.notDrawn(b)
	}
	d.cautions(r.Cautions, 2)
	d.look(r)
	d.fits(r)
	return d
}

var outcomes = map[string]string{
	kit.Complete: "paper.complete",
	kit.ToCheck:  "paper.to-check", kit.Short: "paper.short", kit.Conflict: "paper.conflict",
}

func (d *document) outcome(r *kit.Report) {
	s := r.Summary
	d.Ln(1.5)
	d.style("B", 11)
	d.CellFormat(textWide, 5.5, d.say(outcomes[r.Outcome]), "LTR", 1, "L", false, 0, "")
	d.style("", d.size)
	d.CellFormat(textWide, d.line()+1, d.say("paper.counts",
		s.Filled, s.Positions, s.Unfilled, s.Flagged, s.Surplus, s.Penalty), "LBR", 1, "L", false, 0, "")
}

// flags writes what a person should look at first.
func (d *document) flags(r *kit.Report) {
	if len(r.Flags) == 0 {
		return
	}
	d.heading(d.say("paper.look-at-these-first"))
	for _, f := range r.Heads() {
		sentence := f.Sentence
		if f.Severity == finding.Stop {
			sentence = message.Of("paper.stop", sentence)
		}
		d.bullet(bold(f.Severity), d.in.Speak(sentence))
	}
}

// advice writes what the kit would allow, and which build it fits better.
func (d *document) advice(r *kit.Report) {
	if len(r.Rearrangement) > 0 {
		d.heading(d.say("paper.what-the-whole-kit-would-allow"))
		for _, s := range r.Steps() {
			d.bullet("", d.in.Speak(s))
		}
	}
	if len(r.BetterFit) > 0 {
		d.heading(d.say("paper.it-fits-another-build-better"))
		for _, x := range r.BetterFit {
			d.bullet("", d.in.Speak(x.Sentence))
		}
	}
}

// problems writes which rows of the list were not read as they stand.
func (d *document) problems(ps []kit.Problem) {
	if len(ps) == 0 {
		return
	}
	d.heading(d.say("paper.what-the-list-left-open"))
	for _, p := range ps {
		d.bullet("", d.in.Speak(p.Sentence()))
	}
}

// Badges are the signs that show on a drawing how each position is served.
func Badges(r *kit.Report) []drawing.Badge {
	sign := map[string]drawing.Sign{kit.Match: drawing.Good, kit.Suitable: drawing.Good, kit.Doubtful: drawing.Doubt,
		kit.Unsuitable: drawing.Bad, kit.None: drawing.Empty}
	bs := make([]drawing.Badge, len(r.Positions))
	for i, p := range r.Positions {
		bs[i] = drawing.Badge{Designator: p.Designator, Sign: sign[p.Fit]}
	}
	return bs
}

var lookColumns = []column{{30, "paper.col.position", "B"}, {60, "paper.col.wanted", ""}, {96, "paper.col.why", ""}}

// look lists the positions that need more than fitting, but for those that
// stand among the flags.
func (d *document) look(r *kit.Report) {
	var rows [][]string
	flagged := map[string]bool{}
	for _, f := range r.Flags {
		flagged[f.Designator] = true
	}
	for _, x := range r.Runs() {
		if x.Fit == kit.Match || x.Fit == kit.Suitable || flagged[x.Designators[0]] {
			continue
		}
		rows = append(rows, []string{list.Ranges(x.Designators), d.in.Speak(drawing.PartText(&x.Wanted)),
			d.in.Speak(why(x.Findings))})
	}
	d.table(d.say("paper.positions-without-a-part"), "", lookColumns, rows)
}

// why is the sentences of what is wrong; notes are left to the screen.
func why(fs []finding.Finding) message.Message {
	var ss []message.Message
	for _, f := range fs {
		if f.Severity != finding.Note {
			ss = append(ss, f.Sentence)
		}
	}
	return message.Words(ss).Say()
}

// Columns of the list of what goes where.
const (
	lineWide = 9.0
	partWide = 66.0
	leftWide = 13.0
)

// fits lists the lines of the kit with the positions that each fills, which
// are ticked as they are done.
func (d *document) fits(r *kit.Report) {
	d.heading(d.say("paper.what-goes-where-tick-when-fitted"))
	cols := []column{{lineWide, "paper.col.line", ""}, {partWide, "paper.col.part", ""},
		{textWide - lineWide - partWide - leftWide, "paper.col.positions", ""}, {leftWide, "paper.col.left-over", ""}}
	d.tableHead(cols)
	for i := range r.Lines {
		d.fit(&r.Lines[i], cols[2].wide-2)
	}
}

func (d *document) fit(l *kit.LineReport, wide float64) {
	text := d.say("paper.not-read", l.Text)
	switch {
	case l.Read != nil && l.Sure:
		text = d.in.Speak(drawing.PartText(l.Read))
	case l.Read != nil || l.Readings != nil:
		text = d.say("paper.not-sure", l.Text)
	}
	d.style("", d.size)
	lines := d.SplitText(text, partWide-2)
	at, tall := d.lay(wide, l.For)
	tall = max(tall, float64(len(lines))*d.line()) + 0.8
	d.room(tall)
	y := d.GetY() + 0.4
	d.SetXY(pageMargin, y)
	d.style("B", d.size)
	d.CellFormat(lineWide, d.line(), strconv.Itoa(l.Line), "", 0, "L", false, 0, "")
	d.style("", d.size)
	for i, s := range lines {
		d.SetXY(pageMargin+lineWide, y+float64(i)*d.line())
		d.CellFormat(partWide, d.line(), s, "", 0, "L", false, 0, "")
	}
	d.ticks(pageMargin+lineWide+partWide, y, l.For, at)
	if l.Surplus > 0 {
		d.SetXY(pageMargin+textWide-leftWide, y)
		d.CellFormat(leftWide, d.line(), strconv.Itoa(l.Surplus), "", 0, "L", false, 0, "")
	}
	d.SetY(y + tall - 0.4)
	d.rule()
}

var buyColumns = []column{{6, "", ""}, {14, "paper.col.quantity", "B"}, {136, "paper.col.part", ""},
	{30, "paper.col.for", ""}}

func (d *document) toBuy(ps []kit.Purchase) {
	var rows [][]string
	for _, p := range ps {
		ps := slices.Concat([]message.Message{drawing.PartText(&p.Part)}, p.Asks, p.Open)
		rows = append(rows, []string{"", strconv.Itoa(p.Quantity) + " ×", d.in.Speak(message.Semicolons(ps).Say()),
			list.Ranges(p.For)})
	}
	d.table(d.say("paper.to-buy"), "", buyColumns, rows)
}
