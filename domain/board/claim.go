package board

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"boardlore/domain/message"
	"boardlore/domain/part"
)

// Claim is what a map says of positions that are new or changed, like ones
// together, in one sentence that a reviewer can hold a board to.
type Claim struct {
	Designators []string        `json:"designators"`
	Count       int             `json:"count"`
	Variant     string          `json:"variant,omitzero"` // the build, where it is not the base map
	Sentence    message.Message `json:"sentence"`
	Hazardous   bool            `json:"hazardous"`
	Relevant    bool            `json:"safety"` // polarised, on the mains side, a fuse, a cell or a regulator
	Unlike      *Unlike         `json:"unlike,omitzero"`
}

// Unlike says of the odd one out which positions say all the same but for one
// thing, and what they say there.
type Unlike struct {
	Designators []string        `json:"designators"`
	Says        message.Message `json:"says"`
	Instead     message.Message `json:"instead"` // what this one says
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
	facts  []facts // of each claim
	at     map[key]int
}

// key is what like claims share.
type key struct {
	variant, sentence string
	hazardous, safety bool
}

func (g *grouping) add(variant string, p *Position, hazardous bool) {
	says := claim(p)
	k := key{variant, says.sentence().String(), hazardous, relevant(p)}
	i, there := g.at[k]
	if !there {
		i = len(g.claims)
		g.at[k] = i
		sentence := says.sentence()
		if variant != "" {
			sentence = message.Of("claim.in-variant", variant, sentence)
		}
		g.facts = append(g.facts, says)
		g.claims = append(g.claims, Claim{Variant: variant, Sentence: sentence, Hazardous: hazardous,
			Relevant: k.safety})
	}
	c := &g.claims[i]
	c.Designators, c.Count = append(c.Designators, p.Designator), c.Count+1
}

func (g *grouping) sorted() []Claim {
	for i := range g.claims {
		slices.SortFunc(g.claims[i].Designators, CompareDesignators)
	}
	tellOdd(g.claims, g.facts)
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
		return cmp.Or(cmp.Compare(rank(&a), rank(&b)), CompareDesignators(a.Designators[0], b.Designators[0]),
			cmp.Compare(a.Variant, b.Variant))
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
func tellOdd(claims []Claim, says []facts) {
	type slot struct {
		variant, rest string // all but the segment
		segment       int
	}
	largest := map[slot]int{} // → the claim of the most positions that says so
	each := func(i int, do func(slot)) {
		words := says[i].words()
		for k := range words {
			do(slot{claims[i].Variant, strings.Join(words[:k], "; ") + "\x00" + strings.Join(words[k+1:], "; "), k})
		}
	}
	for i := range claims {
		if claims[i].Count >= manyAlike {
			each(i, func(k slot) {
				if j, there := largest[k]; !there || claims[i].Count > claims[j].Count {
					largest[k] = i
				}
			})
		}
	}
	for i := range claims {
		c := &claims[i]
		if c.Count > fewAlike {
			continue
		}
		each(i, func(k slot) {
			if j, there := largest[k]; there && c.Unlike == nil {
				c.Unlike = &Unlike{claims[j].Designators, says[j][k.segment], says[i][k.segment]}
			}
		})
	}
}

// facts are what a map says of a position, one after the other.
type facts []message.Message

// sentence is all of them.
func (f facts) sentence() message.Message {
	return message.Of("difference.sentence", message.Semicolons(f))
}

// words are the facts by which like claims are found.
func (f facts) words() []string {
	out := make([]string, len(f))
	for i := range f {
		out[i] = f[i].String()
	}
	return out
}

// claim says all that a map says of a position but where it is.
func claim(p *Position) facts {
	says := facts{specification(&p.Part)}
	if p.Negative != nil {
		says = append(says, message.Of("claim.minus", direction(*p.Negative), degrees(p.Negative)))
	} else if orients(p) {
		says = append(says, rotationOf(p))
	}
	says = append(says, message.Of("claim.side", p.Side), fact("function", p.Function), fact("rail", p.Rail),
		fact("working-voltage", voltageText(p)),
		choice(p.Glued, "claim.glued", "claim.not-glued"), choice(p.HeatSensitive, "claim.heat-sensitive",
			"claim.not-heat-sensitive"),
		choice(p.HotPlace, "claim.hot-place", "claim.not-hot-place"),
		fact("circuit", message.Word("circuit", p.Circuit)), bodyWords(p),
		fact("service", message.Word("service", p.Service)))
	if r := p.Replacement; r != nil {
		says = append(says, message.Of("claim.replacement", specification(&r.Part), strings.TrimSuffix(r.Reason, ".")))
	}
	says = append(says, fact("note", strings.TrimSuffix(p.Notes, ".")))
	return slices.DeleteFunc(says, message.Message.IsZero)
}

// fact says one thing, nothing where there is nothing to say.
func fact(what string, x any) message.Message {
	switch x := x.(type) {
	case string:
		if x == "" {
			return message.Message{}
		}
	case message.Message:
		if x.IsZero() {
			return message.Message{}
		}
	}
	return message.Of("claim."+what, x)
}

// choice is one of two keys, nothing where neither is known.
func choice(b *bool, yes, no string) message.Message {
	switch {
	case b == nil:
		return message.Message{}
	case *b:
		return message.Of(yes)
	}
	return message.Of(no)
}

// specification spells a part with all that the map says of it.
func specification(p *part.Part) message.Message {
	var words []message.Message
	for i := range part.Members {
		if m := &part.Members[i]; m.Name != "class" && m.Name != "construction" { // the kind comes last
			words = append(words, factOf(m, p))
		}
	}
	words = append(words, kindOf(p))
	return message.Words(slices.DeleteFunc(words, message.Message.IsZero)).Say()
}

// orients tells a part that stands one way only, of which its rotation says
// which.
func orients(p *Position) bool {
	return turnsPolarity(p) || !slices.Contains(withoutDirection, p.Part.Class)
}

// withoutDirection are the classes of parts that may be turned round.
var withoutDirection = []part.Class{part.Resistor, part.Capacitor, part.Fuse, part.Inductor, part.Varistor,
	part.Thermistor,
	part.Crystal, part.Lamp, part.Other}

// direction is an angle seen from the top side, in words.
func direction(deg float64) message.Message {
	return message.Of([...]string{"direction.right", "direction.up-right", "direction.up", "direction.up-left",
		"direction.left", "direction.down-left",
		"direction.down", "direction.down-right"}[int(math.Round(normal(deg)/45))%8])
}

func bodyWords(p *Position) message.Message {
	b := p.Body
	if b == nil {
		return message.Message{}
	}
	var sizes, says []message.Message
	for _, d := range []struct {
		key string
		mm  float64
	}{{"extent.diameter", b.Diameter}, {"extent.length", b.Length}, {"extent.width", b.Width},
		{"extent.height", b.Height},
		{"extent.headroom", b.HeightLimit}, {"extent.lead-pitch", b.LeadPitch}} {
		if d.mm > 0 {
			sizes = append(sizes, message.Of(d.key, mm(d.mm)))
		}
	}
	for _, m := range []message.Message{message.Word("mount", b.Mount), message.Word("shape", b.Shape),
		message.Commas(sizes).Say()} {
		if !m.IsZero() {
			says = append(says, m)
		}
	}
	return message.Words(says).Say()
}
