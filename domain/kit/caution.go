package kit

import (
	"boardlore/domain/message"
	"cmp"
	"fmt"
	"slices"
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/list"
	"boardlore/domain/part"
)

// hazards sorts the positions that cautions are about, in natural order.
type hazards struct {
	mains, classed, chargedCells, cells, lithium []string
	charged                                      []message.Message
	polarised, regulator, heat, glued            []string
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
	add := func(at any, when board.Moment, s finding.Severity, code, key string) {
		if at != "" {
			out = append(out, Caution{Text: message.Of(key, at), When: when, Severity: s, Code: code})
		}
	}
	out = append(out, Caution{Code: "unplug", When: board.BeforeOpening, Severity: finding.Caution,
		Text: message.Of("kit.unplug")})
	add(enumerate(h.mains), board.BeforeOpening, finding.Stop, "mains", "kit.mains-board-kills-unplug")
	if h.charged != nil {
		add(message.Commas(h.charged), board.BeforeOpening, finding.Stop, "stored-charge", "kit.stored-charge")
	}
	add(enumerate(h.classed), board.WhileWorking, finding.Stop, "safety-parts", "kit.safety-parts")
	add(enumerate(h.chargedCells), board.WhileWorking, finding.Stop, "charged-cell", "kit.charged-cell")
	add(enumerate(h.cells), board.WhileWorking, finding.Caution, "cell", "kit.cells-mind-polarity-never")
	add(enumerate(h.lithium), board.WhileWorking, finding.Stop, "lithium", "kit.lithium-cells-burn-when")
	add(enumerate(h.polarised), board.WhileWorking, finding.Caution, "polarity", "kit.polarised-parts-mark-which")
	add(enumerate(h.regulator), board.WhileWorking, finding.Caution, "regulator-output", "kit.regulator-output")
	add(enumerate(h.glued), board.WhileWorking, finding.Caution, "glued", "kit.glued-parts-loosen-glue")
	add(enumerate(h.heat), board.WhileWorking, finding.Caution, "heat-sensitive", "kit.heat-sensitive")
	brought := p.brought()
	out = append(out, brought...)
	if len(h.mains)+len(h.classed)+len(h.lithium)+len(brought) > 0 {
		out = append(out, Caution{Code: "local-codes", When: board.WhileWorking, Severity: finding.Caution,
			Text: message.Of("kit.local-codes")})
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
		out = append(out, Caution{Text: message.Text(c.Text), When: c.When, Severity: finding.Caution,
			Code: "map-caution"})
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
		text := message.Of("kit.bars-power-up", f.Title)
		if len(f.Positions) > 0 {
			text = message.Of("kit.bars-power-up-at", f.Title, enumerate(f.Positions))
		}
		if f.Remedy != "" {
			text = text.And(message.Text(sentence(f.Remedy)))
		}
		out = append(out, Caution{Text: text, When: board.BeforePowerUp, Severity: finding.Stop, Code: "bars-power-up"})
	}
	return out
}

// enumerate names positions, three or more in a row as a range.
func enumerate(at []string) string { return list.Ranges(at) }

func sentence(s string) string {
	if strings.HasSuffix(s, ".") || strings.HasSuffix(s, "!") {
		return s
	}
	return s + "."
}

func (p *plan) hazards() hazards {
	h := hazards{charged: charges(p.m)}
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
	if x.Part.SafetyClass != "" || w.SafetyClass != "" || w.Class == part.Capacitor &&
		duty&(part.MainsX|part.MainsY) != 0 {
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

// charges are the charges that have to be made safe, each with its energy and
// voltage; those in parallel on one rail as one.
func charges(m *board.Map) []message.Message {
	var out []message.Message
	stored := m.Stored()
	for i := range stored {
		s := &stored[i]
		if !s.Dangerous() {
			continue
		}
		at := make([]string, len(s.At))
		for j, p := range s.At {
			at[j] = p.Designator
		}
		out = append(out, message.Of("kit.charge", enumerate(at), joules(s.Energy), s.Voltage))
	}
	return out
}

// joules spells an energy to two figures.
func joules(e float64) string {
	if e < 1 {
		return fmt.Sprintf("%.2g mJ", e*1000)
	}
	return fmt.Sprintf("%.2g J", e)
}

// supplies are the duties at which a supply stands behind a part.
const supplies = part.Decoupling | part.Bulk | part.RegulatorOutput | part.SwitchingOutput | part.SupplyInput | part.Backup

// brought are the cautions for what the kit brings, which the map need not have:
// lithium cells, and tantalum parts where a supply stands behind them.
func (p *plan) brought() []Caution {
	var lithium []message.Message
	var tantalum []string
	for l := range p.lines {
		for _, o := range p.lines[l].offers {
			if isLithium(&o.Part) {
				lithium = append(lithium, message.Of("kit.line", p.line(l)))
				break
			}
		}
	}
	for i, l := range p.to {
		if l == unplaced || !strings.HasPrefix(string(p.lines[l].offer.Construction), "tantalum") {
			continue
		}
		if duty := p.groups[p.of[i]].place.Duty; duty&supplies != 0 || p.m.Positions[p.in[i]].Rail != "" {
			tantalum = append(tantalum, p.designator(i))
		}
	}
	var out []Caution
	if lithium != nil {
		out = append(out, Caution{Code: "lithium-in-kit", When: board.WhileWorking, Severity: finding.Stop,
			Text: message.Of("kit.lithium-in-kit", message.Some(lithium, maxTold))})
	}
	if tantalum != nil {
		out = append(out, Caution{Code: "tantalum-in-kit", When: board.WhileWorking, Severity: finding.Caution,
			Text: message.Of("kit.tantalum-in-kit", enumerate(tantalum))})
	}
	return out
}

// isLithium knows the IEC 60086 letters and trade names of lithium cells.
func isLithium(p *part.Part) bool {
	if p.Class != part.Cell {
		return false
	}
	switch c := strings.ToUpper(p.Chemistry); c {
	case "CR", "BR", "ER", "FR", "GR", "VL", "ML", "MS", "LIR", "MT", "TC", "ICR", "IFR", "INR", "IMR", "LFP":
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
