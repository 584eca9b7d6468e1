package review

import (
	"fmt"
	"slices"
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/kit"
	"boardlore/domain/message"
)

// Checklist is what a reviewer wants to have looked at before a verdict.
type Checklist struct {
	Positions []CheckedPosition `json:"positions"` // that the proposal changes, in the order of the difference
	Kits      []CheckedKit      `json:"kits"`      // kept for this board, that the proposal breaks or mends
	Breaks    int               `json:"breaks"`    // kits that fill fewer positions, or fill them worse
	Mends     int               `json:"mends"`     // kits that fill more, or fill them better
	Evidenced int               `json:"evidenced"` // changed positions of which evidence shows all that there is to show
}

// CheckedPosition is a changed position.
type CheckedPosition struct {
	Designator string            `json:"designator"`
	Changes    []message.Message `json:"changes"`           // sentences of the difference
	Evidence   []int             `json:"evidence"`          // items that name it and show something of it, from 0
	Lacks      []string          `json:"lacks"`             // what was changed and no evidence shows, see Aspect
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
	Why    []KitChange `json:"why,omitempty"` // where it fits worse: the positions at which
}

// KitChange is a position that a kit suits worse after the proposal.
type KitChange struct {
	Designator string            `json:"designator"`
	Before     string            `json:"before"` // match, suitable, doubtful, unsuitable or none
	After      string            `json:"after"`
	Findings   []finding.Finding `json:"findings"` // why, of the part that it gets or that came nearest
}

// kitsExplained is how many kits that fit worse are told why, and maxWorse at
// how many positions each.
const (
	kitsExplained = 10
	maxWorse      = 5
)

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
	items, asked := s.items(), s.asked(at)
	for i := range c.Positions {
		p := &c.Positions[i]
		p.Lacks = (asked[p.Designator] &^ items.cite(p)).Names()
		if n, ok := at[p.Designator]; ok {
			s.look(p, n)
		}
		if len(p.Evidence) > 0 && len(p.Lacks) == 0 {
			c.Evidenced++
		}
	}
	return c
}

// asked is what has to be shown of each position.
func (s *Subject) asked(at map[string]int) map[string]Aspect {
	out := map[string]Aspect{}
	if s.FromBase == nil {
		for d, n := range at {
			out[d] = wants(&s.Map.Positions[n])
		}
		return out
	}
	for i := range s.FromBase.Changes {
		e := &s.FromBase.Changes[i]
		if n, there := at[e.Designator]; there && e.Kind == board.Added {
			out[e.Designator] |= wants(&s.Map.Positions[n])
		} else {
			out[e.Designator] |= asks(e)
		}
	}
	return out
}

// shown is what an item of evidence names and shows.
type shown struct {
	named map[string]bool
	of    Aspect
}

type shownItems []shown

func (s *Subject) items() shownItems {
	items := make(shownItems, len(s.Evidence))
	for i := range s.Evidence {
		items[i] = shown{s.Evidence[i].Named(), s.Evidence[i].Shows()}
	}
	return items
}

// cite notes the items that name a position and show something, and gives what
// they show together.
func (items shownItems) cite(c *CheckedPosition) Aspect {
	var all Aspect
	for i, it := range items {
		if it.of != 0 && it.named[c.Designator] {
			c.Evidence, all = append(c.Evidence, i), all|it.of
		}
	}
	return all
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
			out = append(out, CheckedPosition{Designator: designator, Changes: []message.Message{}, Evidence: []int{},
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
		if i := add(e.Designator); !e.Sentence.IsZero() {
			out[i].Changes = append(out[i].Changes, e.Sentence)
		}
	}
	return out
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
	checked := CheckedKit{Kit: id, Title: title, Before: b, After: a}
	if a.PoorerThan(b) && c.Breaks <= kitsExplained {
		if checked.Why, err = worse(k, before, after); err != nil {
			return fmt.Errorf("why kit %s fits worse: %w", id, err)
		}
	}
	c.Kits = append(c.Kits, checked)
	return nil
}

// fitOrder orders how a position is filled, best first.
var fitOrder = []string{kit.Match, kit.Suitable, kit.Doubtful, kit.Unsuitable, kit.None}

// worse finds the positions that a kit suits worse with another map.
func worse(k *kit.Kit, before, after *board.Map) ([]KitChange, error) {
	b, err := kit.Reconcile(kit.Request{Map: before, Kit: k})
	if err != nil {
		return nil, err
	}
	a, err := kit.Reconcile(kit.Request{Map: after, Kit: k})
	if err != nil {
		return nil, err
	}
	was := map[string]*kit.PositionReport{}
	for i := range b.Positions {
		was[b.Positions[i].Designator] = &b.Positions[i]
	}
	var out []KitChange
	for i := range a.Positions {
		p := &a.Positions[i]
		q := was[p.Designator]
		switch {
		case len(out) == maxWorse:
			return out, nil
		case q == nil && p.Fit != kit.None:
		case q == nil:
			out = append(out, KitChange{p.Designator, "", p.Fit, append([]finding.Finding{}, p.Findings...)})
		case slices.Index(fitOrder, p.Fit) > slices.Index(fitOrder, q.Fit) || p.Fit == q.Fit && p.Penalty > q.Penalty:
			out = append(out, KitChange{p.Designator, q.Fit, p.Fit, append([]finding.Finding{}, p.Findings...)})
		}
	}
	return out, nil
}
