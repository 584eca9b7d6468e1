package reading

import (
	"strings"
)

// word does what a word says; false where it means nothing here.
func (p *partReader) word(s *span) bool {
	capacitor := p.of == capacitorClass
	switch s.act {
	case actClass:
		return p.classWord(s)
	case actElectrolytic, actPolymer, actConstruction, actSeries:
		switch {
		case capacitor:
			return p.construct(s)
		case s.row.value == "ceramic" && p.of == fuseClass:
			return p.keepText("ceramic tube", s)
		}
		return p.of == resistorClass || p.of == crystalClass || p.of == potentiometerClass ||
			p.of == inductorClass // the body's material
	case actFilm:
		return capacitor && p.film(s)
	case actResistor:
		return p.of&(resistorClass|potentiometerClass) != 0 && p.name("construction", s.row.value, s.i, s.j)
	case actFusible:
		return p.fusible(s)
	case actPolarised:
		return capacitor && p.flag("polarised", s.row.value, s.i, s.j)
	case actRechargeable:
		return p.of == cellClass && p.flag("rechargeable", s.row.value, s.i, s.j)
	case actMount, actShape:
		return p.mount(s)
	case actSupply:
		return p.name("supply", s.row.value, s.i, s.j)
	case actSpeed:
		if p.of == fuseClass {
			return p.name("fuse_speed", s.row.value, s.i, s.j)
		}
		p.keep(strings.ToLower(p.source(s.i, s.j)), s.i, s.j)
		return true
	case actChemistry, actChemLetter:
		return p.of == cellClass && p.name("chemistry", s.row.value, s.i, s.j)
	case actTaper:
		return p.of == potentiometerClass && p.keepText(s.row.value, s)
	case actNegated:
		return p.negated(s)
	}
	return p.keepText(s.text(p.reader), s)
}

// text is what a word adds to the part's text.
func (s *span) text(r *reader) string {
	if s.label == "quoted" {
		t := r.source(s.i, s.j)
		return strings.ReplaceAll(t[1:len(t)-1], `""`, `"`)
	}
	return s.row.value
}

// keepText keeps a trade word, unless the text has said another of those of which a part has one.
func (p *partReader) keepText(text string, s *span) bool {
	if set := sets["apart"][text]; set != "" {
		for _, t := range p.texts {
			if t.text != text && sets["apart"][t.text] == set {
				p.doubt("reading.says-both", t.text, text)
				return false
			}
		}
	}
	p.keep(text, s.i, s.j)
	return true
}

func (p *partReader) classWord(s *span) bool {
	if s.row.value == p.class {
		p.note(Field{Member: "class", Value: p.class}, s.i, s.j)
	} else if s.holds&p.of == 0 || s.row.also != "trimmer" {
		return false
	}
	if s.row.value == "other" && s.row.also != "" {
		p.doubt("reading.accessory", p.source(s.i, s.j))
	}
	return s.row.also == "" || p.keepText(s.row.also, s)
}

func (p *partReader) construct(s *span) bool {
	c := s.row.value
	switch {
	case p.built == "" || p.built == c:
	case s.act == actElectrolytic, s.act == actSeries:
		c = p.built // a tantalum or polymer one
	case s.act == actPolymer && p.built == "tantalum", c == "tantalum" && p.built == "aluminium-polymer":
		c = "tantalum-polymer"
	case p.built == "aluminium-electrolytic" && (c == "aluminium-polymer" || c == "tantalum"):
	case s.act == actConstruction && c == "film" && p.built == "paper", s.act == actConstruction && c == "ceramic" &&
		p.built == "supercapacitor":
		c = p.built
	default:
		p.doubt("reading.says-both", word(p.built), word(c))
		return false
	}
	p.built = c
	if s.act == actSeries && c == "polyester" {
		p.built = "film"
		p.members["dielectric"] = c
		p.note(Field{Member: "dielectric", Value: c}, s.i, s.j)
	}
	p.members["construction"] = p.built
	p.note(Field{Member: "construction", Value: p.built}, s.i, s.j)
	return true
}

func (p *partReader) film(s *span) bool {
	if d := p.members["dielectric"]; d != "" && d != s.row.value || p.built != "" && p.built != s.row.also {
		p.doubt("reading.says-both", word(cmpOr(d, p.built)), word(s.row.value))
		return false
	}
	p.members["dielectric"] = s.row.value
	p.note(Field{Member: "dielectric", Value: s.row.value}, s.i, s.j)
	if p.built == "" {
		p.built = s.row.also
		p.members["construction"] = p.built
		p.note(Field{Member: "construction", Value: p.built}, s.i, s.j)
	}
	return true
}

// fusible takes "fusible" for a resistor's kind or, in French and Spanish, the fuse.
func (p *partReader) fusible(s *span) bool {
	switch p.of {
	case fuseClass:
		p.note(Field{Member: "class", Value: "fuse"}, s.i, s.j)
		return true
	case resistorClass:
		if p.members["construction"] == "" {
			return p.name("construction", "fusible", s.i, s.j)
		}
		return p.keepText("fusible", s)
	}
	return false
}

