package record

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"boardlore/domain/board"
	"boardlore/domain/message"
	"boardlore/domain/quantity"
)

// z is the two-sided 95 % point of the normal distribution.
const z = 1.959964

// Method says how the limits of every share come about.
const Method = "Wilson score interval, 95 % (z = 1.959964)"

// FewestUnits is how many units a share is of at least, before anybody is
// shown a rate: below that it would be one bench's luck.
const FewestUnits = 3

// Share is k of n with the limits between which the true share may lie.
type Share struct {
	Share *float64 `json:"share"` // nil where nothing was counted
	Low   float64  `json:"low"`
	High  float64  `json:"high"`
}

// ShareOf works out k of n with Wilson's limits (E. B. Wilson, Journal of the
// American Statistical Association 22, 1927).
func ShareOf(k, n int) Share {
	if n == 0 {
		return Share{Low: 0, High: 1}
	}
	p, m := float64(k)/float64(n), float64(n)
	middle := p + z*z/(2*m)
	half := z * math.Sqrt(p*(1-p)/m+z*z/(4*m*m))
	s := Share{Share: &p, Low: (middle - half) / (1 + z*z/m), High: (middle + half) / (1 + z*z/m)}
	if k == 0 {
		s.Low = 0 // which rounding would miss
	}
	if k == n {
		s.High = 1
	}
	return s
}

// Tally counts the units of a board whose latest word on a position is the same.
type Tally struct {
	Designator string
	Found      string
	Other      string // value that was there instead of the map's; "" where none is told
	Units      int
	AsMapped   int // of these units
}

// PointTally counts units at a failure point.
type PointTally struct {
	ID    string
	Units int // that recorded one of its positions
	Seen  int // of which one of them failed
}

// Noticed is a symptom and the units that show it.
type Noticed struct {
	Text  string `json:"text"`
	Units int    `json:"units"`
}

// Experience is what all records of a board amount to.
type Experience struct {
	Board         string             `json:"board"`
	Variant       string             `json:"variant,omitzero"` // where only its records count
	Revision      int                `json:"revision"`         // whose failure points they are
	Units         int                `json:"units"`
	Positions     []PositionSeen     `json:"positions"`      // natural order
	FailurePoints []FailurePointSeen `json:"failure_points"` // in the map's order
	Symptoms      []Noticed          `json:"symptoms"`       // most units first
	Kits          []KitSeen          `json:"kits"`           // most units first
	Method        string             `json:"method"`
	at            map[string]int     // of Positions, by designator
}

// PositionSeen is what the units of a board showed at one position.
type PositionSeen struct {
	Designator string `json:"designator"`
	Units      int    `json:"units"`
	Failed     int    `json:"failed"`
	Share
	By       []Count `json:"by"`        // most first
	AsMapped int     `json:"as_mapped"` // whose measured or fitted part is as the map says
	Differs  int     `json:"differs"`   // that say it is not
	Others   []Other `json:"others"`    // of these, by what was there; most units first
}

// Other is a value that units had in place of the map's, as a number of the
// series in which such parts are made, since it was measured.
type Other struct {
	Value quantity.Quantity `json:"value"`
	Units int               `json:"units"`
}

// Count is how many units were found so.
type Count struct {
	Found string `json:"found"`
	Count int    `json:"count"`
}

// FailurePointSeen is how often a failure point was met.
type FailurePointSeen struct {
	ID    string `json:"id"`
	Units int    `json:"units"`
	Seen  int    `json:"seen"`
	Share
}

// KitSeen is how a kit served those who used it.
type KitSeen struct {
	Kit      string        `json:"kit"`
	Units    int           `json:"units"`
	Whole    int           `json:"whole"` // for which nothing was missing
	LeftOver []LineCount   `json:"left_over"`
	Missing  []MissedCount `json:"missing"`
}

// LineCount is how many units had some of a line left over.
type LineCount struct {
	Line  int `json:"line"`
	Units int `json:"units"`
}

// MissedCount is for how many units a kit had nothing for a position.
type MissedCount struct {
	Designator string `json:"designator"`
	Units      int    `json:"units"`
}

// Amount puts counts together. Tallies and points may come in any order.
func Amount(m *board.Map, units int, tallies []Tally, points []PointTally, symptoms []Noticed,
	kits []KitSeen) *Experience {
	e := &Experience{Board: m.Board, Units: units, Positions: positionsSeen(tallies),
		FailurePoints: []FailurePointSeen{},
		Symptoms:      symptoms, Kits: kits, Method: Method, at: map[string]int{}}
	if e.Symptoms == nil {
		e.Symptoms = []Noticed{}
	}
	if e.Kits == nil {
		e.Kits = []KitSeen{}
	}
	for i := range e.Positions {
		e.at[e.Positions[i].Designator] = i
	}
	counted := make(map[string]PointTally, len(points))
	for _, p := range points {
		counted[p.ID] = p
	}
	for i := range m.FailurePoints {
		p := counted[m.FailurePoints[i].ID]
		e.FailurePoints = append(e.FailurePoints, FailurePointSeen{ID: m.FailurePoints[i].ID, Units: p.Units,
			Seen: p.Seen, Share: ShareOf(p.Seen, p.Units)})
	}
	return e
}

// Position is what was seen at one position; nil for nothing.
func (e *Experience) Position(designator string) *PositionSeen {
	if e == nil {
		return nil
	}
	if i, ok := e.at[designator]; ok {
		return &e.Positions[i]
	}
	return nil
}

