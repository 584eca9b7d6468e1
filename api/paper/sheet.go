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
	d.head(b, d.say("paper.sheet"))
	cautions, err := kit.Cautions(b.Map, kit.Scope{})
	if err != nil {
		return nil, fmt.Errorf("cautions of %s: %w", b.Map.Board, err)
	}
	d.cautions(cautions, 1)
	d.failures(b.Map)
	d.seen(b.Seen)
	d.drawings(b)
	d.pictures(b.Pictures)
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
	d.heading(d.say("paper.what-serviced-units-showed"))
	for _, s := range sentences {
		d.bullet("", d.in.Speak(s))
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

// drawings draws each side.
func (d *document) drawings(b *Board) {
	for _, s := range b.scenes(nil) {
		d.draw(d.fair(), s)
	}
	d.notDrawn(b)
}

// maxDrawn is how many positions a side may have to be drawn on this paper: with
// more, no letter of the drawing could be read.
const maxDrawn = 3000

// notDrawn tells which sides have too many positions to be drawn.
func (d *document) notDrawn(b *Board) {
	for _, side := range board.Sides {
		if n := b.on(side); n > maxDrawn {
			d.text("I", d.say("paper.not-drawn", message.Word("paper.side", side), n))
		}
	}
}

// on is how many positions a side has.
func (b *Board) on(side board.Side) (n int) {
	for i := range b.Map.Positions {
		n += rank(b.Map.Positions[i].Side == side)
	}
	return n
}

// scenes are the drawings of the sides that bear parts, and not too many.
func (b *Board) scenes(badges []drawing.Badge) []*drawing.Scene {
	o := drawing.Options{In: b.In, Revision: b.Revision, Digest: b.Digest, Badges: badges}
	if !b.ReleasedAt.IsZero() {
		o.Date = b.ReleasedAt.UTC().Format("2006-01-02")
	}
	if b.Build != nil {
		o.Variant = b.Build.Variant
	}
	var out []*drawing.Scene
	for _, o.Side = range board.Sides {
		if n := b.on(o.Side); n > 0 && n <= maxDrawn {
			out = append(out, drawing.Layout(b.Map, o))
		}
	}
	return out
}

// moments of a caution, in words.
// moments are the keys of what stands before a caution for a moment.
var moments = map[board.Moment]string{"": "text.whole", board.BeforeOpening: "paper.before-opening",
	board.BeforePowerUp: "paper.before-power-up",
	board.WhileWorking:  "paper.while-working", board.Afterwards: "paper.afterwards"}

// order of the moments in the work.
var order = []board.Moment{"", board.BeforeOpening, board.WhileWorking, board.BeforePowerUp, board.Afterwards}

// cautions writes all of them, what must not be overlooked first, then in the
// order of the work, in one column or two.
func (d *document) cautions(cs []kit.Caution, columns int) {
	if len(cs) == 0 {
		return
	}
	d.heading(d.say("paper.cautions"))
	cs = slices.Clone(cs)
	when := func(c kit.Caution) int { return slices.Index(order, c.When) }
	slices.SortStableFunc(cs, func(a, b kit.Caution) int {
		return cmp.Or(-cmp.Compare(rank(a.Severity == finding.Stop), rank(b.Severity == finding.Stop)),
			cmp.Compare(when(a), when(b)))
	})
	items := make([]item, len(cs))
	for i, c := range cs {
		items[i] = item{bold(c.Severity), d.say(moments[c.When], c.Text)}
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
	d.heading(d.say("paper.known-failures"))
	for _, f := range fs {
		title := d.say("text.brackets", f.Title, message.Word("failure-severity", f.Severity))
		if bars(f) {
			title = d.say("paper.barred", title)
		}
		d.bullet("B", title)
		if s := strings.TrimSpace(f.Mechanism + " " + f.Remedy); s != "" {
			d.indented("", s, 4, "")
		}
		if len(f.Positions) > 0 {
			d.indented("", d.say("paper.positions-of", message.Commas(f.Positions)), 4, "")
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

var positionColumns = []column{{6, "", ""}, {18, "paper.col.position", "B"}, {88, "paper.col.part", ""},
	{17, "paper.col.service", ""}, {59, "paper.col.notes", ""}}

// positions lists what is to be serviced, area by area.
func (d *document) positions(m *board.Map) {
	left, marks := 0, drawing.LandmarksOf(m)
	areas := drawing.WorkingOrder(m, func(p *board.Position) bool {
		leave := p.Service.Or() == board.Leave
		left += rank(leave)
		return !leave
	})
	d.heading(d.say("paper.positions"))
	d.tableHead(positionColumns)
	for _, a := range areas {
		d.room(4 * d.line())
		d.style("B", d.size)
		d.Ln(1)
		d.CellFormat(textWide, d.line()*1.3, d.say("paper.zone", message.Word("paper.side", a.Side), a.Zone), "", 1,
			"L", false, 0, "")
		for _, p := range a.Positions {
			text := d.in.Speak(drawing.PartText(&p.Part))
			if p.Replacement != nil {
				text = d.say("paper.fit-instead", drawing.PartText(&p.Replacement.Part), text)
			}
			d.row(positionColumns, []string{"", p.Designator, text, d.in.Speak(message.Word("service", p.Service)),
				d.notes(p, marks)})
		}
	}
	d.Ln(1)
	d.text("I", d.say("paper.left", left))
}

func (d *document) notes(p *board.Position, marks *drawing.Landmarks) string {
	var ws []message.Message
	if p.Glued != nil && *p.Glued {
		ws = append(ws, message.Of("claim.glued"))
	}
	if p.Negative != nil {
		ws = append(ws, minus(p, marks))
	}
	if p.Function != "" {
		ws = append(ws, message.Text(p.Function))
	}
	return d.in.Speak(message.Commas(ws).Say())
}

// minus says where the negative lead of a position points in the drawing of its
// side, and towards what, where that cannot be mistaken.
func minus(p *board.Position, marks *drawing.Landmarks) message.Message {
	way := message.Word("paper.way", drawing.Minus(p))
	switch l := marks.Towards(p); l.Mark {
	case drawing.Notch:
		return message.Of("paper.minus-notch", way)
	case drawing.Connector, drawing.Row:
		return message.Of("paper.minus-towards", way, list.Ranges(l.Names))
	}
	return message.Of("paper.minus", way)
}

var checkColumns = []column{{6, "", ""}, {72, "paper.col.what", ""}, {66, "paper.col.between", ""},
	{44, "paper.col.right-is", ""}}

// checks lists the measurements of one moment.
func (d *document) checks(m *board.Map, when board.Moment) {
	var ks []board.Measurement
	for _, k := range m.Checks {
		if k.When == when {
			ks = append(ks, k)
		}
	}
	var rows [][]string
	for _, k := range ks {
		var ends []message.Message
		if k.Expect != nil && !k.Expect.Min.IsZero() {
			ends = append(ends, message.Of("paper.from", k.Expect.Min))
		}
		if k.Expect != nil && !k.Expect.Max.IsZero() {
			ends = append(ends, message.Of("paper.to", k.Expect.Max))
		}
		rows = append(rows, []string{"", strings.TrimSpace(k.Title + " " + k.Note),
			d.say("text.colon", message.Word("measure", k.Measure), message.Commas(k.Between)),
			d.in.Speak(message.Words(ends).Say())})
	}
	d.table(d.say("paper.checks", when), "", checkColumns, rows)
}
