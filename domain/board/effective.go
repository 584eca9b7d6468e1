package board

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/message"
	"boardlore/domain/part"
)

// Effective gives the map of one build: the base map with the variant's
// changes done and without any variants. The empty name gives the base map
// itself. Positions that the build lacks leave the failure points that name
// them; a failure point stays even where none of its positions is left, since
// only a person can say that it no longer matters.
//
// Errors: fault.NotFound for an unknown variant; fault.Invalid, with every
// finding, for changes that don't apply. The result shares memory with m and
// neither may be changed.
func (m *Map) Effective(variant string) (*Map, error) {
	if variant == "" {
		out := *m
		out.Variants = nil
		return &out, nil
	}
	i := slices.IndexFunc(m.Variants, func(v Variant) bool { return v.Variant == variant })
	if i < 0 {
		if len(m.Variants) == 0 {
			return nil, fault.New(fault.NotFound, "variant-not-found", "variant.none-at-all", m.Board, variant)
		}
		return nil, fault.New(fault.NotFound, "variant-not-found", "variant.not-found", m.Board, variant,
			message.Commas(m.variantNames()))
	}
	b := build(m, i)
	if len(b.findings) > 0 && finding.Worst(b.findings) == finding.Stop {
		return nil, &fault.Error{Kind: fault.Invalid, Code: "variant-not-applicable", Findings: b.findings,
			Detail: message.Of("variant.not-applicable", variant, m.Board)}
	}
	return b.result(), nil
}

func (m *Map) variantNames() []string {
	names := make([]string, len(m.Variants))
	for i := range m.Variants {
		names[i] = m.Variants[i].Variant
	}
	return names
}

// built is a variant in the making.
type built struct {
	base      *Map
	variant   int
	positions []Position
	origin    []int             // for each position the change that made it so, -1 for none
	at        map[string]int    // designator → index of the base position, while it is there
	touched   map[string]string // designator → what an earlier change did to it
	omitted   map[int]bool      // base positions that this build lacks
	renamed   map[string]string // designators that a set changed
	findings  []finding.Finding
}

// build applies the changes of variant i as far as they apply.
func build(m *Map, i int) *built {
	b := &built{base: m, variant: i, positions: slices.Clone(m.Positions), origin: make([]int, len(m.Positions)),
		at: make(map[string]int, len(m.Positions)), touched: map[string]string{}, omitted: map[int]bool{},
		renamed: map[string]string{}}
	for k := range b.origin {
		b.origin[k] = -1
		if _, dup := b.at[m.Positions[k].Designator]; !dup {
			b.at[m.Positions[k].Designator] = k
		}
	}
	for j := range m.Variants[i].Changes {
		switch c := &m.Variants[i].Changes[j]; {
		case c.Omit != "":
			b.omit(j, c.Omit)
		case c.Fit != nil:
			b.fit(j, c.Fit)
		default:
			b.set(j, c)
		}
	}
	return b
}

func (b *built) set(j int, c *Change) {
	k, ok := b.take(j, c.Designator, "designator", "set")
	if !ok {
		return
	}
	p, err := patched(&b.positions[k], c.Set)
	if err != nil {
		b.stop("variant-change-unfit", j, "/set", message.Of("variant.unfit", c.Designator, err))
		return
	}
	if samePosition(&p, &b.positions[k]) {
		b.add(finding.Caution, "variant-change-idle", j, "/set",
			message.Of("variant.change-idle", c.Designator))
	}
	if p.Designator != c.Designator {
		b.renamed[c.Designator] = p.Designator
	}
	b.positions[k], b.origin[k] = p, j
}

func (b *built) omit(j int, designator string) {
	if k, ok := b.take(j, designator, "omit", "omit"); ok {
		b.omitted[k] = true
		delete(b.at, designator)
	}
}

