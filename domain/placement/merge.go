package placement

import (
	"math"
	"slices"
	"strconv"

	"boardlore/domain/board"
)

// Merged says what became of a list for a board that has a map: the map stays,
// what the list has of it in another place moves, what is new comes, and what
// the list says otherwise is told and not taken.
type Merged struct {
	Base    int        `json:"base_revision"`        // of the map; the caller's to fill in
	Likely  int        `json:"likely_base,omitzero"` // an older revision with which its places agree better; the caller's to fill in
	Added   []string   `json:"added"`
	Moved   []Move     `json:"moved"`
	Filled  []string   `json:"filled"`             // positions that got a value or a rating that they lacked
	Differs []Differs  `json:"differs"`            // what the list says otherwise, and the map keeps
	Missing []string   `json:"missing"`            // positions of the map that the list does not have; they stay
	Shift   [2]float64 `json:"shift_mm,omitempty"` // by which the list's origin lies off the map's
}

// Move is a position that the list has elsewhere.
type Move struct {
	Designator string     `json:"designator"`
	From       [2]float64 `json:"from"` // mm
	To         [2]float64 `json:"to"`
	Distance   float64    `json:"distance_mm"`
}

// Differs is a member that the list has otherwise.
type Differs struct {
	Designator string `json:"designator"`
	Member     string `json:"member"`
	Map        string `json:"map"`
	List       string `json:"list"`
}

// Common practice: places of one board in two lists agree to a tenth of a
// millimetre, and a shared shift is one if two thirds of the parts have it.
const (
	minSlack    = 0.1 // mm
	sameShift   = 0.3 // mm
	shiftShare  = 2.0 / 3
	shiftFewest = 4
)

// Merge brings the positions of a list's draft into the map of the board that
// it is for. The map is not changed; what comes back shares memory with both.
func Merge(into, draft *board.Map) (*board.Map, Merged) {
	return merge(into, draft, func(string) float64 { return 0 })
}

// surely is how many standard deviations off a mark lies before it is another place.
const surely = 3

// MergePhotographs brings the draft that was made of photographs into the map of
// the board that they show: a part moves where its mark lies off by more than
// the marking is unsure of. Photographs that the map does not have come along.
func MergePhotographs(into *board.Map, r *PhotographResult) (*board.Map, Merged) {
	unsure := make(map[string]float64, len(r.Marks))
	for _, k := range r.Marks {
		unsure[k.Designator] = surely * k.Uncertainty
	}
	out, m := merge(into, r.Map, func(d string) float64 { return unsure[d] })
	out.Photographs = slices.Clone(into.Photographs)
	for _, p := range r.Map.Photographs {
		same := func(q board.Photograph) bool { return q.SHA256 == p.SHA256 && q.Side == p.Side }
		if k := slices.IndexFunc(out.Photographs, same); k >= 0 {
			out.Photographs[k].Points = p.Points
			continue
		}
		out.Photographs = append(out.Photographs, p)
	}
	return out, m
}

func merge(into, draft *board.Map, unsure func(designator string) float64) (*board.Map, Merged) {
	out := *into
	out.Positions = slices.Clone(into.Positions)
	m := Merged{Added: []string{}, Moved: []Move{}, Filled: []string{}, Differs: []Differs{}, Missing: []string{}}
	at := map[string]int{}
	for i := range out.Positions {
		at[out.Positions[i].Designator] = i
	}
	m.Shift = shift(out.Positions, at, draft.Positions)
	slack := minSlack
	if u := into.Frame.Uncertainty; u != nil {
		slack = max(slack, *u)
	}
	named := map[string]bool{}
	for i := range draft.Positions {
		p := draft.Positions[i]
		p.X, p.Y = thousandth(p.X-m.Shift[0]), thousandth(p.Y-m.Shift[1])
		named[p.Designator] = true
		if k, known := at[p.Designator]; known {
			m.meet(&out.Positions[k], &p, max(slack, unsure(p.Designator)))
			continue
		}
		out.Positions = append(out.Positions, p)
		m.Added = append(m.Added, p.Designator)
	}
	for i := range into.Positions {
		if d := into.Positions[i].Designator; !named[d] {
			m.Missing = append(m.Missing, d)
		}
	}
	slices.SortFunc(m.Added, board.CompareDesignators)
	slices.SortFunc(m.Missing, board.CompareDesignators)
	return &out, m
}

func thousandth(mm float64) float64 { return math.Round(mm*1000) / 1000 }

// meet takes what a list says of a position that the map has.
func (m *Merged) meet(have, listed *board.Position, slack float64) {
	told := func(member, ours, theirs string) {
		m.Differs = append(m.Differs, Differs{have.Designator, member, ours, theirs})
	}
	if have.Side != listed.Side {
		told("side", string(have.Side), string(listed.Side)) // its place is seen from the other side then
	} else if d := math.Hypot(have.X-listed.X, have.Y-listed.Y); d > slack {
		m.Moved = append(m.Moved, Move{have.Designator, [2]float64{have.X, have.Y}, [2]float64{listed.X, listed.Y},
			thousandth(d)})
		have.X, have.Y = listed.X, listed.Y
	}
	p, q := &have.Part, &listed.Part
	filled := false
	switch {
	case listed.Negative == nil || have.Side != listed.Side:
	case have.Negative == nil:
		have.Negative, filled = listed.Negative, true
	case turned(*have.Negative, *listed.Negative) > sameWay:
		told("negative_deg", degrees(*have.Negative), degrees(*listed.Negative))
	}
	switch {
	case p.Class != q.Class:
		told("part.class", string(p.Class), string(q.Class))
	case q.Value.IsZero():
	case p.Value.IsZero():
		p.Value, filled = q.Value, true
	case p.Value != q.Value:
		told("part.value", p.Value.String(), q.Value.String())
	}
	switch {
	case p.Class != q.Class || q.Voltage.IsZero():
	case p.Voltage.IsZero():
		p.Voltage, filled = q.Voltage, true
	case p.Voltage != q.Voltage:
		told("part.voltage", p.Voltage.String(), q.Voltage.String())
	}
	if filled {
		m.Filled = append(m.Filled, have.Designator)
	}
}

// sameWay is how far two directions of one lead lie apart at most, degrees: leads
// are bent, and parts stand askew.
const sameWay = 30

// turned is the angle between two directions.
func turned(a, b float64) float64 {
	d := math.Mod(math.Abs(a-b), 360)
	return min(d, 360-d)
}

func degrees(a float64) string { return strconv.FormatFloat(a, 'f', -1, 64) }

// shift is how far the list's origin lies off the map's: the median of what
// the parts of both have, where most have that.
func shift(have []board.Position, at map[string]int, listed []board.Position) [2]float64 {
	var dx, dy []float64
	for i := range listed {
		if k, known := at[listed[i].Designator]; known && have[k].Side == listed[i].Side {
			dx, dy = append(dx, listed[i].X-have[k].X), append(dy, listed[i].Y-have[k].Y)
		}
	}
	if len(dx) < shiftFewest {
		return [2]float64{}
	}
	mx, my := median(dx), median(dy)
	agree := 0
	for i := range dx {
		if math.Hypot(dx[i]-mx, dy[i]-my) <= sameShift {
			agree++
		}
	}
	if float64(agree) < shiftShare*float64(len(dx)) || math.Hypot(mx, my) <= sameShift {
		return [2]float64{}
	}
	return [2]float64{thousandth(mx), thousandth(my)}
}

func median(of []float64) float64 {
	sorted := slices.Sorted(slices.Values(of))
	return sorted[len(sorted)/2]
}
