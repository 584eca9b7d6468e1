package board_test

import (
	"strconv"
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/tabletest"
)

// placements makes a map of a list of real placement facts; height is the
// board's, mm.
func placements(t *testing.T, file string) *board.Map {
	t.Helper()
	m := &board.Map{Board: "interf-u", Equipment: board.Equipment{Maker: "Open hardware", Model: "interf_u"},
		Name:  "Interface",
		Frame: board.Frame{Width: 115.57, Height: 108.204, Basis: "design-data"}, Positions: []board.Position{}}
	for _, row := range tabletest.Rows(t, "testdata/"+file) {
		figure := func(name string) float64 {
			v, err := strconv.ParseFloat(row[name], 64)
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
		m.Positions = append(m.Positions, board.Position{
			Designator: row["Designator"], Side: board.Side(row["Side"]), X: figure("Center X (mm)"),
			Y: figure("Center Y (mm)"), Rotation: figure("Rotation"),
			Part: part.Part{Class: part.Other, Text: row["Value"]},
			Body: &part.Body{Mount: row["Mount"], Shape: "other", Length: figure("Length (mm)"),
				Width: figure("Width (mm)")}})
	}
	return m
}

// Between two revisions of a real board the lower edge went down by 0.25 mm,
// so every Y differs, and one connector got another package.
func TestRealRevisions(t *testing.T) {
	from, to := placements(t, "interf_u-earlier.csv"), placements(t, "interf_u.csv")
	for _, m := range []*board.Map{from, to} {
		if fs := board.Check(m); finding.Worst(fs) == finding.Stop {
			t.Errorf("a real board is refused: %+v", fs[0])
		}
	}
	d := board.Diff(from, to)
	if d.Summary.Kinds[board.FrameChanged] != 1 {
		t.Errorf("no change of the frame:\n%s", d.Text(message.English))
	}
	golden(t, "interf_u.txt", d.Text(message.English))
}

// Corrections that were made against the earlier revision come onto the later
// one in its frame, whichever is released first.
func TestRealRevisionsCarried(t *testing.T) {
	base, current := placements(t, "interf_u-earlier.csv"), placements(t, "interf_u.csv")
	proposed := placements(t, "interf_u-earlier.csv")
	p, q := on(proposed, "U1"), on(proposed, "U3")
	p.X, p.Part.Text = p.X+2.5, "TW 8255"
	was := q.Designator
	q.Designator = "U33"
	for name, sides := range map[string][2]*board.Map{"the frame first": {current, proposed},
		"the frame last": {proposed, current}} {
		m, conflicts := board.CarryForward(base, sides[0], sides[1])
		if len(conflicts) > 0 {
			t.Fatalf("%s: %+v", name, conflicts)
		}
		want := placements(t, "interf_u.csv")
		on(want, was).Designator = "U33"
		on(want, "U1").X, on(want, "U1").Part.Text = on(want, "U1").X+2.5, "TW 8255"
		if d := board.Diff(want, m); len(d.Changes) > 0 {
			t.Errorf("%s:\n%s", name, d.Text(message.English))
		}
	}
}
