package store

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/kit"
	"boardlore/domain/review"
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

// mostKits is how many of a board's kits a checklist tries.
const mostKits = 100

// Checklist computes what a reviewer should look at. NotFound proposal-unknown.
func (s *Store) Checklist(ctx context.Context, id int64) (*Checklist, error) {
	d, err := s.Proposal(ctx, id)
	if err != nil {
		return nil, err
	}
	c := &Checklist{Positions: d.checkPositions(), Kits: []CheckedKit{}}
	for _, p := range c.Positions {
		if len(p.Evidence) > 0 {
			c.Evidenced++
		}
	}
	if d.Current == nil || d.Forward == nil {
		return c, nil
	}
	return c, s.checkKits(ctx, d, c)
}

// checkPositions looks at each position that the difference is about; at every
// one of a new board.
func (d *Detail) checkPositions() []CheckedPosition {
	out := []CheckedPosition{}
	at := map[string]int{}
	look := func(designator, sentence string) {
		i, ok := at[designator]
		if !ok {
			i = len(out)
			at[designator] = i
			out = append(out, CheckedPosition{Designator: designator, Changes: []string{}, Evidence: []int{}, Findings: []finding.Finding{}, Elsewhere: []string{}})
		}
		if sentence != "" {
			out[i].Changes = append(out[i].Changes, sentence)
		}
	}
	if d.FromBase == nil {
		for i := range d.Map.Positions {
			look(d.Map.Positions[i].Designator, "")
		}
	} else {
		for _, e := range d.FromBase.Changes {
			if e.Designator != "" {
				look(e.Designator, e.Sentence)
			}
		}
	}
	for i := range out {
		d.look(&out[i])
	}
	return out
}

// look fills in what is to be said of one position.
func (d *Detail) look(c *CheckedPosition) {
	for i, e := range d.Evidence {
		if slices.Contains(e.Designators, c.Designator) {
			c.Evidence = append(c.Evidence, i)
		}
	}
	i := slices.IndexFunc(d.Map.Positions, func(p board.Position) bool { return p.Designator == c.Designator })
	if i < 0 {
		return
	}
	p, pointer := &d.Map.Positions[i], fmt.Sprintf("/positions/%d", i)
	for _, f := range d.Findings {
		if f.Pointer == pointer || strings.HasPrefix(f.Pointer, pointer+"/") {
			c.Findings = append(c.Findings, f)
		}
	}
	if v := p.Part.Value; !v.IsZero() && !review.Preferred(v.String()) {
		c.Unusual = v.String()
	}
	c.Elsewhere = append(c.Elsewhere, otherwise(d.Map, p)...)
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
		alike := o.Designator != p.Designator && o.Function == p.Function && o.Rail == p.Rail && o.Part.Class == p.Part.Class && o.Part.Construction == p.Part.Construction
		if alike && (o.Part.Value != p.Part.Value || o.Part.Voltage != p.Part.Voltage) {
			out = append(out, o.Designator)
		}
	}
	return out
}

// checkKits reconciles the board's kits with the current map and with what a
// release today would make of it.
func (s *Store) checkKits(ctx context.Context, d *Detail, c *Checklist) error {
	rows, err := s.db.Query(ctx, `SELECT `+kitColumns+`, v.document FROM `+kitTables+`
		WHERE v.version = k.version AND k.boards @> ARRAY[$1] ORDER BY k.id LIMIT $2`, d.Board, mostKits)
	if err != nil {
		return fail(err, "kits for %s", d.Board)
	}
	kits, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (Kit, error) {
		var k Kit
		return k, row.Scan(append(k.columns(), &k.Canonical)...)
	})
	if err != nil {
		return fail(err, "kits for %s", d.Board)
	}
	before, err := d.Current.Map.Effective("")
	if err != nil {
		return err
	}
	after, err := d.Forward.Effective("")
	if err != nil {
		return err
	}
	for i := range kits {
		if err := c.try(&kits[i], before, after); err != nil {
			return err
		}
	}
	return nil
}

// try adds a kit where it fits otherwise.
func (c *Checklist) try(k *Kit, before, after *board.Map) error {
	if err := k.open(); err != nil {
		return err
	}
	b, err := kit.Score(kit.Request{Map: before, Kit: k.Kit})
	if err != nil {
		return fmt.Errorf("kit %s with the current map: %w", k.ID, err)
	}
	a, err := kit.Score(kit.Request{Map: after, Kit: k.Kit})
	if err != nil {
		return fmt.Errorf("kit %s with the proposed map: %w", k.ID, err)
	}
	switch worse, better := poorer(b, a), poorer(a, b); {
	case worse:
		c.Breaks++
	case better:
		c.Mends++
	default:
		return nil
	}
	c.Kits = append(c.Kits, CheckedKit{Kit: k.ID, Title: k.Title, Before: b, After: a})
	return nil
}

// poorer tells that a kit fares worse by b than by a.
func poorer(a, b kit.Summary) bool {
	if a.Unfilled != b.Unfilled {
		return b.Unfilled > a.Unfilled
	}
	if a.Flagged != b.Flagged {
		return b.Flagged > a.Flagged
	}
	return b.Penalty > a.Penalty
}
