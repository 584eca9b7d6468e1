package paper

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/drawing"
	"boardlore/domain/finding"
	"boardlore/domain/kit"
	"boardlore/domain/list"
	"boardlore/domain/message"
)

// Sheet is the board sheet: cautions, failure points, drawing, positions in
// working order with a box to tick, checks.
func Sheet(b *Board) ([]byte, error) {
	d := newDocument(b, board.Called(&b.Map.Equipment, b.Map.Name), 9)
	d.head(b, "Board sheet")
	cautions, err := kit.Cautions(b.Map, kit.Scope{})
	if err != nil {
		return nil, fmt.Errorf("cautions of %s: %w", b.Map.Board, err)
	}
	d.cautions(cautions, 1)
	d.failures(b.Map)
	d.seen(b.Seen)
	for _, s := range b.scenes(nil) {
		d.draw(d.fair(), s)
	}
	d.positions(b.Map)
	d.checks(b.Map, board.BeforePowerUp)
	d.checks(b.Map, board.AfterPowerUp)
	return d.bytes()
}

// seen writes what serviced units showed.
func (d *document) seen(sentences []message.Message) {
	if len(sentences) == 0 {
		return
	}
	d.heading("What serviced units showed")
	for _, s := range sentences {
		d.bullet("", s.String())
	}
}

// fair is how tall a drawing may be: what is left of the page where that is
// enough to read it by.
func (d *document) fair() float64 {
	const enough, most = 110.0, 200.0
	if free := d.left() - 2; free >= enough {
		return min(free, most)
	}
	return most
}

// scenes are the drawings of the sides that bear parts.
func (b *Board) scenes(badges []drawing.Badge) []*drawing.Scene {
	o := drawing.Options{Revision: b.Revision, Digest: b.Digest, Badges: badges}
	if !b.ReleasedAt.IsZero() {
		o.Date = b.ReleasedAt.UTC().Format("2006-01-02")
	}
	if b.Build != nil {
		o.Variant = b.Build.Variant
	}
	var out []*drawing.Scene
	for _, o.Side = range board.Sides {
		if slices.ContainsFunc(b.Map.Positions, func(p board.Position) bool { return p.Side == o.Side }) {
			out = append(out, drawing.Layout(b.Map, o))
		}
	}
	return out
}

// moments of a caution, in words.
var moments = map[board.Moment]string{board.BeforeOpening: "Before opening: ", board.BeforePowerUp: "Before power-up: ",
	board.WhileWorking: "While working: ", board.Afterwards: "Afterwards: "}

// order of the moments in the work.
var order = []board.Moment{"", board.BeforeOpening, board.WhileWorking, board.BeforePowerUp, board.Afterwards}

// cautions writes all of them, what must not be overlooked first, then in the
// order of the work, in one column or two.
func (d *document) cautions(cs []kit.Caution, columns int) {
	if len(cs) == 0 {
		return
	}
	d.heading("Cautions")
	cs = slices.Clone(cs)
	when := func(c kit.Caution) int { return slices.Index(order, c.When) }
	slices.SortStableFunc(cs, func(a, b kit.Caution) int {
		return cmp.Or(-cmp.Compare(rank(a.Severity == finding.Stop), rank(b.Severity == finding.Stop)), cmp.Compare(when(a), when(b)))
	})
	items := make([]item, len(cs))
	for i, c := range cs {
		items[i] = item{bold(c.Severity), moments[c.When] + c.Text.String()}
	}
	if columns == 2 && d.beside(items) {
		return
	}
	for _, x := range items {
		d.bullet(x.style, x.text)
	}
}

// bold sets off what must not be overlooked.
func bold(s finding.Severity) string {
	if s == finding.Stop {
		return "B"
	}
	return ""
}