func positionsSeen(tallies []Tally) []PositionSeen {
	out, at := []PositionSeen{}, map[string]int{}
	for _, t := range tallies {
		i, ok := at[t.Designator]
		if !ok {
			i = len(out)
			at[t.Designator], out = i, append(out, PositionSeen{Designator: t.Designator, Others: []Other{}})
		}
		out[i].count(t)
	}
	for i := range out {
		p := &out[i]
		p.Share = ShareOf(p.Failed, p.Units)
		slices.SortFunc(p.By, func(a, b Count) int { return cmp.Or(b.Count-a.Count, cmp.Compare(a.Found, b.Found)) })
		slices.SortFunc(p.Others, func(a, b Other) int { return cmp.Or(b.Units-a.Units, a.Value.Compare(b.Value)) })
	}
	slices.SortFunc(out, func(a, b PositionSeen) int { return board.CompareDesignators(a.Designator, b.Designator) })
	return out
}

func (p *PositionSeen) count(t Tally) {
	if k := slices.IndexFunc(p.By, func(c Count) bool { return c.Found == t.Found }); k >= 0 {
		p.By[k].Count += t.Units
	} else {
		p.By = append(p.By, Count{t.Found, t.Units})
	}
	if t.Found == Missing {
		return
	}
	p.Units += t.Units
	p.AsMapped += t.AsMapped
	if Failed(t.Found) {
		p.Failed += t.Units
	}
	if t.Found == Differs {
		p.Differs += t.Units
		p.other(t)
	}
}

// other counts what was there instead, values of one marking together.
func (p *PositionSeen) other(t Tally) {
	v, err := quantity.Parse(t.Other)
	if err != nil {
		return
	}
	v = Marked(v)
	if k := slices.IndexFunc(p.Others, func(o Other) bool { return o.Value.Compare(v) == 0 }); k >= 0 {
		p.Others[k].Units += t.Units
		return
	}
	p.Others = append(p.Others, Other{v, t.Units})
}

// Marked is the value with which a part is probably marked that was measured so:
// the nearest number of the series of IEC 60063 in which such parts are made.
func Marked(measured quantity.Quantity) quantity.Quantity {
	series := quantity.E24
	if measured.Unit() == quantity.Farad {
		series = quantity.E6 // as electrolytics are made
	}
	if near, ok := quantity.Nearest(measured, series); ok {
		return near
	}
	return measured
}

// Words says in one sentence what was seen: "12 of 14 units had C48 leaking
// (60–96 %)"; nothing as a rate under three units, and nothing at all for none.
func (p *PositionSeen) Words() message.Message {
	switch {
	case p == nil || p.Units == 0:
		return message.Message{}
	case p.Failed == 0:
		return p.rated("seen.none", p.Units, p.Designator, p.Units)
	}
	return p.rated("seen.failed", p.Units, p.Failed, p.Units, p.Designator, p.how())
}

// how is the way in which it failed, where there are no more than two.
func (p *PositionSeen) how() any {
	var how []message.Message
	for _, c := range p.By {
		if Failed(c.Found) {
			how = append(how, message.Word("page.found", c.Found))
		}
	}
	if len(how) > 2 {
		return message.Of("seen.ways")
	}
	return message.Or(how)
}

// rated is the message of a key, or with the limits of the share behind it where
// there are units enough for a rate.
func (s Share) rated(key string, units int, values ...any) message.Message {
	if units < FewestUnits {
		return message.Of(key, values...)
	}
	return message.Of(key+"-rate", append(values, percent(s.Low), percent(s.High))...)
}

func percent(share float64) string { return strconv.FormatFloat(100*share, 'f', 0, 64) }

// Evidence says whether the units bear the map's value out: "7 units as
// mapped, 1 with 33 µF: perhaps another build".
func (p *PositionSeen) Evidence() message.Message {
	switch {
	case p != nil && len(p.Others) > 0:
		return p.evidenceByValue()
	case p == nil || p.AsMapped+p.Differs == 0:
		return message.Message{}
	case p.Differs == 0:
		return message.Of("seen.mapped", p.AsMapped)
	case p.AsMapped == 0:
		return message.Of("seen.otherwise", p.Differs)
	}
	return message.Of("seen.both", p.AsMapped, p.Differs)
}

// evidenceByValue says it by what was there instead, and how many more differ in
// a way that was not told.
func (p *PositionSeen) evidenceByValue() message.Message {
	var said []message.Message
	if p.AsMapped > 0 {
		said = append(said, message.Of("seen.part.mapped", p.AsMapped))
	}
	rest := p.Differs
	for _, o := range p.Others {
		said = append(said, message.Of("seen.part.other", o.Units, o.Value))
		rest -= o.Units
	}
	if rest > 0 {
		said = append(said, message.Of("seen.part.rest", rest))
	}
	if p.AsMapped == 0 {
		return message.Of("seen.parts-otherwise", message.Commas(said))
	}
	return message.Of("seen.parts", message.Commas(said))
}

// Words says how a kit served: for how many units, for how many with nothing
// missing, and which of its lines were left over and which positions went
// without.
func (k *KitSeen) Words() message.Message {
	said := message.Of("seen.kit", k.Units, k.Whole)
	for _, l := range k.LeftOver {
		said = said.And(message.Of("seen.kit-left", l.Line, l.Units))
	}
	for _, m := range k.Missing {
		said = said.And(message.Of("seen.kit-missing", m.Designator, m.Units))
	}
	return said
}

// KitNamed is how a kit served; nil where nobody told.
func (e *Experience) KitNamed(id string) *KitSeen {
	for i := range e.Kits {
		if e.Kits[i].Kit == id {
			return &e.Kits[i]
		}
	}
	return nil
}

// Words says how often a failure point was met: "seen in 3 of 7 units
// (16–75 %)"; nothing where no unit tells.
func (p *FailurePointSeen) Words() message.Message {
	if p.Units == 0 {
		return message.Message{}
	}
	return p.rated("seen.point", p.Units, p.Seen, p.Units)
}
