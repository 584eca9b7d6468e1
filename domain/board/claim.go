package board

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"boardlore/domain/part"
)

// Claim is what a map says of positions that are new or changed, like ones
// together, in one sentence that a reviewer can hold a board to.
type Claim struct {
	Designators []string `json:"designators"`
	Count       int      `json:"count"`
	Variant     string   `json:"variant,omitzero"` // the build, where it is not the base map
	Sentence    string   `json:"sentence"`
	Hazardous   bool     `json:"hazardous"`
	Relevant    bool     `json:"safety"` // polarised, on the mains side, a fuse, a cell or a regulator
	Unlike      *Unlike  `json:"unlike,omitzero"`
}

// Unlike says of the odd one out which positions say all the same but for one
// thing, and what they say there.
type Unlike struct {
	Designators []string `json:"designators"`
	Says        string   `json:"says"`
	Instead     string   `json:"instead"` // what this one says
}

// Claims gives what the proposed map says of each position that is new or that
// the current map has otherwise; current is nil for a new board. Hazardous
// ones come first, then those that safety hangs on, each in natural order.
func Claims(current, proposed *Map, hazards []JudgedHazard) []Claim {
	was := []effective{{by: map[string]*Position{}}}
	if current != nil {
		was = effectiveBuilds(reframed(current, proposed).apply(current))
	}
	grave := map[[2]string]bool{}
	for _, h := range hazards {
		grave[[2]string{h.Variant, h.Designator}] = true
	}
	g := grouping{at: map[key]int{}}
	for _, b := range effectiveBuilds(proposed) {
		before := &was[0]
		if i := slices.IndexFunc(was, func(w effective) bool { return w.name == b.name }); i >= 0 {
			before = &was[i]
		}
		for _, p := range b.told {
			if old := before.position(was[0].by, p.Designator); old == nil || !samePosition(old, p) {
				g.add(b.name, p, grave[[2]string{b.name, p.Designator}])
			}
		}
	}
	return g.sorted()
}

type grouping struct {
	claims []Claim
	at     map[key]int
}

// key is what like claims share.
type key struct {
	variant, sentence string
	hazardous, safety bool
}

func (g *grouping) add(variant string, p *Position, hazardous bool) {
	k := key{variant, claim(p), hazardous, relevant(p)}
	i, there := g.at[k]
	if !there {
		i = len(g.claims)
		g.at[k] = i
		says := k.sentence
		if variant != "" {
			says = "In variant " + variant + ": " + says
		}
		g.claims = append(g.claims, Claim{Variant: variant, Sentence: says, Hazardous: hazardous, Relevant: k.safety})
	}
	c := &g.claims[i]
	c.Designators, c.Count = append(c.Designators, p.Designator), c.Count+1
}

func (g *grouping) sorted() []Claim {
	for i := range g.claims {
		slices.SortFunc(g.claims[i].Designators, CompareDesignators)
	}
	tellOdd(g.claims)
	rank := func(c *Claim) int {
		switch {
		case c.Hazardous:
			return 0
		case c.Relevant:
			return 1
		}
		return 2
	}
	slices.SortStableFunc(g.claims, func(a, b Claim) int {
		return cmp.Or(cmp.Compare(rank(&a), rank(&b)), CompareDesignators(a.Designators[0], b.Designators[0]), cmp.Compare(a.Variant, b.Variant))
	})
	return g.claims
}

// A claim of at most fewAlike positions is an odd one out beside one of at
// least manyAlike. Common practice: two may be meant, three of a kind are a rule.
const (
	fewAlike  = 2
	manyAlike = 3
)

