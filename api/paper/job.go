package paper

import (
	"fmt"
	"strconv"
	"strings"

	"boardlore/domain/bench"
	"boardlore/domain/board"
	"boardlore/domain/drawing"
)

// Job is the job sheet of one unit: the plan with boxes to tick and fields for
// what was found and measured, for whoever works without a screen.
func Job(b *Board, p *bench.Plan) ([]byte, error) {
	d := newDocument(b, b.Map.Name+", job sheet", 9)
	d.head(b, "Job sheet")
	d.field("Unit", 60)
	d.field("Date", 40)
	d.field("Symptoms", 62)
	d.Ln(2.2 * d.line())
	d.cautions(p.Cautions, 1)
	d.safe(p)
	d.readings("Measure before the work", p.ChecksBefore)
	at := make(map[string]*board.Position, len(b.Map.Positions))
	for i := range b.Map.Positions {
		at[b.Map.Positions[i].Designator] = &b.Map.Positions[i]
	}
	for _, s := range p.Stages {
		d.removal(&s, at)
	}
	for i := len(p.Stages) - 1; i >= 0; i-- {
		d.fitting(&p.Stages[i], at)
	}
	d.readings("Power up", p.PowerUp)
	d.readings("Measure after power-up", p.ChecksAfter)
	for _, s := range b.scenes(nil) {
		d.draw(d.fair(), s)
	}
	d.heading("Outcome and notes")
	d.row([]column{{6, "", ""}, {40, "-", ""}, {6, "", ""}, {40, "-", ""}, {6, "", ""}, {40, "-", ""}, {6, "", ""}, {44, "-", ""}},
		[]string{"", "working", "", "partly", "", "not working", "", "not tested"})
	for range 6 {
		d.SetY(d.GetY() + 1.4*d.line())
		d.rule()
	}
	return d.bytes()
}

// field is a name with a line to write on, in the current line.
func (d *document) field(name string, wide float64) {
	d.style("B", d.size)
	w := d.GetStringWidth(name) + 3
	d.CellFormat(w, 1.6*d.line(), name, "", 0, "L", false, 0, "")
	d.CellFormat(wide-w, 1.6*d.line(), "", "B", 0, "L", false, 0, "")
	d.CellFormat(4, 1.6*d.line(), "", "", 0, "L", false, 0, "")
}

// blank is a line to write a reading on.
const blank = "______________"

var safeColumns = []column{{6, "", ""}, {24, "Position", "B"}, {112, "What to do", ""}, {46, "Reading", ""}}

func (d *document) safe(p *bench.Plan) {
	if len(p.MakeSafe) == 0 {
		return
	}
	d.heading("Make safe, before touching anything")
	d.tableHead(safeColumns)
	for _, c := range p.MakeSafe {
		d.row(safeColumns, []string{"", strings.Join(c.Positions, ", "),
			fmt.Sprintf("%v at %v, %.3g J. %s", c.Capacitance, c.Voltage, c.Energy, c.Text), blank + " V"})
	}
}

var readingColumns = []column{{6, "", ""}, {86, "What", ""}, {50, "Right is", ""}, {46, "Reading", ""}}

func (d *document) readings(title string, cs []bench.Check) {
	if len(cs) == 0 {
		return
	}
	d.heading(title)
	d.tableHead(readingColumns)
	for _, c := range cs {
		what, reading := c.Title+". "+c.Text, ""
		if c.Measure != "" {
			what, reading = c.Title+": "+c.Measure+", "+strings.Join(c.Between, " to ")+". "+c.Note, blank
		}
		d.row(readingColumns, []string{"", strings.TrimSpace(what), c.Right, reading})
	}
}

var removalColumns = []column{{6, "", ""}, {17, "Position", "B"}, {50, "Part", ""}, {72, "How", ""}, {43, "Found, measured", ""}}

func (d *document) removal(s *bench.Stage, at map[string]*board.Position) {
	d.heading("Take out: " + strings.ToLower(s.Title[:1]) + s.Title[1:])
	d.text("", s.Reason)
	d.tableHead(removalColumns)
	for _, r := range s.Removal {
		how := r.Method.Method
		if len(r.Avoid) > 0 {
			how += " Not: " + strings.Join(r.Avoid, "; ") + "."
		}
		d.row(removalColumns, []string{"", r.Designator, drawing.PartText(&at[r.Designator].Part), how, blank})
	}
}

var fittingColumns = []column{{6, "", ""}, {17, "Position", "B"}, {82, "Fit", ""}, {40, "Negative lead", ""}, {43, "Fitted", ""}}

func (d *document) fitting(s *bench.Stage, at map[string]*board.Position) {
	d.heading("Fit: " + strings.ToLower(s.Title[:1]) + s.Title[1:])
	d.tableHead(fittingColumns)
	for _, f := range s.Fitting {
		p := at[f.Designator]
		negative := ""
		if p.Negative != nil {
			negative = "at " + strconv.FormatFloat(*p.Negative, 'f', -1, 64) + "°"
		}
		d.row(fittingColumns, []string{"", f.Designator, drawing.PartText(p.Wanted()), negative, blank})
	}
}
