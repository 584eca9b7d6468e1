package paper

import (
	"strconv"
	"strings"

	"boardlore/domain/bench"
	"boardlore/domain/board"
	"boardlore/domain/drawing"
	"boardlore/domain/message"
	"boardlore/domain/part"
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
	marks := drawing.LandmarksOf(b.Map)
	for i := len(p.Stages) - 1; i >= 0; i-- {
		d.fitting(&p.Stages[i], at, marks)
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
	var rows [][]string
	for _, c := range p.MakeSafe {
		rows = append(rows, []string{"", strings.Join(c.Positions, ", "),
			d.say("paper.charge", c.Capacitance, c.Voltage, strconv.FormatFloat(c.Energy, 'g', 3, 64), c.Text), blank +
				" V"})
	}
	d.table(d.say("paper.make-safe-before-touching-anything"), "", safeColumns, rows)
}

var readingColumns = []column{{6, "", ""}, {86, "paper.col.what", ""}, {50, "paper.col.right-is", ""},
	{46, "paper.col.reading", ""}}

func (d *document) readings(title string, cs []bench.Check) {
	var rows [][]string
	for _, c := range cs {
		what, reading := d.say("paper.step", c.Title, c.Text), ""
		if c.Measure != "" {
			what, reading = d.say("paper.reading-of", c.Title, message.Word("measure", c.Measure),
				message.Through(c.Between), c.Note), blank
		}
		rows = append(rows, []string{"", strings.TrimSpace(what), d.in.Speak(c.Right), reading})
	}
	d.table(title, "", readingColumns, rows)
}

var removalColumns = []column{{6, "", ""}, {17, "paper.col.position", "B"}, {50, "paper.col.part", ""},
	{72, "paper.col.how", ""}, {43, "paper.col.found-measured", ""}}

// removal lists what a stage takes out. How is written once, where it is wanted first.
func (d *document) removal(s *bench.Stage, at map[string]*board.Position) {
	var rows [][]string
	first := map[string]string{}
	for _, r := range s.Removal {
		method := r.Method.Method
		if len(r.Avoid) > 0 {
			method = method.And(message.Of("paper.not", message.Semicolons(r.Avoid)))
		}
		how := d.in.Speak(method)
		if before, told := first[how]; told {
			how = d.say("paper.as-for", before)
		} else {
			first[how] = r.Designator
		}
		rows = append(rows, []string{"", r.Designator, d.in.Speak(drawing.PartText(&at[r.Designator].Part)), how, blank})
	}
	d.table(d.say("paper.take-out", s.Title), d.in.Speak(s.Reason), removalColumns, rows)
}

var fittingColumns = []column{{6, "", ""}, {17, "paper.col.position", "B"}, {68, "paper.col.fit", ""},
	{60, "paper.col.negative-lead", ""}, {37, "paper.col.fitted", ""}}

// fitting lists what a stage fits, and which way round, in the words of the drawing.
func (d *document) fitting(s *bench.Stage, at map[string]*board.Position, marks *drawing.Landmarks) {
	var rows [][]string
	for _, f := range s.Fitting {
		p := at[f.Designator]
		var way message.Message
		switch {
		case p.Negative != nil:
			way = minus(p, marks)
		case drawing.Unsure(p), p.Part.Class == part.Diode:
			way = message.Of("paper.way-unknown")
		}
		rows = append(rows, []string{"", f.Designator, d.in.Speak(drawing.PartText(p.Wanted())), d.in.Speak(way), blank})
	}
	d.table(d.say("paper.fit", s.Title), "", fittingColumns, rows)
}
