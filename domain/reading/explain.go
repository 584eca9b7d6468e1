package reading

import "slices"

// Explained is one span of a text, for whoever changes the lexicon.
type Explained struct {
	Text   string `json:"text"`
	Span   [2]int `json:"span"` // in Unicode code points
	What   string `json:"what"`
	Rule   string `json:"rule"`
	Says   string `json:"says,omitempty"`
	Weight int    `json:"weight"`
	State  string `json:"state"` // understood, runner-up, left over
}

// explain tells what was understood, what lost, and what is left over.
func (p *partReader) explain() []Explained {
	out := []Explained{}
	chosen := map[int]bool{}
	for _, k := range p.got {
		chosen[k] = true
		s := &p.spans[k]
		state := "understood"
		if !p.atoms[s.i].used && !p.atoms[s.j-1].used {
			state = "left over"
		}
		out = append(out, p.explained(s, state))
	}
	if len(p.values) > 0 {
		i, j := p.value[0], p.value[1]
		if i < j && !p.spanned(i, j) {
			says := p.values[0].Canonical()
			for _, v := range p.values[1:] {
				says += " or " + v.Canonical()
			}
			out = append(out, Explained{p.source(i, j), p.points(i, j), actCode.String(), "value", says,
				(j - i) * covered, "understood"})
		}
	}
	p.eachLeft(func(i, j int) {
		out = append(out, Explained{p.source(i, j), p.points(i, j), "", "", "", 0, "left over"})
	})
	for k := range p.spans {
		if s := &p.spans[k]; !chosen[k] {
			out = append(out, p.explained(s, "runner-up"))
		}
	}
	return out
}

// spanned reports whether a span of the cover is just there.
func (p *partReader) spanned(i, j int) bool {
	return slices.ContainsFunc(p.got, func(k int) bool { return p.spans[k].i == i && p.spans[k].j == j })
}

func (p *partReader) explained(s *span, state string) Explained {
	w, ok := p.weighed(s, p.of)
	if !ok {
		w = s.weight
	}
	return Explained{p.source(s.i, s.j), p.points(s.i, s.j), s.act.String(), s.rule, s.says(), w, state}
}

// says is what a span says, in short.
func (s *span) says() string {
	switch {
	case s.n > 0 && !s.q[0].IsZero():
		t := s.q[0].String()
		if s.n > 1 {
			t += " | " + s.q[1].String()
		}
		if s.label != "" {
			t = s.label + " " + t
		}
		return t
	case !s.t.IsZero():
		return s.t.String()
	case s.count > 0:
		return itoa(s.count)
	case s.row != nil && s.row.value != "":
		return s.row.value
	}
	return s.name
}