func (p *partReader) mount(s *span) bool {
	if !p.name("body.mount", s.row.value, s.i, s.j) {
		return false
	}
	p.body.mount = s.row.value
	if s.row.also != "" && p.body.shape == "" && (s.row.also == "axial" || s.row.value == "surface" ||
		electrolytic(p.built)) {
		p.shape(s.row.also, s.i, s.j)
	}
	return true
}

func electrolytic(construction string) bool {
	return strings.HasPrefix(construction, "aluminium") || strings.HasPrefix(construction, "tantalum")
}

func (p *partReader) shape(shape string, i, j int) {
	if p.body.shape == "" {
		p.body.shape = shape
		p.note(Field{Member: "body.shape", Value: shape}, i, j)
	}
}

// negated takes a term that the text denies: a yes-or-no member is turned round, and what else is denied is kept in the
// part's text, so that a place that asks for it can tell. What a denied speed, chemistry or construction leaves open is
// doubted.
func (p *partReader) negated(s *span) bool {
	if len(s.doubts) > 0 {
		p.turned = true
		p.tell(s.doubts...)
		p.note(Field{Member: "not", Value: cmpOr(s.name, s.row.value)}, s.i, s.j)
		return true
	}
	switch s.label {
	case "polarised", "rechargeable":
		v := "true"
		if s.row.value == "true" {
			v = "false"
		}
		return p.flag(s.label, v, s.i, s.j)
	case "text":
		if c := p.find(actCell); s.row.value == "lithium" && c != nil && p.of == cellClass && lithium(c.name) {
			p.turned = true
			p.doubt("reading.yes-and-no", s.row.value)
		}
		if s.row.also != "" {
			return p.keepText(s.row.also, s)
		}
		p.deny(s.row.value, s)
		return true
	case "fusible", "resistor":
		p.deny("fusible", s)
		return true
	case "class":
		if s.row.also != "" || s.row.value != p.class {
			p.deny(cmpOr(s.row.also, s.row.value), s)
			return true
		}
	case "safety class", "mount", "dielectric code":
		p.note(Field{Member: "not", Value: cmpOr(s.name, s.row.value)}, s.i, s.j)
		return true
	case "speed":
		if other := p.find(actSpeed, actFuse); other != nil && p.of == fuseClass && speedName(other) != s.row.value {
			p.note(Field{Member: "not", Value: s.row.value}, s.i, s.j)
			return true
		}
	case "taper":
		if other := p.find(actTaper); other != nil && other.row.value != s.row.value {
			p.note(Field{Member: "not", Value: s.row.value}, s.i, s.j)
			return true
		}
	case "chemistry":
		if other := p.find(actChemistry, actCell); other != nil && (other.act == actCell ||
			other.row.value != s.row.value) {
			p.note(Field{Member: "not", Value: s.row.value}, s.i, s.j)
			return true
		}
	}
	p.turned = true
	p.doubt("reading.leaves-open", p.source(s.i, s.j))
	p.deny(s.row.value, s)
	return true
}

// deny keeps in the part's text what it is said not to be: "not" and one word.
func (p *partReader) deny(what string, s *span) {
	p.keep("not "+strings.ReplaceAll(what, " ", "-"), s.i, s.j)
	p.note(Field{Member: "not", Value: what}, s.i, s.j)
}

func speedName(s *span) string {
	if s.row != nil {
		return s.row.value
	}
	return s.name
}

func cmpOr(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// types keeps type numbers in the part's text: what is left over with figures, of a class without a value.
func (p *partReader) types() {
	if p.of == 0 && len(p.values) == 0 {
		for _, k := range p.got {
			if s := &p.spans[k]; s.act == actType && s.label == "shape" {
				p.keep(s.name, s.i, s.j)
			}
		}
		return
	}
	if p.of == 0 || p.of&valueless == 0 || p.of == fuseClass || p.of == cellClass || p.of == restClass {
		return
	}
	type stretch struct{ i, j int }
	var all []stretch
	p.eachLeft(func(i, j int) {
		if i >= p.named {
			all = append(all, stretch{i, j})
		}
	})
	for _, s := range all {
		if p.hasFigures(s.i, s.j) && !p.unitInside(s.i, s.j) || len(p.texts) == 0 && p.isLetters(s.i) &&
			len(p.lowOf(s.i)) > 1 && !p.turnWord(s.i) && p.atoms[s.i].script == latin {
			p.keep(strings.TrimRight(p.reader.printed(s.i, s.j), "."), s.i, s.j)
		}
	}
}

// unitInside reports whether a stretch is an amount that the class has no member for.
func (p *partReader) unitInside(i, j int) bool {
	for k := i; k < j; k++ {
		for _, s := range p.spansAt(k) {
			if s.i >= i && s.j <= j+1 && (s.act == actAmount || s.act == actPair || s.act == actRange ||
				s.act == actTolerance) {
				return true
			}
		}
	}
	return false
}

// turnWord reports whether a word is one that turns things round.
func (p *partReader) turnWord(k int) bool {
	return p.beginsAt(k, actNot, actOr, actWas, actLike, actBound, actAbout, actClass)
}
