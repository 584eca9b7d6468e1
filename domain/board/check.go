package board

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"boardlore/domain/finding"
	"boardlore/domain/message"
	"boardlore/domain/quantity"
)

// Bases of the rules.
var (
	common   = message.Of("basis.common-practice")
	document = message.Of("basis.the-map")
)

// Check gives every finding about a map that its schema cannot say, each with
// a JSON Pointer into the map, gravest first. A stop is kept for what makes
// the map wrong or tells a person to fit a dangerous part; a map may well
// describe a board with a fault in its design, and such a fault is a caution.
// The effective map of each variant is checked as well; what only a variant
// breaks is found at its change.
//
// Of a map with more to say about than anybody would read, the stops are all
// there, the rest up to maxFindings; bodies that stand too thick to compare
// each with each in checkSteps are told as such.
func Check(m *Map) []finding.Finding {
	c := &checker{m: m, uncertainty: uncertainty(&m.Frame), steps: checkSteps}
	c.equipment()
	c.frame()
	c.vague()
	c.positions()
	c.names()
	c.circuits()
	c.failurePoints()
	c.measurements()
	c.variants()
	if c.steps < 0 {
		c.findings = append(c.findings, finding.Finding{Code: "overlaps-unchecked", Severity: finding.Caution,
			Pointer:  "/positions",
			Sentence: message.Of("check.overlaps-unchecked"), Basis: document})
	}
	finding.Sort(c.findings)
	return c.findings
}

// checker gathers findings about one map.
type checker struct {
	m           *Map
	uncertainty float64              // of the frame, mm
	texts       map[[2]string]string // the words that turn a text round, by class and text
	steps       int                  // left for the comparison of bodies, below nought when it was cut short
	mild        int                  // findings that are no stops
	findings    []finding.Finding
}

const (
	// checkSteps is how many pairs of bodies are looked at, over the map and all
	// its variants: a board of 5,000 parts in rows takes a tenth of it.
	checkSteps = 8_000_000
	// maxFindings bounds the findings that are no stops.
	maxFindings = 20_000
	// maxStops bounds those that are.
	maxStops = 5000
)

// where is a place in the document. A variant's change stands for all members
// of the position that it makes.
type where struct {
	list  string
	i     int
	whole bool
}

func (w where) pointer(member string) string {
	p := w.list + strconv.Itoa(w.i)
	if member == "" || w.whole {
		return p
	}
	return p + "/" + member
}

func (c *checker) add(f finding.Finding) {
	if f.Severity != finding.Stop {
		if c.mild++; c.mild > maxFindings {
			return
		}
	} else if len(c.findings)-min(c.mild, maxFindings) >= maxStops {
		return
	}
	c.findings = append(c.findings, f)
}

func (c *checker) equipment() {
	if y := c.m.Equipment.Years; len(y) == 2 && y[0] > y[1] {
		c.add(finding.Finding{Code: "years-reversed", Severity: finding.Stop, Pointer: "/equipment/years",
			Sentence: message.Of("check.years-reversed", y[0], y[1]),
			Expected: fmt.Sprintf("%d, %d", y[1], y[0]), Found: fmt.Sprintf("%d, %d", y[0], y[1]), Basis: document})
	}
}

func (c *checker) positions() {
	duplicates(c, "designator-duplicate", "/positions/", "designator", c.m.Positions,
		func(p *Position) string { return p.Designator })
	for i := range c.m.Positions {
		c.position(&c.m.Positions[i], where{list: "/positions/", i: i})
	}
	for _, o := range overlaps(c.m.Positions, c.uncertainty, nil, &c.steps) {
		c.add(o.finding(c.m.Positions, where{list: "/positions/", i: o.i}))
	}
	for _, o := range coincidences(c.m.Positions, func(int) bool { return false }) {
		c.add(o.finding(c.m.Positions, where{list: "/positions/", i: o.i}))
	}
}

func duplicates[T any](c *checker, code, list, member string, items []T, key func(*T) string) {
	first := make(map[string]int, len(items))
	for i := range items {
		k := key(&items[i])
		if j, dup := first[k]; dup {
			c.add(finding.Finding{Code: code, Severity: finding.Stop, Pointer: where{list: list, i: i}.pointer(member),
				Sentence: message.Of("check.duplicate", message.Word("duplicate", code), k, list, j), Found: k,
				Basis: document})
			continue
		}
		first[k] = i
	}
}

