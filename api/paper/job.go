package paper

import (
	"strconv"
	"strings"

	"boardlore/domain/bench"
	"boardlore/domain/board"
	"boardlore/domain/drawing"
	"boardlore/domain/message"
)

// Job is the job sheet of one unit: the plan with boxes to tick and fields for
// what was found and measured, for whoever works without a screen.
func Job(b *Board, p *bench.Plan) ([]byte, error) {
	d := newDocument(b, b.In.Say("paper.job-title", b.Map.Name), 9)
	d.head(b, d.say("paper.job"))
	d.field(d.say("paper.unit"), 60)
	d.field(d.say("paper.date"), 40)
	d.field(d.say("paper.symptoms"), 62)
	d.Ln(2.2 * d.line())
	d.cautions(p.Cautions, 1)
	d.safe(p)
	d.readings(d.say("paper.measure-before-the-work"), p.ChecksBefore)
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
	d.readings(d.say("paper.power-up"), p.PowerUp)
	d.readings(d.say("paper.measure-after-power-up"), p.ChecksAfter)
	d.drawings(b)
	d.heading(d.say("paper.outcome-and-notes"))
	d.row([]column{{6, "", ""}, {40, "-", ""}, {6, "", ""}, {40, "-", ""}, {6, "", ""}, {40, "-", ""}, {6, "", ""},
		{44, "-", ""}},
		[]string{"", d.say("paper.working"), "", d.say("paper.partly"), "", d.say("paper.not-working"), "",
			d.say("paper.not-tested")})
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

var safeColumns = []column{{6, "", ""}, {24, "paper.col.position", "B"}, {112, "paper.col.what-to-do", ""},
	{46, "paper.col.reading", ""}}

func (d *document) safe(p *bench.Plan) {
	if len(p.MakeSafe) == 0 {
		return
	}
	d.heading(d.say("paper.make-safe-before-touching-anything"))
	d.tableHead(safeColumns)
	for _, c := range p.MakeSafe {
		d.row(safeColumns, []string{"", strings.Join(c.Positions, ", "),
			d.say("paper.charge", c.Capacitance, c.Voltage, strconv.FormatFloat(c.Energy, 'g', 3, 64), c.Text), blank +
				" V"})
	}
}

var readingColumns = []column{{6, "", ""}, {86, "paper.col.what", ""}, {50, "paper.col.right-is", ""},
	{46, "paper.col.reading", ""}}

func (d *document) readings(title string, cs []bench.Check) {
	if len(cs) == 0 {
		return
	}
	d.heading(title)
	d.tableHead(readingColumns)
	for _, c := range cs {
		what, reading := d.say("paper.step", c.Title, c.Text), ""
		if c.Measure != "" {
			what, reading = d.say("paper.reading-of", c.Title, message.Word("measure", c.Measure),
				message.Through(c.Between), c.Note), blank
		}
		d.row(readingColumns, []string{"", strings.TrimSpace(what), d.in.Speak(c.Right), reading})
	}
}

var removalColumns = []column{{6, "", ""}, {17, "paper.col.position", "B"}, {50, "paper.col.part", ""},
	{72, "paper.col.how", ""}, {43, "paper.col.found-measured", ""}}

func (d *document) removal(s *bench.Stage, at map[string]*board.Position) {
	d.heading(d.say("paper.take-out", s.Title))
	d.text("", d.in.Speak(s.Reason))
	d.tableHead(removalColumns)
	for _, r := range s.Removal {
		how := r.Method.Method
		if len(r.Avoid) > 0 {
			how = how.And(message.Of("paper.not", message.Semicolons(r.Avoid)))
		}
		d.row(removalColumns, []string{"", r.Designator, d.in.Speak(drawing.PartText(&at[r.Designator].Part)),
			d.in.Speak(how), blank})
	}
}

var fittingColumns = []column{{6, "", ""}, {17, "paper.col.position", "B"}, {82, "paper.col.fit", ""},
	{40, "paper.col.negative-lead", ""}, {43, "paper.col.fitted", ""}}

func (d *document) fitting(s *bench.Stage, at map[string]*board.Position) {
	d.heading(d.say("paper.fit", s.Title))
	d.tableHead(fittingColumns)
	for _, f := range s.Fitting {
		p := at[f.Designator]
		negative := ""
		if p.Negative != nil {
			negative = d.say("paper.negative-at", strconv.FormatFloat(*p.Negative, 'f', -1, 64))
		}
		d.row(fittingColumns, []string{"", f.Designator, d.in.Speak(drawing.PartText(p.Wanted())), negative, blank})
	}
}