func (b *built) fit(j int, p *Position) {
	if _, there := b.at[p.Designator]; there {
		b.stop("variant-change-present", j, "/fit/designator",
			message.Of("variant.fit-present", p.Designator))
		return
	}
	if b.touched[p.Designator] == "fit" {
		b.stop("variant-change-repeated", j, "/fit/designator", message.Of("variant.fit-twice", p.Designator))
		return
	}
	b.touched[p.Designator] = "fit"
	b.positions, b.origin = append(b.positions, *p), append(b.origin, j)
}

// take finds the base position that a change is about and marks it as changed.
func (b *built) take(j int, designator, member, act string) (int, bool) {
	if done := b.touched[designator]; done != "" {
		b.stop("variant-change-repeated", j, "/"+member, message.Of("variant.change-repeated", designator, done))
		return 0, false
	}
	k, ok := b.at[designator]
	if !ok {
		b.stop("variant-change-missing", j, "/"+member, message.Of("variant.change-missing", designator))
		return 0, false
	}
	b.touched[designator] = act
	return k, true
}

func (b *built) stop(code string, j int, member string, sentence message.Message) {
	b.add(finding.Stop, code, j, member, sentence)
}

func (b *built) add(s finding.Severity, code string, j int, member string, sentence message.Message) {
	b.findings = append(b.findings, finding.Finding{Code: code, Severity: s, Sentence: sentence,
		Pointer: fmt.Sprintf("/variants/%d/changes/%d%s", b.variant, j, member)})
}

// result drops what the build lacks and returns the map.
func (b *built) result() *Map {
	out := *b.base
	out.Variants = nil
	out.Positions = b.kept()
	if gone := b.gone(); len(gone) > 0 || len(b.renamed) > 0 {
		out.FailurePoints = slices.Clone(out.FailurePoints)
		for i := range out.FailurePoints {
			f := &out.FailurePoints[i]
			f.Positions = b.references(f.Positions, gone)
		}
	}
	return &out
}

func (b *built) kept() []Position {
	kept := make([]Position, 0, len(b.positions))
	for k := range b.positions {
		if !b.omitted[k] {
			kept = append(kept, b.positions[k])
		}
	}
	return kept
}

// gone lists the designators that the build lacks altogether; one that is
// omitted and fitted anew is not gone.
func (b *built) gone() map[string]bool {
	gone := map[string]bool{}
	for k := range b.omitted {
		if d := b.base.Positions[k].Designator; b.touched[d] != "fit" {
			gone[d] = true
		}
	}
	return gone
}

func (b *built) references(names []string, gone map[string]bool) []string {
	if names == nil {
		return nil
	}
	out := make([]string, 0, len(names))
	for _, n := range names {
		if gone[n] {
			continue
		}
		if r := b.renamed[n]; r != "" {
			n = r
		}
		out = append(out, n)
	}
	return out
}

// patched is the position after a merge patch (RFC 7396).
func patched(p *Position, set jsontext.Value) (Position, error) {
	target, err := json.Marshal(p)
	if err != nil {
		return Position{}, err
	}
	merged, err := mergePatch(target, set)
	if err != nil {
		return Position{}, err
	}
	if err := complete(merged); err != nil {
		return Position{}, err
	}
	var out Position
	if err := json.Unmarshal(merged, &out); err != nil {
		return Position{}, plainError(err)
	}
	return out, wellFormed(&out)
}

// complete names a member that a position must have and that a patch took out.
func complete(position jsontext.Value) error {
	o, err := members(position)
	if err != nil {
		return err
	}
	for _, name := range []string{"designator", "side", "x_mm", "y_mm", "rotation_deg", "part"} {
		if o[name] == nil {
			return misfit("variant.lacks", name)
		}
	}
	return nil
}

// misfits is why a patched position is none.
type misfits struct{ why message.Message }

func (u misfits) Error() string { return u.why.String() }

// Say is the reason.
func (u misfits) Say() message.Message { return u.why }

func misfit(key string, values ...any) error { return misfits{message.Of(key, values...)} }

// plainError says in the map's words what the decoder found.
func plainError(err error) error {
	var e *json.SemanticError
	if !errors.As(err, &e) {
		return err
	}
	if e.Err != nil {
		return misfit("text.colon", strings.TrimPrefix(string(e.JSONPointer), "/"), e.Err)
	}
	return misfit("variant.wrong-kind", strings.TrimPrefix(string(e.JSONPointer), "/"))
}

