package review

import (
	"fmt"
	"slices"
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/kit"
)

// Checklist is what a reviewer wants to have looked at before a verdict.
type Checklist struct {
	Positions []CheckedPosition `json:"positions"` // that the proposal changes, in the order of the difference
	Kits      []CheckedKit      `json:"kits"`      // kept for this board, that the proposal breaks or mends
	Breaks    int               `json:"breaks"`    // kits that fill fewer positions, or fill them worse
	Mends     int               `json:"mends"`     // kits that fill more, or fill them better
	Evidenced int               `json:"evidenced"` // changed positions that some evidence names
}

// CheckedPosition is a changed position.
type CheckedPosition struct {
	Designator string            `json:"designator"`
	Changes    []string          `json:"changes"`           // sentences of the difference
	Evidence   []int             `json:"evidence"`          // items that name it, from 0
	Findings   []finding.Finding `json:"findings"`          // rules that it breaks
	Unusual    string            `json:"unusual,omitempty"` // its value, where that is in no preferred series
	Elsewhere  []string          `json:"elsewhere"`         // positions of the same function and rail with another value
}

// CheckedKit is a kit that fits otherwise after the proposal.
type CheckedKit struct {
	Kit    string      `json:"kit"`
	Title  string      `json:"title"`
	Before kit.Summary `json:"before"`
	After  kit.Summary `json:"after"`
}

// Subject is a proposal as a checklist looks at it.
type Subject struct {
	Map      *board.Map
	FromBase *board.Difference // nil for a new board
	Evidence []Evidence
	Findings []finding.Finding // of the check of its map
}

// Checklist looks at each position that the difference is about; at every one
// of a new board.
func (s *Subject) Checklist() *Checklist {
	c := &Checklist{Positions: s.changed(), Kits: []CheckedKit{}}
	at := make(map[string]int, len(s.Map.Positions))
	for i := range s.Map.Positions {
		at[s.Map.Positions[i].Designator] = i
	}
	for i := range c.Positions {
		p := &c.Positions[i]
		s.cite(p)
		if n, ok := at[p.Designator]; ok {
			s.look(p, n)
		}
		if len(p.Evidence) > 0 {
			c.Evidenced++
		}
	}
	return c
}

// changed lists the positions that the difference is about.
func (s *Subject) changed() []CheckedPosition {
	out := []CheckedPosition{}
	at := map[string]int{}
	add := func(designator string) int {
		i, ok := at[designator]
		if !ok {
			i = len(out)
			at[designator] = i
			out = append(out, CheckedPosition{Designator: designator, Changes: []string{}, Evidence: []int{},
				Findings: []finding.Finding{}, Elsewhere: []string{}})
		}
		return i
	}
	if s.FromBase == nil {
		for i := range s.Map.Positions {
			add(s.Map.Positions[i].Designator)
		}
		return out
	}
	for _, e := range s.FromBase.Changes {
		if e.Designator == "" {
			continue
		}
		if i := add(e.Designator); e.Sentence != "" {
			out[i].Changes = append(out[i].Changes, e.Sentence)
		}
	}
	return out
}

// cite notes the items of evidence that name the position.
func (s *Subject) cite(c *CheckedPosition) {
	for i := range s.Evidence {
		if slices.Contains(s.Evidence[i].Designators, c.Designator) {
			c.Evidence = append(c.Evidence, i)
		}
	}
}

// look fills in what is to be said of position n of the map.
func (s *Subject) look(c *CheckedPosition, n int) {
	p, pointer := &s.Map.Positions[n], fmt.Sprintf("/positions/%d", n)
	for i := range s.Findings {
		if f := &s.Findings[i]; f.Pointer == pointer || strings.HasPrefix(f.Pointer, pointer+"/") {
			c.Findings = append(c.Findings, *f)
		}
	}
	if v := p.Part.Value; !v.IsZero() && !Preferred(v.String()) {
		c.Unusual = v.String()
	}
	c.Elsewhere = append(c.Elsewhere, otherwise(s.Map, p)...)
}

// otherwise names the positions with the same class, construction, function
// and rail whose part has another value or voltage.
func otherwise(m *board.Map, p *board.Position) []string {
	if p.Function == "" {
		return nil
	}
	var out []string
	for i := range m.Positions {
		o := &m.Positions[i]
		alike := o.Designator != p.Designator && o.Function == p.Function && o.Rail == p.Rail &&
			o.Part.Class == p.Part.Class && o.Part.Construction == p.Part.Construction
		if alike && (o.Part.Value != p.Part.Value || o.Part.Voltage != p.Part.Voltage) {
			out = append(out, o.Designator)
		}
	}
	return out
}

// Try reconciles a kept kit with the current map and with what a release today
// would make of it, both effective, and notes it where it fits otherwise.
func (c *Checklist) Try(id, title string, k *kit.Kit, before, after *board.Map) error {
	b, err := kit.Score(kit.Request{Map: before, Kit: k})
	if err != nil {
		return fmt.Errorf("kit %s with the current map: %w", id, err)
	}
	a, err := kit.Score(kit.Request{Map: after, Kit: k})
	if err != nil {
		return fmt.Errorf("kit %s with the proposed map: %w", id, err)
	}
	switch {
	case a.PoorerThan(b):
		c.Breaks++
	case b.PoorerThan(a):
		c.Mends++
	default:
		return nil
	}
	c.Kits = append(c.Kits, CheckedKit{Kit: id, Title: title, Before: b, After: a})
	return nil
}
