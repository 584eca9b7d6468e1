package paper

import (
	"fmt"
	"strconv"
	"strings"

	"boardlore/domain/drawing"
	"boardlore/domain/finding"
	"boardlore/domain/kit"
	"boardlore/domain/list"
	"boardlore/domain/message"
)

// How tall the drawing of a report may be.
const (
	leastDrawing = 62.0
	mostDrawing  = 130.0
)

// sizes of letters that a report is tried in, points.
var sizes = []float64{7.6, 7.1, 6.6}

// Report is the report of a kit: what to look at first, drawing, cautions, then
// which part of the kit goes where, to be ticked, and what to buy. It takes one
// page where the letters can be as small, with the drawing as large as leaves
// it so.
func Report(b *Board, r *kit.Report) ([]byte, error) {
	scenes := b.scenes(Badges(r))
	for _, size := range sizes {
		d := report(b, r, size, nil, 0)
		if free := d.left() - 5*d.line(); d.PageNo() == 1 && free >= leastDrawing {
			return report(b, r, size, scenes, min(free, mostDrawing)).bytes()
		}
	}
	return report(b, r, sizes[0], scenes, mostDrawing).bytes()
}

func report(b *Board, r *kit.Report, size float64, scenes []*drawing.Scene, most float64) *document {
	d := newDocument(b, b.Map.Name+", kit report", size)
	d.head(b, "Kit report")
	d.outcome(r)
	d.flags(r)
	d.advice(r)
	d.problems(r.Problems)
	if scenes != nil {
		d.Ln(1)
		d.draw(most, scenes...)
	}
	d.cautions(r.Cautions, 2)
	d.look(r)
	d.fits(r)
	d.toBuy(r.ToBuy)
	return d
}

var outcomes = map[string]string{
	kit.Complete: "The kit is complete",
	kit.ToCheck:  "Not yet complete: check what is named below first", kit.Short: "The kit is short", kit.Conflict: "Do not fit this kit as it is labelled",
}

func (d *document) outcome(r *kit.Report) {
	s := r.Summary
	d.Ln(1.5)
	d.style("B", 11)
	d.CellFormat(textWide, 5.5, outcomes[r.Outcome], "LTR", 1, "L", false, 0, "")
	d.style("", d.size)
	d.CellFormat(textWide, d.line()+1, fmt.Sprintf("%d of %d positions filled, %d not; %d flagged; %d parts left over; penalty %d",
		s.Filled, s.Positions, s.Unfilled, s.Flagged, s.Surplus, s.Penalty), "LBR", 1, "L", false, 0, "")
}

// flags writes what a person should look at first.
func (d *document) flags(r *kit.Report) {
	if len(r.Flags) == 0 {
		return
	}
	d.heading("Look at these first")
	for _, f := range r.Heads() {
		word := ""
		if f.Severity == finding.Stop {
			word = "STOP: "
		}
		d.bullet(bold(f.Severity), word+f.Sentence.String())
	}
}

// advice writes what the kit would allow, and which build it fits better.
func (d *document) advice(r *kit.Report) {
	if len(r.Rearrangement) > 0 {
		d.heading("What the whole kit would allow")
		for _, s := range r.Steps() {
			d.bullet("", s.String())
		}
	}
	if len(r.BetterFit) > 0 {
		d.heading("It fits another build better")
		for _, x := range r.BetterFit {
			d.bullet("", x.Sentence.String())
		}
	}
}

// problems writes which rows of the list were not read as they stand.
func (d *document) problems(ps []kit.Problem) {
	if len(ps) == 0 {
		return
	}
	d.heading("What the list left open")
	for _, p := range ps {
		d.bullet("", p.Sentence().String())
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

var lookColumns = []column{{30, "Position", "B"}, {60, "Wanted", ""}, {96, "Why", ""}}

// look lists the positions that need more than fitting, but for those that
// stand among the flags.
func (d *document) look(r *kit.Report) {
	first := true
	flagged := map[string]bool{}
	for _, f := range r.Flags {
		flagged[f.Designator] = true
	}
	for _, x := range r.Runs() {
		if x.Fit == kit.Match || x.Fit == kit.Suitable || flagged[x.Designators[0]] {
			continue
		}
		if first {
			d.heading("Positions without a part")
			d.tableHead(lookColumns)
			first = false
		}
		d.row(lookColumns, []string{list.Ranges(x.Designators), drawing.PartText(&x.Wanted), why(x.Findings)})
	}
}

// why is the sentences of what is wrong; notes are left to the screen.
func why(fs []finding.Finding) string {
	var ss []string
	for _, f := range fs {
		if f.Severity != finding.Note {
			ss = append(ss, f.Sentence.String())
		}
	}
	return strings.Join(ss, " ")
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
	d.heading("What goes where: tick when fitted")
	cols := []column{{lineWide, "Line", ""}, {partWide, "Part", ""}, {textWide - lineWide - partWide - leftWide, "Positions", ""}, {leftWide, "Left over", ""}}
	d.tableHead(cols)
	for i := range r.Lines {
		d.fit(&r.Lines[i], cols[2].wide-2)
	}
}

func (d *document) fit(l *kit.LineReport, wide float64) {
	text := "not read: " + l.Text
	switch {
	case l.Read != nil && l.Sure:
		text = drawing.PartText(l.Read)
	case l.Read != nil || l.Readings != nil:
		text = "NOT SURE: " + l.Text
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

var buyColumns = []column{{6, "", ""}, {18, "Quantity", "B"}, {106, "Part", ""}, {56, "For", ""}}

func (d *document) toBuy(ps []kit.Purchase) {
	if len(ps) == 0 {
		return
	}
	d.heading("To buy")
	d.tableHead(buyColumns)
	for _, p := range ps {
		ps := append([]message.Message{message.Text(drawing.PartText(&p.Part)), p.Outside()}, p.Open...)
		d.row(buyColumns, []string{"", strconv.Itoa(p.Quantity) + " ×", message.Semicolons(ps).Say().String(), list.Ranges(p.For)})
	}
}