func (c *checker) failurePoints() {
	fs := c.m.FailurePoints
	duplicates(c, "failure-point-duplicate", "/failure_points/", "id", fs, func(f *FailurePoint) string { return f.ID })
	known, services := c.m.designators(), make(map[string]Service, len(c.m.Positions))
	for i := range c.m.Positions {
		services[c.m.Positions[i].Designator] = c.m.Positions[i].Service
	}
	for i := range fs {
		f, w := &fs[i], where{list: "/failure_points/", i: i}
		for j, d := range f.Positions {
			if !known[d] {
				c.add(finding.Finding{Code: "reference-missing", Severity: finding.Stop, Pointer: w.pointer("positions/" +
					strconv.Itoa(j)),
					Sentence: message.Of("check.reference-missing", f.ID, d),
					Found:    d, Basis: document})
			}
		}
		c.remedy(f, w)
		c.unserviced(f, w, services)
	}
}

// unserviced finds a position that a hazard names and that nobody is told to
// look at.
func (c *checker) unserviced(f *FailurePoint, w where, services map[string]Service) {
	if f.Severity != "hazard" && !bars(f) {
		return
	}
	for j, d := range f.Positions {
		if service, known := services[d]; known && serviceRank[service] == 0 {
			c.add(finding.Finding{Code: "hazard-left", Severity: finding.Caution, Pointer: w.pointer("positions/" +
				strconv.Itoa(j)),
				Sentence: message.Of("check.hazard-left", f.ID, d),
				Expected: "replace, inspect", Found: string(service.Or()), Basis: common})
		}
	}
}

func (c *checker) remedy(f *FailurePoint, w where) {
	if f.Remedy != "" {
		return
	}
	before := slices.ContainsFunc(c.m.Checks, func(k Measurement) bool { return k.When == BeforePowerUp })
	switch {
	case f.BarsPowerUp != nil && *f.BarsPowerUp && !before:
		c.add(finding.Finding{Code: "failure-point-no-way-out", Severity: finding.Caution,
			Pointer:  w.pointer("bars_power_up"),
			Sentence: message.Of("check.no-way-out", f.ID), Basis: common})
	case f.Severity == "hazard":
		c.add(finding.Finding{Code: "failure-point-remedy-missing", Severity: finding.Note, Pointer: w.pointer(""),
			Sentence: message.Of("check.remedy-missing", f.ID), Basis: common})
	}
}

// designators is every designator that the map or one of its variants has.
func (m *Map) designators() map[string]bool {
	known := make(map[string]bool, len(m.Positions))
	for i := range m.Positions {
		known[m.Positions[i].Designator] = true
	}
	for i := range m.Variants {
		for j := range m.Variants[i].Changes {
			if f := m.Variants[i].Changes[j].Fit; f != nil {
				known[f.Designator] = true
			}
		}
	}
	return known
}

func (c *checker) measurements() {
	ks := c.m.Checks
	duplicates(c, "check-duplicate", "/checks/", "id", ks, func(k *Measurement) string { return k.ID })
	if len(ks) == 0 {
		return
	}
	known := c.m.designators()
	prefixes := map[string]bool{}
	for d := range known {
		prefixes[letters(d)] = true
	}
	for i := range ks {
		w := where{list: "/checks/", i: i}
		c.expect(&ks[i], w)
		c.powered(&ks[i], w)
		c.points(&ks[i], w)
		for j, point := range ks[i].Between {
			if d := designatorIn(point); d != "" && prefixes[letters(d)] && !known[d] {
				c.add(finding.Finding{Code: "check-point-unknown", Severity: finding.Caution, Pointer: w.pointer("between/" +
					strconv.Itoa(j)),
					Sentence: message.Of("check.point-unknown", ks[i].ID, d),
					Found:    d, Basis: document})
			}
		}
	}
}

var pointPattern = regexp.MustCompile(`^([A-Z]{1,3}[0-9]{1,4})($|[\s.:/+-])`)

// designatorIn is the designator that a measuring point in words begins with,
// as in "C4 plus" or "Q1.E"; "" for free words.
func designatorIn(point string) string {
	if m := pointPattern.FindStringSubmatch(point); m != nil {
		return m[1]
	}
	return ""
}

// measures gives the unit in which each kind of measurement is expected.
var measures = map[string]quantity.Unit{
	"resistance": quantity.Ohm, "continuity": quantity.Ohm, "voltage": quantity.Volt, "current": quantity.Ampere,
}