// tellOdd finds the odd ones out: all that a claim says but one thing is said
// of many others, who say something else there.
func tellOdd(claims []Claim) {
	type slot struct {
		variant, rest string // all but the segment
		segment       int
	}
	said := map[slot]int{} // → the largest claim that says so
	each := func(c *Claim, do func(slot, string)) {
		segments := strings.Split(strings.TrimSuffix(c.Sentence, "."), "; ")
		for i, s := range segments {
			do(slot{c.Variant, strings.Join(segments[:i], "; ") + "\x00" + strings.Join(segments[i+1:], "; "), i}, s)
		}
	}
	for i := range claims {
		if claims[i].Count >= manyAlike {
			each(&claims[i], func(k slot, _ string) {
				if j, there := said[k]; !there || claims[i].Count > claims[j].Count {
					said[k] = i
				}
			})
		}
	}
	for i := range claims {
		c := &claims[i]
		if c.Count > fewAlike {
			continue
		}
		each(c, func(k slot, instead string) {
			if j, there := said[k]; there && c.Unlike == nil {
				segments := strings.Split(strings.TrimSuffix(claims[j].Sentence, "."), "; ")
				c.Unlike = &Unlike{claims[j].Designators, segments[k.segment], instead}
			}
		})
	}
}

// claim says in one sentence all that a map says of a position but where it is.
func claim(p *Position) string {
	says := []string{specification(&p.Part)}
	if p.Negative != nil {
		says = append(says, fmt.Sprintf("minus %s (%s)", direction(*p.Negative), degrees(p.Negative)))
	} else if orients(p) {
		says = append(says, "rotation "+degrees(&p.Rotation))
	}
	says = append(says, string(p.Side)+" side")
	says = append(says, prefixed("function ", p.Function), prefixed("rail ", p.Rail), prefixed("working voltage ", voltageText(p)),
		choice(p.Glued, "glued", "not glued"), choice(p.HeatSensitive, "heat-sensitive", "not heat-sensitive"), choice(p.HotPlace, "in a hot place", "not in a hot place"),
		prefixed("circuit ", string(p.Circuit)), bodyWords(p), prefixed("service: ", string(p.Service)))
	if r := p.Replacement; r != nil {
		says = append(says, fmt.Sprintf("to be replaced by %s (%s)", specification(&r.Part), strings.TrimSuffix(r.Reason, ".")))
	}
	says = append(says, prefixed("note: ", strings.TrimSuffix(p.Notes, ".")))
	return strings.Join(slices.DeleteFunc(says, func(s string) bool { return s == "" }), "; ") + "."
}

// specification spells a part with all that the map says of it.
func specification(p *part.Part) string {
	var words []string
	for i := range part.Members {
		if m := &part.Members[i]; m.Name != "class" && m.Name != "construction" { // the kind comes last
			words = append(words, factOf(m, p))
		}
	}
	words = append(words, kindOf(p))
	return strings.Join(slices.DeleteFunc(words, func(s string) bool { return s == "" }), " ")
}

// orients tells a part that stands one way only, of which its rotation says
// which.
func orients(p *Position) bool {
	return turnsPolarity(p) || !slices.Contains([]part.Class{part.Resistor, part.Capacitor, part.Fuse, part.Inductor, part.Varistor, part.Thermistor, part.Crystal, part.Lamp, part.Other}, p.Part.Class)
}

// direction is an angle seen from the top side, in words.
func direction(deg float64) string {
	words := [...]string{"to the right", "up and to the right", "up", "up and to the left", "to the left", "down and to the left", "down", "down and to the right"}
	return words[int(math.Round(normal(deg)/45))%len(words)]
}

func bodyWords(p *Position) string {
	b := p.Body
	if b == nil {
		return ""
	}
	var says []string
	for _, d := range []struct {
		what string
		mm   float64
	}{{"diameter", b.Diameter}, {"length", b.Length}, {"width", b.Width}, {"height", b.Height}, {"headroom", b.HeightLimit}, {"lead pitch", b.LeadPitch}} {
		if d.mm > 0 {
			says = append(says, d.what+" "+mm(d.mm))
		}
	}
	return strings.TrimSpace(strings.Join([]string{b.Mount, b.Shape, strings.Join(says, ", ")}, " "))
}
