package kit

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/list"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// Limits below which a charge is taken as safe to touch.
var (
	// safeVoltage is the direct voltage, common practice.
	safeVoltage, _ = quantity.New(50, 0, quantity.Volt)
	// safeEnergy is the energy in joules; from memory of equipment standards,
	// so that it errs low.
	safeEnergy = big.NewRat(35, 100)
)

// hazards sorts the positions that cautions are about, in natural order.
type hazards struct {
	charged, mains, classed, chargedCells, cells, lithium []string
	polarised, regulator, heat, glued                     []string
}

// Cautions are those of a board for work on the positions of a scope, with no
// kit at hand.
func Cautions(m *board.Map, s Scope) ([]Caution, error) {
	p, err := newPlan(Request{Map: m, Kit: &Kit{}, Scope: s})
	if err != nil {
		return nil, err
	}
	return p.cautions(), nil
}

// cautions warns of what the board and the positions in scope can do to a
// person or to the board. Charge, mains and lithium bite whoever touches the
// board, so that these look at every position; nothing in a request can take a
// caution away.
func (p *plan) cautions() []Caution {
	h := p.hazards()
	out := p.ownCautions()
	out = append(out, p.barred()...)
	add := func(at []string, when board.Moment, s finding.Severity, code, text string) {
		if len(at) > 0 {
			out = append(out, Caution{Text: fmt.Sprintf(text, enumerate(at)), When: when, Severity: s, Code: code})
		}
	}
	out = append(out, Caution{Code: "unplug", When: board.BeforeOpening, Severity: finding.Caution,
		Text: "Unplug the equipment and take out its cells before opening it; wear eye protection while soldering and at the first power-up."})
	add(h.mains, board.BeforeOpening, finding.Stop, "mains",
		"Mains is on this board (%s): it kills. Unplug, don't only switch off, and measure that nothing is left before touching anything.")
	add(h.charged, board.BeforeOpening, finding.Stop, "stored-charge",
		"A dangerous charge, 50 V or 0.35 J or more, may stay after unplugging (%s). Discharge through a resistor, measure, and measure again before handling, since charge comes back.")
	add(h.classed, board.WhileWorking, finding.Stop, "safety-parts",
		"Safety parts (%s): fit only parts with the same X or Y class or a better one and its approval marks, never a part without a class, whatever its voltage.")
	add(h.chargedCells, board.WhileWorking, finding.Stop, "charged-cell",
		"The circuit charges the cell (%s): never fit a primary cell there; it may gas, leak or burst.")
	add(h.cells, board.WhileWorking, finding.Caution, "cell",
		"Cells (%s): mind the polarity, never short a cell, never solder to a bare one, and clean away what has leaked before fitting another.")
	add(h.lithium, board.WhileWorking, finding.Stop, "lithium",
		"Lithium cells (%s) burn when shorted, charged wrongly, punctured or heated by soldering.")
	add(h.polarised, board.WhileWorking, finding.Caution, "polarity",
		"Polarised parts (%s): mark which way round each stood before taking it out; fitted the wrong way round they burst or burn.")
	add(h.regulator, board.WhileWorking, finding.Caution, "regulator-output",
		"A regulator stays stable only with the right part (%s): its series resistance must be neither too high nor too low; compare it with the regulator's data.")
	add(h.glued, board.WhileWorking, finding.Caution, "glued",
		"Glued parts (%s): loosen the glue first and don't lever, or the tracks come off; old glue may conduct.")
	add(h.heat, board.WhileWorking, finding.Caution, "heat-sensitive",
		"Parts that don't stand much heat (%s): keep the iron short, and hot air away.")
	if len(h.mains)+len(h.classed)+len(h.lithium) > 0 {
		out = append(out, Caution{Code: "local-codes", When: board.WhileWorking, Severity: finding.Caution,
			Text: "Work on mains parts and lithium cells belongs to people who may do it by the rules of the place: local codes and licensed practice go before anything said here."})
	}
	slices.SortStableFunc(out, func(a, b Caution) int {
		return cmp.Or(cmp.Compare(turn(a), turn(b)), cmp.Compare(b.Severity.Rank(), a.Severity.Rank()))
	})
	return out
}

// momentOf is when a caution counts; while working where it does not say.
func momentOf(c Caution) board.Moment {
	if turn(c) == len(moments) {
		return board.WhileWorking
	}
	return c.When
}

// turn is the place of a caution's moment among all.
func turn(c Caution) int {
	for i, m := range moments {
		if m.when == c.When {
			return i
		}
	}
	return len(moments)
}

// ownCautions are those of the map.
func (p *plan) ownCautions() []Caution {
	var out []Caution
	for _, c := range p.m.Cautions {
		out = append(out, Caution{Text: c.Text, When: c.When, Severity: finding.Caution, Code: "map-caution"})
	}
	return out
}