// failures writes what is known to fail, first what bars power-up, then the
// gravest.
func (d *document) failures(m *board.Map) {
	if len(m.FailurePoints) == 0 {
		return
	}
	fs := slices.Clone(m.FailurePoints)
	grave := map[string]int{"hazard": 3, "major": 2, "minor": 1}
	slices.SortStableFunc(fs, func(a, b board.FailurePoint) int {
		return cmp.Or(cmp.Compare(rank(bars(b)), rank(bars(a))), cmp.Compare(grave[b.Severity], grave[a.Severity]))
	})
	d.heading("Known failures")
	for _, f := range fs {
		title := f.Title + " (" + f.Severity + ")"
		if bars(f) {
			title += ": do not power up before this is dealt with"
		}
		d.bullet("B", title)
		if s := strings.TrimSpace(f.Mechanism + " " + f.Remedy); s != "" {
			d.indented("", s, 4, "")
		}
		if len(f.Positions) > 0 {
			d.indented("", "Positions: "+strings.Join(f.Positions, ", "), 4, "")
		}
	}
}

func bars(f board.FailurePoint) bool { return f.BarsPowerUp != nil && *f.BarsPowerUp }

func rank(b bool) int {
	if b {
		return 1
	}
	return 0
}

var positionColumns = []column{{6, "", ""}, {18, "Position", "B"}, {88, "Part", ""}, {17, "Service", ""}, {59, "Notes", ""}}

// positions lists what is to be serviced, area by area.
func (d *document) positions(m *board.Map) {
	left, marks := 0, drawing.LandmarksOf(m)
	areas := drawing.WorkingOrder(m, func(p *board.Position) bool {
		leave := p.Service.Or() == board.Leave
		left += rank(leave)
		return !leave
	})
	d.heading("Positions")
	d.tableHead(positionColumns)
	for _, a := range areas {
		d.room(4 * d.line())
		d.style("B", d.size)
		d.Ln(1)
		d.CellFormat(textWide, d.line()*1.3, fmt.Sprintf("%s side, zone %s", strings.ToUpper(string(a.Side[:1]))+string(a.Side[1:]), a.Zone), "", 1, "L", false, 0, "")
		for _, p := range a.Positions {
			text := drawing.PartText(&p.Part)
			if p.Replacement != nil {
				text = "Fit instead: " + drawing.PartText(&p.Replacement.Part) + " (" + text + ")"
			}
			d.row(positionColumns, []string{"", p.Designator, text, string(p.Service), notes(p, marks)})
		}
	}
	d.Ln(1)
	d.text("I", fmt.Sprintf("Not listed here: %d positions to leave.", left))
}

func notes(p *board.Position, marks *drawing.Landmarks) string {
	var ws []string
	if p.Glued != nil && *p.Glued {
		ws = append(ws, "glued")
	}
	if p.Negative != nil {
		ws = append(ws, minus(p, marks))
	}
	if p.Function != "" {
		ws = append(ws, p.Function)
	}
	return strings.Join(ws, ", ")
}

// minus says where the negative lead of a position points in the drawing of its
// side, and towards what, where that cannot be mistaken.
func minus(p *board.Position, marks *drawing.Landmarks) string {
	text := "minus " + strings.ReplaceAll(string(drawing.Minus(p)), "-", " ") + " as drawn"
	switch l := marks.Towards(p); l.Mark {
	case drawing.Notch:
		text += ", towards the notched edge"
	case drawing.Connector, drawing.Row:
		text += ", towards " + list.Ranges(l.Names)
	}
	return text
}

var checkColumns = []column{{6, "", ""}, {72, "What", ""}, {66, "Between", ""}, {44, "Right is", ""}}

// checks lists the measurements of one moment.
func (d *document) checks(m *board.Map, when board.Moment) {
	var ks []board.Measurement
	for _, k := range m.Checks {
		if k.When == when {
			ks = append(ks, k)
		}
	}
	if len(ks) == 0 {
		return
	}
	d.heading("Checks: " + when.Words())
	d.tableHead(checkColumns)
	for _, k := range ks {
		expect := ""
		if k.Expect != nil {
			if !k.Expect.Min.IsZero() {
				expect = "from " + k.Expect.Min.String() + " "
			}
			if !k.Expect.Max.IsZero() {
				expect += "to " + k.Expect.Max.String()
			}
		}
		d.row(checkColumns, []string{"", strings.TrimSpace(k.Title + " " + k.Note), k.Measure + ": " + strings.Join(k.Between, ", "), strings.TrimSpace(expect)})
	}
}
