// Package bench plans the work on one board: what to make safe before touching
// it, what to measure, in which order the parts come out and go back so that
// the iron always has room, how each is best taken off, and what to do at the
// first power-up.
//
// The obvious order, by designator or by height, leaves a part in the middle of
// a cluster until it can't be reached from any side. The plan weighs the free
// angle of each part instead: the widest sector of directions from which a tool
// gets at its centre. Lengths are in millimetres, angles in degrees, charge in
// SI units; the frame is the map's.
//
// Not modelled: tools that come from above (hot air, a suction head), the
// tool's length beyond its reach, tracks and planes that the map does not tell,
// and charge behind coupling from other boards.
package bench

import (
	"cmp"
	"slices"

	"boardlore/domain/board"
	"boardlore/domain/kit"
	"boardlore/domain/message"
	"boardlore/domain/quantity"
)

// Tool is what has to get at the parts.
type Tool struct {
	HalfWidth float64 `json:"half_width_mm"` // half of the width that it takes beside an obstacle
	Reach     float64 `json:"reach_mm"`      // obstacles further away than this don't matter
	Clearance float64 `json:"clearance_mm"`  // bodies no higher than this don't matter
}

// Bounds of a tool's measures, mm.
const (
	MaxHalfWidth = 50
	MaxReach     = 1000
	MaxClearance = 200
)

// StandardTool is a soldering iron's tip in a holder.
var StandardTool = Tool{HalfWidth: 1, Reach: 15}

// Request is what a plan is made of.
type Request struct {
	Map      *board.Map // of one build, without variants; see board.Map.Effective
	Revision int
	Variant  string // "" for the base map
	Digest   string // of the map
	Scope    kit.Scope
	Tool     Tool
	Resistor quantity.Quantity // to discharge through; absent: one is chosen for each charge
	ToVolts  float64           // the voltage that counts as discharged, above 0
}

// Plan is the working order for one board.
type Plan struct {
	Board        string        `json:"board"`
	Revision     int           `json:"revision"`
	Variant      string        `json:"variant"`
	Digest       string        `json:"digest"`
	Tool         Tool          `json:"tool"`
	Cautions     []kit.Caution `json:"cautions"`
	MakeSafe     []Charge      `json:"make_safe"`
	ChecksBefore []Check       `json:"checks_before"`
	Stages       []Stage       `json:"stages"` // in the order of removal; fitting goes through them in reverse
	PowerUp      []Check       `json:"power_up"`
	ChecksAfter  []Check       `json:"checks_after"`
	Unknown      []Unknown     `json:"unknown"`
}

// Stage is a part of the work that is done before the next one begins.
type Stage struct {
	Title    message.Message `json:"title"`
	Side     *board.Side     `json:"side"` // top or bottom; nil for both
	Reason   message.Message `json:"reason"`
	Removal  []Removal       `json:"removal"` // first out first
	Fitting  []Fitting       `json:"fitting"` // the reverse
	Smallest float64         `json:"smallest_angle_deg"`
}

// Removal is one part on its way out.
type Removal struct {
	Designator string  `json:"designator"`
	Angle      float64 `json:"angle_deg"` // the free angle at this moment
	Method
}

// Fitting is one part on its way in.
type Fitting struct {
	Designator string  `json:"designator"`
	Angle      float64 `json:"angle_deg"` // the free angle among the parts that are there before it
}

// Unknown names what the plan would have needed and the map does not say.
type Unknown struct {
	Designator string   `json:"designator"`
	Lacks      []string `json:"lacks"` // size, height, value, voltage
}

// Make plans. Refusals, all Invalid: scope-unknown, scope-unknown-designator,
// and plan-too-large where the work would be out of bounds.
func Make(r Request) (*Plan, error) {
	at, err := r.Scope.Positions(r.Map)
	if err != nil {
		return nil, err
	}
	o, err := newOrder(r.Map, at, r.Tool)
	if err != nil {
		return nil, err
	}
	cautions, err := kit.Cautions(r.Map, r.Scope)
	if err != nil {
		return nil, err
	}
	p := &Plan{Board: r.Map.Board, Revision: r.Revision, Variant: r.Variant, Digest: r.Digest, Tool: r.Tool,
		Cautions: cautions}
	charges, untold := charges(r)
	p.MakeSafe, p.Stages, p.Unknown = charges, o.stages(), o.unknown(untold)
	p.ChecksBefore, p.PowerUp, p.ChecksAfter = checks(r.Map)
	o.methods(p.Stages)
	return p, nil
}

// unknown lists what is missing: sizes of any part, heights where they matter,
// and what untold says of charges; natural order.
func (o *order) unknown(untold map[string][]string) []Unknown {
	out := []Unknown{}
	for i := range o.m.Positions {
		p := &o.m.Positions[i]
		var lacks []string
		switch {
		case !o.discs[i].known:
			lacks = append(lacks, "size")
		case o.tool.Clearance > 0 && p.Body.Height == 0:
			lacks = append(lacks, "height")
		}
		if lacks = append(lacks, untold[p.Designator]...); lacks != nil {
			out = append(out, Unknown{p.Designator, lacks})
		}
	}
	slices.SortFunc(out, func(a, b Unknown) int {
		return cmp.Or(board.CompareDesignators(a.Designator, b.Designator), cmp.Compare(a.Designator, b.Designator))
	})
	return out
}