func (c *checker) expect(k *Measurement, w where) {
	e := k.Expect
	if e == nil {
		return
	}
	unit := measures[k.Measure]
	fits := true
	for _, end := range []struct {
		member string
		q      quantity.Quantity
	}{{"expect/min", e.Min}, {"expect/max", e.Max}} {
		if !end.q.IsZero() && unit != quantity.None && end.q.Unit() != unit {
			fits = false
			c.add(finding.Finding{Code: "quantity-unit", Severity: finding.Stop, Pointer: w.pointer(end.member),
				Sentence: message.Of("check.expect-unit", k.ID, message.Word("measure", k.Measure), unit, end.q.Unit()),
				Expected: unit.String(), Found: end.q.String(), Basis: message.Text("SI")})
		}
	}
	switch {
	case e.Min.IsZero() && e.Max.IsZero():
		c.add(finding.Finding{Code: "expect-empty", Severity: finding.Caution, Pointer: w.pointer("expect"),
			Sentence: message.Of("check.expect-empty", k.ID), Basis: common})
	case fits && !e.Min.IsZero() && !e.Max.IsZero() && e.Min.Compare(e.Max) > 0:
		c.add(finding.Finding{Code: "range-reversed", Severity: finding.Stop, Pointer: w.pointer("expect"),
			Sentence: message.Of("check.range-reversed", k.ID, e.Min, e.Max),
			Expected: "min ≤ max", Found: fmt.Sprintf("%s … %s", e.Min, e.Max), Basis: document})
	}
}

func (c *checker) variants() {
	vs := c.m.Variants
	duplicates(c, "variant-duplicate", "/variants/", "variant", vs, func(v *Variant) string { return v.Variant })
	marks := map[string]int{}
	for i := range vs {
		c.variant(i)
		w := where{list: "/variants/", i: i}
		if len(vs[i].Changes) == 0 {
			c.add(finding.Finding{Code: "variant-idle", Severity: finding.Note, Pointer: w.pointer(""),
				Sentence: message.Of("check.variant-idle", vs[i].Variant), Basis: document})
		}
		j, again := marks[unstyled(vs[i].IdentifiedBy)]
		if again {
			c.add(finding.Finding{Code: "variant-indistinct", Severity: finding.Caution, Pointer: w.pointer("identified_by"),
				Sentence: message.Of("check.variant-indistinct", vs[j].Variant, vs[i].Variant),
				Found:    clip(vs[i].IdentifiedBy), Basis: common})
		}
		marks[unstyled(vs[i].IdentifiedBy)] = i
	}
}

// variant checks the effective map of one variant, as far as it differs from
// the base map.
func (c *checker) variant(i int) {
	b := build(c.m, i)
	for _, f := range b.findings {
		c.add(f)
	}
	list := "/variants/" + strconv.Itoa(i) + "/changes/"
	seen := make(map[string]int, len(b.positions))
	for k := range b.positions {
		p := &b.positions[k]
		if b.omitted[k] {
			continue
		}
		if other, dup := seen[p.Designator]; dup && (b.origin[k] >= 0 || b.origin[other] >= 0) {
			c.add(finding.Finding{Code: "designator-duplicate", Severity: finding.Stop, Pointer: where{list: list,
				i: max(b.origin[k], b.origin[other])}.pointer(""),
				Sentence: message.Of("check.variant-designator-twice", c.m.Variants[i].Variant, p.Designator),
				Found:    p.Designator, Basis: document})
		}
		seen[p.Designator] = k
		if b.origin[k] >= 0 {
			c.variantPosition(b, k, where{list: list, i: b.origin[k], whole: true})
		}
	}
	for _, o := range overlaps(b.positions, c.uncertainty, b, &c.steps) {
		c.add(o.finding(b.positions, where{list: list, i: b.origin[o.i], whole: true}))
	}
	for _, o := range coincidences(b.positions, func(i int) bool { return b.omitted[i] }) {
		if j := max(b.origin[o.i], b.origin[o.j]); j >= 0 {
			c.add(o.finding(b.positions, where{list: list, i: j, whole: true}))
		}
	}
}

// variantPosition checks a position that a variant changed; what the base
// position had wrong already is not said again.
func (c *checker) variantPosition(b *built, k int, w where) {
	base := checker{m: c.m, uncertainty: c.uncertainty}
	if k < len(c.m.Positions) {
		base.position(&c.m.Positions[k], where{})
	}
	own := checker{m: c.m, uncertainty: c.uncertainty}
	own.position(&b.positions[k], where{})
	for _, f := range own.findings {
		if !slices.ContainsFunc(base.findings, func(g finding.Finding) bool {
			return g.Code == f.Code &&
				g.Pointer == f.Pointer && g.Found == f.Found
		}) {
			f.Pointer = w.pointer("")
			f.Sentence = message.Of("check.in-variant", c.m.Variants[b.variant].Variant, f.Sentence)
			c.add(f)
		}
	}
}

func uncertainty(f *Frame) float64 {
	if f.Uncertainty == nil {
		return 0
	}
	return *f.Uncertainty
}

// mm spells a length for a sentence: at most three decimals.
func mm(v float64) string { return number(v) + " mm" }

// number spells a figure with at most three decimals and no trailing nought.
func number(v float64) string {
	s := strconv.FormatFloat(v, 'f', 3, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}
