package reading

// chips believes chip codes where something else is the value.
func (p *partReader) chips() {
	for _, sure := range [2]bool{true, false} {
		p.each(func(s *span) bool { return s.sure != sure || p.chipCode(s) }, actChip)
		p.each(func(s *span) bool { return !sure || p.caseCode(s) }, actCase)
	}
}

func (p *partReader) caseCode(s *span) bool {
	name := caseLetters[s.name]
	p.chip(cases[name], s.i, s.j)
	p.doubt("reading.case-letter", upper(s.name), name)
	return true
}

func upper(low string) string {
	b := []byte(low)
	for i, c := range b {
		if c >= 'a' && c <= 'z' {
			b[i] = c - 'a' + 'A'
		}
	}
	return string(b)
}

func (p *partReader) chipCode(s *span) bool {
	body, inches := chips[s.name]
	again := inches && p.body.length == body.length && p.body.width == body.width
	if !s.sure && !again && !p.valueElsewhere(s.i) && p.members["current"] == "" {
		return false
	}
	other, metric := metricChips[s.name]
	moulded, isCase := cases[s.name]
	switch {
	case isCase:
		body = moulded
	case s.metric, metric && !inches:
		body = chips[other]
	case metric && inches && p.find(actChip) == s:
		p.doubt("reading.chip-imperial", s.name, other)
	}
	if b := &p.body; b.length != 0 && (b.length != body.length || b.width != body.width) {
		return false
	}
	p.chip(body, s.i, s.j)
	return true
}

func (p *partReader) chip(body chip, i, j int) {
	b := &p.body
	p.measure(&b.length, "body.length_mm", body.length, i, j)
	p.measure(&b.width, "body.width_mm", body.width, i, j)
	if body.height != 0 && b.height == 0 {
		p.measure(&b.height, "body.height_mm", body.height, i, j)
	}
	if b.mount == "" {
		b.mount = "surface"
		p.members["body.mount"] = b.mount
		p.note(Field{Member: "body.mount", Value: "surface"}, i, j)
	}
	p.shape("chip", i, j)
}

// valueElsewhere reports whether something besides atom i may be the value.
func (p *partReader) valueElsewhere(i int) bool {
	if len(p.values) > 0 || p.coded {
		return true
	}
	for _, k := range p.got {
		if s := &p.spans[k]; (s.act == actAmount || s.act == actSections || s.act == actPair) &&
			valueUnit(s.q[0].Unit()) && s.label == "" {
			return true
		}
	}
	for k := p.named; k < len(p.atoms); k++ {
		if k != i && p.free(k) && p.isFigures(k) {
			return true
		}
	}
	return false
}
