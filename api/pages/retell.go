package pages

import (
	"context"
	"slices"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/labstack/echo/v4"

	"boardlore/domain/finding"
	"boardlore/domain/list"
	"boardlore/domain/message"
	"boardlore/domain/placement"
	"boardlore/domain/review"
	"boardlore/store"
)

// tell takes a proposal's evidence into the draft by which it is amended: what
// a line can say as lines, photographs as photographs, and what is more than
// that as it is, to be kept or dropped.
func (e *draftView) tell(items []review.Evidence) {
	var lines []string
	for _, it := range items {
		names := list.Ranges(it.Designators)
		switch {
		case len(it.Measured) == 0 && len(it.Photographs) == 0 && !strings.Contains(it.Text, "\n"):
			if names != "" {
				names += ": "
			}
			lines = append(lines, names+it.Text)
		case len(it.Measured) == 0 && len(it.Photographs) == 1 && it.Text == t("contribute.photo.text").String():
			e.Photos = append(e.Photos, evidencePhoto{it.Photographs[0], names})
		default:
			e.Had = append(e.Had, it)
		}
	}
	e.Evidence = strings.Join(lines, "\n")
}

// HadJSON is what is kept as it is, as the form carries it on.
func (e *draftView) HadJSON() string {
	b, _ := json.Marshal(e.Had, json.Deterministic(true)) // read from JSON, so it can be written
	return string(b)
}

// readHad takes the items that are kept as they are from form to form.
func (e *draftView) readHad(c echo.Context) {
	in := jsontext.NewDecoder(strings.NewReader(c.FormValue("had")))
	if t, err := in.ReadToken(); err != nil || t.Kind() != '[' {
		return // the page's own; what is not read is carried no more
	}
	for i := 0; i < review.MaxEvidence && in.PeekKind() == '{'; i++ {
		var it review.Evidence
		if json.UnmarshalDecode(in, &it) != nil {
			return
		}
		if c.FormValue("had.gone."+strconv.Itoa(i)) == "" {
			e.Had = append(e.Had, it)
		}
	}
}

// amend gives a proposal the draft's map and, where they are others, its
// summary and evidence. It says what was done.
func (p *Pages) amend(ctx context.Context, v *visit, e *draftView) (store.Receipt, string, error) {
	evidence, err := e.evidence()
	if err != nil {
		return store.Receipt{}, "", err
	}
	d, err := p.store.Proposal(ctx, e.Proposal)
	if err != nil {
		return store.Receipt{}, "", err
	}
	if had, err := json.Marshal(d.Evidence); err == nil && sameItems(had, evidence) {
		evidence = nil
	}
	doc, err := json.Marshal(struct {
		Map      jsontext.Value `json:"map"`
		Summary  string         `json:"summary"`
		Evidence jsontext.Value `json:"evidence,omitzero"`
	}{jsontext.Value(e.Map), e.Summary, evidence})
	if err != nil {
		return store.Receipt{}, "", err
	}
	r, err := p.store.Amend(ctx, v.Actor, store.Amendment{Proposal: e.Proposal, Map: doc, IfMatch: e.IfMatch})
	if slices.ContainsFunc(r.Findings, func(f finding.Finding) bool { return f.Code == "amended-nothing" }) {
		return r, "unchanged", err
	}
	return r, "amended", err
}

// mergedSaid says what became of a list that was merged into a map.
func mergedSaid(base int, m *placement.Merged) []message.Message {
	said := []message.Message{t("merge.into", base)}
	var moved, otherwise []string
	for _, x := range m.Moved {
		moved = append(moved, x.Designator)
	}
	for _, x := range m.Differs {
		if !slices.Contains(otherwise, x.Designator) {
			otherwise = append(otherwise, x.Designator)
		}
	}
	for _, x := range []struct {
		names []string
		says  message.Message
	}{
		{moved, t("merge.moved", len(moved), list.Ranges(moved))},
		{m.Added, t("merge.added", len(m.Added), list.Ranges(m.Added))},
		{m.Filled, t("merge.filled", len(m.Filled), list.Ranges(m.Filled))},
		{otherwise, t("merge.differs", len(otherwise), list.Ranges(otherwise))},
		{m.Missing, t("merge.missing", len(m.Missing), list.Ranges(m.Missing))},
	} {
		if len(x.names) > 0 {
			said = append(said, x.says)
		}
	}
	if m.Likely > 0 {
		said = append(said, t("merge.likely", m.Likely, base))
	}
	if m.Shift != [2]float64{} {
		said = append(said, t("merge.shift", number(m.Shift[0]), number(m.Shift[1])))
	}
	return said
}

// sameItems tells two lists of evidence that hold the same, in any order.
func sameItems(a, b jsontext.Value) bool {
	sorted := func(v jsontext.Value) []string {
		items, _ := review.ReadEvidence(v)
		out := make([]string, 0, len(items))
		for i := range items {
			s, _ := json.Marshal(&items[i], json.Deterministic(true)) // read from JSON, so it can be written
			out = append(out, string(s))
		}
		slices.Sort(out)
		return out
	}
	return slices.Equal(sorted(a), sorted(b))
}
