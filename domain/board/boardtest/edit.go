package boardtest

import (
	"slices"

	"pgregory.net/rapid"

	"boardlore/domain/board"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// Edit draws a few edits of a copy of the map: positions and their members
// changed, renamed, moved, added, removed and put into another order; lists
// edited; the frame shifted, turned or mirrored.
func Edit(t *rapid.T, m *board.Map) *board.Map {
	out := Clone(m)
	for range rapid.IntRange(0, 5).Draw(t, "edits") {
		editOne(t, out)
	}
	return out
}

func editOne(t *rapid.T, m *board.Map) {
	n := len(m.Positions)
	switch what := rapid.IntRange(0, 15).Draw(t, "edit"); {
	case what == 0:
		m.Positions = append(m.Positions, Position(t, "N"+rapid.StringMatching(`[1-9]{3}`).Draw(t, "new")))
	case what <= 9 && n > 0:
		editPosition(t, m, &m.Positions[rapid.IntRange(0, n-1).Draw(t, "position")], what)
	case what == 10 && n > 0:
		i := rapid.IntRange(0, n-1).Draw(t, "gone")
		m.Positions = slices.Delete(m.Positions, i, i+1)
	case what == 11:
		slices.Reverse(m.Positions)
	case what == 12:
		reframe(t, m)
	default:
		editHead(t, m)
	}
}

func editPosition(t *rapid.T, m *board.Map, p *board.Position, what int) {
	switch what {
	case 1:
		p.X = coordinate(t, 200)
	case 2:
		p.Part = Part(t)
	case 3:
		p.Designator = "N" + rapid.StringMatching(`[1-9]{3}`).Draw(t, "renamed")
	case 4:
		p.Notes, p.Extra = maybe(t, word), extra(t)
	case 5:
		p.Negative, p.Rotation = ptr(oneOf(t, 0.0, 90, 180, 360)), oneOf(t, 0.0, 360, 90)
	case 6:
		q := &m.Positions[rapid.IntRange(0, len(m.Positions)-1).Draw(t, "other")]
		p.Designator, q.Designator = q.Designator, p.Designator
	case 7:
		p.Side, p.Service, p.Rail = oneOf(t, board.Sides...), oneOf(t, "", board.Replace), oneOf(t, "", "-5V")
	case 8:
		p.Replacement = nil
		if p.Body = nil; flip(t) {
			p.Body = body(t)
		}
	case 9:
		p.Glued, p.WorkingVoltage = flag(t), of(t, "4 V")
	}
}

func editHead(t *rapid.T, m *board.Map) {
	other := Random(t)
	switch rapid.IntRange(0, 9).Draw(t, "head") {
	case 0:
		m.Frame = other.Frame
	case 1:
		m.Equipment, m.Name = other.Equipment, other.Name
	case 2:
		m.Markings, m.Licence = other.Markings, other.Licence
	case 3:
		m.Extra = other.Extra
	case 4:
		m.Cautions = other.Cautions
	case 5:
		m.Checks = other.Checks
	case 6:
		m.FailurePoints = other.FailurePoints
	case 7:
		m.Variants = other.Variants
	case 8:
		m.Photographs = other.Photographs
	case 9:
		slices.Reverse(m.Cautions)
		slices.Reverse(m.Variants)
		slices.Reverse(m.FailurePoints)
	}
}

func reframe(t *rapid.T, m *board.Map) {
	shift, quarter := coordinate(t, 10), flip(t)
	for i := range m.Positions {
		p := &m.Positions[i]
		if quarter {
			p.X, p.Y = 100-p.Y, p.X
		}
		p.X += shift
	}
}

// Scatter gives Big(n) with about one position in ten changed: values,
// places, designators, notes, some positions gone and some new.
func Scatter(n int) *board.Map {
	m := Big(n)
	for i := range m.Positions {
		p := &m.Positions[i]
		switch i % 50 {
		case 0:
			p.Part.Voltage = Q("25 V")
		case 10:
			p.X += 1.5
		case 21:
			p.Designator += "A"
		case 32:
			p.Notes = "Read again."
		case 43:
			p.Part = part.Part{Class: part.Diode, Voltage: quantity.Quantity{}, Text: "TW4148"}
		}
	}
	for i := n - 1; i >= 0; i -= 97 {
		m.Positions = slices.Delete(m.Positions, i, i+1)
	}
	return m
}