// mergePatch applies an RFC 7396 patch. What the patch doesn't name keeps its
// value; null takes a member out; arrays are replaced whole.
func mergePatch(target, patch jsontext.Value) (jsontext.Value, error) {
	if patch.Kind() != '{' {
		return patch, nil
	}
	changes, err := members(patch)
	if err != nil {
		return nil, err
	}
	into := object{}
	if target.Kind() == '{' {
		if into, err = members(target); err != nil {
			return nil, err
		}
	}
	for name, v := range changes {
		if v.Kind() == 'n' {
			delete(into, name)
			continue
		}
		if into[name], err = mergePatch(into[name], v); err != nil {
			return nil, err
		}
	}
	return json.Marshal(into, json.Deterministic(true))
}

// wellFormed says what a patched position lacks that the schema asks of every
// position: a patch can take out or misspell what the document had.
func wellFormed(p *Position) error {
	switch {
	case p.Designator == "":
		return misfit("variant.lacks", "designator")
	case !slices.Contains(Sides, p.Side):
		return misfit("variant.choice", "side", string(p.Side), message.Or(part.Names(Sides)))
	case p.Service != "" && !slices.Contains(Services, p.Service):
		return misfit("variant.choice", "service", string(p.Service), message.Or(part.Names(Services)))
	case p.Circuit != "" && !slices.Contains(part.Circuits, p.Circuit):
		return misfit("variant.choice", "circuit", string(p.Circuit), message.Or(part.Names(part.Circuits)))
	case p.Replacement != nil && p.Replacement.Reason == "":
		return misfit("variant.no-reason")
	}
	if err := wellFormedBody(p.Body); err != nil {
		return err
	}
	parts := []*part.Part{&p.Part}
	if p.Replacement != nil {
		parts = append(parts, &p.Replacement.Part)
	}
	for _, q := range parts {
		if !slices.Contains(part.Classes, q.Class) {
			return misfit("variant.no-class", string(q.Class))
		}
		for i := range part.Members {
			if m := &part.Members[i]; m.Choices != nil && m.Is(q) && !slices.Contains(m.Choices, m.Text(q)) {
				return misfit("variant.one-of", m.Say(), m.Text(q), message.Commas(m.Choices))
			}
		}
	}
	return foreign(p)
}

var (
	shapes = []string{"", "can", "chip", "box", "axial", "disc", "coin", "other"}
	mounts = []string{"", "surface", "through-hole"}
)

func wellFormedBody(b *part.Body) error {
	if b == nil {
		return nil
	}
	for _, d := range []float64{b.Diameter, b.Length, b.Width, b.Height, b.HeightLimit, b.LeadPitch} {
		if d < 0 {
			return misfit("variant.body-negative", d)
		}
	}
	if !slices.Contains(shapes, b.Shape) {
		return misfit("variant.no-shape", b.Shape)
	}
	if !slices.Contains(mounts, b.Mount) {
		return misfit("variant.no-mount", b.Mount)
	}
	return nil
}

// foreign names a member that no position, part or body has.
func foreign(p *Position) error {
	extras := []jsontext.Value{p.Extra, p.Part.Extra}
	if w := p.Part.Windings; w != nil {
		extras = append(extras, w.Extra)
	}
	if p.Body != nil {
		extras = append(extras, p.Body.Extra)
	}
	if p.Replacement != nil {
		extras = append(extras, p.Replacement.Extra, p.Replacement.Part.Extra)
		if w := p.Replacement.Part.Windings; w != nil {
			extras = append(extras, w.Extra)
		}
	}
	for _, e := range extras {
		o, err := members(e)
		if err != nil {
			return err
		}
		for _, name := range sortedKeys(o) {
			if !strings.HasPrefix(name, "x-") {
				return misfit("variant.no-member", name)
			}
		}
	}
	return nil
}