// barred are the failure points that forbid power-up.
func (p *plan) barred() []Caution {
	var out []Caution
	for i := range p.m.FailurePoints {
		f := &p.m.FailurePoints[i]
		if f.BarsPowerUp == nil || !*f.BarsPowerUp {
			continue
		}
		text := "Don't power up before this is dealt with: " + strings.TrimSuffix(f.Title, ".")
		if len(f.Positions) > 0 {
			text += " (" + enumerate(f.Positions) + ")"
		}
		text += "."
		if f.Remedy != "" {
			text += " " + sentence(f.Remedy)
		}
		out = append(out, Caution{Text: text, When: board.BeforePowerUp, Severity: finding.Stop, Code: "bars-power-up"})
	}
	return out
}

// enumerate names a few positions one by one, and many as ranges.
func enumerate(at []string) string {
	const few = 12
	if len(at) > few {
		return list.Ranges(at)
	}
	return strings.Join(at, ", ")
}

func sentence(s string) string {
	if strings.HasSuffix(s, ".") || strings.HasSuffix(s, "!") {
		return s
	}
	return s + "."
}

func (p *plan) hazards() hazards {
	var h hazards
	all := make([]int, len(p.m.Positions))
	for i := range all {
		all[i] = i
	}
	slices.SortFunc(all, func(a, b int) int {
		return board.CompareDesignators(p.m.Positions[a].Designator, p.m.Positions[b].Designator)
	})
	duties := map[string]part.Duty{}
	for _, i := range all {
		x := &p.m.Positions[i]
		duty, ok := duties[x.Function]
		if !ok {
			duty = part.DutyOf(x.Function)
			duties[x.Function] = duty
		}
		h.board(x)
		if _, inside := p.index[i]; inside {
			h.scope(x, duty)
		}
	}
	return h
}

// board looks for what endangers whoever touches the board.
func (h *hazards) board(x *board.Position) {
	d := x.Designator
	if holdsCharge(x) {
		h.charged = append(h.charged, d)
	}
	if x.OnMains() {
		h.mains = append(h.mains, d)
	}
	if isLithium(&x.Part) || isLithium(x.Wanted()) {
		h.lithium = append(h.lithium, d)
	}
}

// scope looks for what matters at the positions that are worked on.
func (h *hazards) scope(x *board.Position, duty part.Duty) {
	d, w := x.Designator, x.Wanted()
	if x.Part.SafetyClass != "" || w.SafetyClass != "" || w.Class == part.Capacitor && duty&(part.MainsX|part.MainsY) != 0 {
		h.classed = append(h.classed, d)
	}
	if w.Class == part.Cell || x.Part.Class == part.Cell {
		h.cells = append(h.cells, d)
		if duty&part.Charged != 0 || isTrue(x.Part.Rechargeable) || isTrue(w.Rechargeable) {
			h.chargedCells = append(h.chargedCells, d)
		}
	}
	if isPolarised(w) {
		h.polarised = append(h.polarised, d)
	}
	if duty&part.RegulatorOutput != 0 {
		h.regulator = append(h.regulator, d)
	}
	if isTrue(x.Glued) {
		h.glued = append(h.glued, d)
	}
	if isTrue(x.HeatSensitive) {
		h.heat = append(h.heat, d)
	}
}

// holdsCharge reports whether a capacitor may hold a charge that hurts: at its
// working voltage or, where the map doesn't give it, at the rated one.
func holdsCharge(x *board.Position) bool {
	if x.Part.Class != part.Capacitor {
		return false
	}
	v := x.WorkingVoltage
	if v.IsZero() {
		v = x.Part.Voltage
	}
	if v.IsZero() {
		return false
	}
	if v.Compare(safeVoltage) >= 0 {
		return true
	}
	if rough := x.Part.Value.Float() * v.Float() * v.Float() / 2; rough < 0.3 || rough > 0.4 {
		return rough > 0.4 // far from the limit, which spares the exact sum
	}
	c, okC := new(big.Rat).SetString(x.Part.Value.SI())
	u, okU := new(big.Rat).SetString(v.SI())
	if x.Part.Value.IsZero() || !okC || !okU {
		return false
	}
	energy := u.Mul(u, u)
	energy.Mul(energy, c).Quo(energy, big.NewRat(2, 1))
	return energy.Cmp(safeEnergy) >= 0
}

// isLithium knows the IEC 60086 letters and trade names of lithium cells.
func isLithium(p *part.Part) bool {
	if p.Class != part.Cell {
		return false
	}
	switch c := strings.ToUpper(p.Chemistry); c {
	case "CR", "BR", "ER", "VL", "ML", "MS", "LIR", "MT", "TC":
		return true
	default:
		return strings.HasPrefix(c, "LI")
	}
}

// isPolarised takes wet, polymer and tantalum capacitors as polarised unless
// the map says that they aren't.
func isPolarised(p *part.Part) bool {
	if p.Polarised != nil {
		return *p.Polarised
	}
	switch p.Construction {
	case "aluminium-electrolytic", "aluminium-polymer", "tantalum", "tantalum-polymer", "supercapacitor":
		return true
	}
	return p.Class == part.Diode
}

func isTrue(b *bool) bool { return b != nil && *b }
