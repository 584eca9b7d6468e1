package kit

import (
	"fmt"
	"slices"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/list"
	"boardlore/domain/message"
)

// Scope says which positions a reconciliation is about: "service" (those that
// the map says to replace; also where the scope is empty), "all", or a list of
// designators, in which ranges such as C1-C5 may stand. In JSON it is a string
// or an array of strings.
type Scope struct {
	Name        string   // service, all or empty
	Designators []string // nil where Name says it
}

// The scopes that have a name.
const (
	ScopeService = "service"
	ScopeAll     = "all"
)

// ParseScope reads a scope as people type it: empty, service, all, or
// designators.
func ParseScope(text string) Scope {
	text = strings.TrimSpace(text)
	switch text {
	case "", ScopeService, ScopeAll:
		return Scope{Name: text}
	}
	return Scope{Designators: []string{text}}
}

// MarshalJSONTo writes the name or the array.
func (s Scope) MarshalJSONTo(e *jsontext.Encoder) error {
	if s.Designators != nil {
		return json.MarshalEncode(e, s.Designators)
	}
	if s.Name == "" {
		return e.WriteToken(jsontext.String(ScopeService))
	}
	return e.WriteToken(jsontext.String(s.Name))
}

// UnmarshalJSONFrom reads a string or an array of strings; any other name than
// service and all is refused.
func (s *Scope) UnmarshalJSONFrom(d *jsontext.Decoder) error {
	*s = Scope{}
	if d.PeekKind() == '[' {
		s.Designators = []string{}
		return json.UnmarshalDecode(d, &s.Designators)
	}
	if err := json.UnmarshalDecode(d, &s.Name); err != nil {
		return err
	}
	if s.Name != ScopeService && s.Name != ScopeAll {
		return fmt.Errorf("scope is %q; write service, all or an array of designators", s.Name)
	}
	return nil
}

// positions picks the positions in scope, in natural order of designators.
// Designators that the map lacks make a *fault.Error of kind Invalid.
func (s Scope) positions(m *board.Map, names *names) ([]int, error) {
	var in []int
	switch {
	case s.Designators != nil:
		var err error
		if in, err = s.named(names); err != nil {
			return nil, err
		}
	case s.Name == "", s.Name == ScopeService, s.Name == ScopeAll:
		for i := range m.Positions {
			if s.Name == ScopeAll || m.Positions[i].Service == board.Replace {
				in = append(in, i)
			}
		}
	default:
		return nil, fault.New(fault.Invalid, "scope-unknown", "kit.scope-unknown", s.Name)
	}
	slices.SortFunc(in, func(a, b int) int {
		return board.CompareDesignators(m.Positions[a].Designator, m.Positions[b].Designator)
	})
	return slices.Compact(in), nil
}

func (s Scope) named(names *names) ([]int, error) {
	var in []int
	e := fault.New(fault.Invalid, "scope-unknown-designator", "kit.scope-unknown-designator")
	for i, text := range s.Designators {
		at, unknown, err := names.find(text)
		if in = append(in, at...); len(in)+len(e.Findings) > maxNamed {
			return nil, fault.New(fault.Invalid, "scope-unknown", "kit.scope-unknown-scope", maxNamed)
		}
		pointer := fmt.Sprintf("/scope/%d", i)
		if err != nil {
			e.Findings = append(e.Findings, finding.Finding{Code: "designator-unreadable", Severity: finding.Stop,
				Pointer: pointer, Found: text,
				Sentence: message.Of("kit.designator-unreadable-write", err)})
		}
		for _, d := range unknown {
			e.Findings = append(e.Findings, finding.Finding{Code: "designator-unknown", Severity: finding.Stop,
				Pointer: pointer, Found: d,
				Sentence: message.Of("kit.designator-unknown-map", d)})
		}
	}
	if e.Findings != nil {
		return nil, e
	}
	return in, nil
}

// within is the scope without what a map lacks.
func (s Scope) within(m *board.Map) Scope {
	if s.Designators == nil {
		return s
	}
	names := newNames(m)
	known := []string{}
	for _, text := range s.Designators {
		at, _, _ := names.find(text) // what can't be read was refused for the map asked for
		for _, i := range at {
			known = append(known, m.Positions[i].Designator)
		}
	}
	return Scope{Designators: known}
}

// names finds the positions that designators name.
type names struct {
	exact  map[string]int
	folded map[string]int // upper case; -1 where several positions differ only by case
}

func newNames(m *board.Map) *names {
	n := &names{exact: make(map[string]int, len(m.Positions)), folded: make(map[string]int, len(m.Positions))}
	for i := range m.Positions {
		d := m.Positions[i].Designator
		n.exact[d] = i
		up := strings.ToUpper(d)
		if _, twice := n.folded[up]; twice {
			i = -1
		}
		n.folded[up] = i
	}
	return n
}

func (n *names) one(designator string) (int, bool) {
	if i, ok := n.exact[designator]; ok {
		return i, true
	}
	i, ok := n.folded[strings.ToUpper(designator)]
	return i, ok && i >= 0
}

// find gives the positions that a text names, and the designators in it that
// no position has. A designator of the map goes before a range of the same
// spelling.
func (n *names) find(text string) (at []int, unknown []string, err error) {
	if i, ok := n.one(strings.TrimSpace(text)); ok {
		return []int{i}, nil, nil
	}
	ds, err := list.Designators(text)
	for _, d := range ds {
		if i, ok := n.one(d); ok {
			at = append(at, i)
		} else {
			unknown = append(unknown, d)
		}
	}
	return at, unknown, err
}
