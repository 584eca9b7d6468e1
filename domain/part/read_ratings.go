package part

import (
	"regexp"
	"strconv"
	"strings"

	"boardlore/domain/quantity"
)

var (
	sizeForm   = regexp.MustCompile(`^[øØdD]?(\d+(?:[.,]\d+)?)x(\d+(?:[.,]\d+)?)(?:x(\d+(?:[.,]\d+)?))?(?:mm)?$`)
	pitchText  = regexp.MustCompile(`^(?i:rm|pitch|pas|raster|ls)[:=]?(\d+(?:[.,]\d+)?)(?i:mm)?$`)
	ratingText = regexp.MustCompile(`^[+±-]?[\d.,/]+ ?(?i:(v|kv|mv|vdc|vac|wv|v~|v=|v-|volt|volts|vcc|vca)|(w|mw|watt|watts)|(a|ma|µa|ua|amp|amps)|(h|hrs|hr|hours|std|stunden|heures)|(%))$`)
	hotText    = regexp.MustCompile(`^(?:-?\d+(?:°c?|c)?(?:\.\.|\.\.\.|…|~|/|-|to|bis))?\+?(\d{2,3}) ?(?:°c?|c|℃|deg c|degc|grad)$`)
	devText    = regexp.MustCompile(`^(?:(?:±|\+/-|\+-) ?\d+(?:[.,]\d+)? ?(?:%|pF)?|\d+(?:[.,]\d+)? ?%|[+-]\d+ ?%? ?/? ?[+-]\d+ ?%?)$`)
	pairText   = regexp.MustCompile(`^\d+(?:[.,]\d+)?/\d+(?:[.,]\d+)?$`)
)

func isSize(s string) bool { return sizeForm.MatchString(s) }

func lengthOf(s string) float64 {
	v, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
	if err != nil || v > 2000 {
		return 0
	}
	return v
}

// size takes 5x11, 10 x 12.5 mm, 5x20 of a fuse, and the lead pitch.
func (r *reader) size(i int) int {
	for n := 4; n > 0; n-- {
		s, ok := r.join(i, n)
		if !ok {
			continue
		}
		s = strings.ReplaceAll(s, " ", "")
		if m := sizeForm.FindStringSubmatch(s); m != nil {
			r.body(m, i, n)
			return n
		}
		if m := pitchText.FindStringSubmatch(s); m != nil && n <= 3 {
			r.reading.Body.LeadPitch = lengthOf(m[1])
			r.set("body.lead_pitch_mm", m[1], i, i+n-1)
			return n
		}
	}
	return 0
}

// body puts two or three figures where they belong: diameter and height of a
// can, diameter and length of a fuse or an axial part, else length, width and
// height.
func (r *reader) body(m []string, i, n int) {
	b := &r.reading.Body
	first, second, third := lengthOf(m[1]), lengthOf(m[2]), lengthOf(m[3])
	switch {
	case third > 0:
		b.Length, b.Width, b.Height = first, second, third
	case r.reading.Part.Class == "fuse" || b.Shape == "axial":
		b.Shape, b.Diameter, b.Length = "axial", first, second
	default:
		b.Diameter, b.Height = first, second
		if b.Shape == "" {
			b.Shape = "can"
		}
	}
	r.set("body", strings.TrimSuffix(m[1]+"x"+m[2]+"x"+m[3], "x"), i, i+n-1)
}

// rating takes what its unit names: voltage, power, current, endurance,
// tolerance, temperature, resistance after the word ESR.
func (r *reader) rating(i int) int {
	for n := 3; n > 0; n-- {
		s, ok := r.join(i, n)
		if !ok {
			continue
		}
		if r.special(s, i, n) || r.unit(s, i, n) {
			return n
		}
	}
	return 0
}

// special takes what a word before or a sign names.
func (r *reader) special(s string, i, n int) bool {
	low := strings.ToLower(s)
	if rest, ok := strings.CutPrefix(low, "esr"); ok && rest != "" {
		return r.assign(&r.reading.Part.ESRMax, "esr_max", strings.TrimLeft(rest, " <=:max."), quantity.Resistance, i, n)
	}
	if rest, ok := strings.CutPrefix(low, "ripple"); ok && rest != "" {
		return r.assign(&r.reading.Part.Ripple, "ripple", strings.Replace(strings.TrimLeft(rest, " <=:"), "a", "A", 1), quantity.Current, i, n)
	}
	if m := hotText.FindStringSubmatch(low); m != nil {
		if !r.assign(&r.reading.Part.TemperatureMax, "temperature_max", m[1]+" °C", quantity.Temperature, i, n) {
			return false
		}
		if lower := strings.TrimSuffix(low[:strings.LastIndex(low, m[1])], "+"); lower != "" {
			r.doubt("%s is a range; its upper end was taken as the rating.", s)
		}
		return true
	}
	if devText.MatchString(s) {
		q, err := quantity.Read(s, quantity.ToleranceKind, quantity.Context{Class: r.reading.Part.Class, Found: "list"})
		if err == nil && len(q) == 1 && r.reading.Part.Tolerance.IsZero() {
			r.reading.Part.Tolerance = q[0].Tolerance
			r.set("tolerance", q[0].Tolerance.String(), i, i+n-1)
			return true
		}
	}
	return false
}

// unit takes a number with its unit.
func (r *reader) unit(s string, i, n int) bool {
	m := ratingText.FindStringSubmatch(s)
	if m == nil {
		return false
	}
	p := &r.reading.Part
	switch {
	case m[1] != "":
		return r.assign(&p.Voltage, "voltage", s, quantity.Voltage, i, n)
	case m[2] != "":
		return r.assign(&p.Power, "power", s, quantity.Power, i, n)
	case m[3] != "" && p.Class == "capacitor":
		return r.assign(&p.Ripple, "ripple", s, quantity.Current, i, n)
	case m[3] != "":
		return r.assign(&p.Current, "current", s, quantity.Current, i, n)
	case m[4] != "":
		return r.assign(&p.Endurance, "endurance", s, quantity.Duration, i, n)
	}
	return false
}

// assign reads a rating into to. A second, different value of the same rating
// is left over, with a doubt: nothing is overwritten silently.
func (r *reader) assign(to *quantity.Quantity, member, s string, k quantity.Kind, i, n int) bool {
	qs, err := quantity.Read(s, k, quantity.Context{Class: r.reading.Part.Class, Found: "list"})
	if err != nil || len(qs) != 1 {
		return false
	}
	if !to.IsZero() && *to != qs[0].Quantity {
		r.doubt("%s stands twice: %s and %s.", member, to.String(), qs[0].Quantity.String())
		return false
	}
	*to = qs[0].Quantity
	r.reading.Doubts = append(r.reading.Doubts, qs[0].Doubts...)
	r.set(member, to.String(), i, i+n-1)
	return true
}

// readValue reads the part's value by its class, or by its unit where no class
// is known.
func (r *reader) readValue(i int) int {
	if r.values != nil {
		return 0
	}
	for n := 2; n > 0; n-- {
		s, ok := r.join(i, n)
		if !ok || !strings.ContainsAny(s, "0123456789") || n == 2 && !apart(r.words[i].text, r.words[i+1].text) {
			continue
		}
		found := r.readings(s)
		if len(found) == 0 {
			continue
		}
		r.values = found
		r.value = word{from: r.words[i].from, to: r.words[i+n-1].to}
		for k := i; k < i+n; k++ {
			r.words[k].used = true
		}
		switch next := i + n; {
		case pairText.MatchString(s):
			_, volts, _ := strings.Cut(s, "/")
			r.assign(&r.reading.Part.Voltage, "voltage", volts+" V", quantity.Voltage, i, 1)
		case next < len(r.words) && !r.words[next].used && r.words[next].struck && figureOnly(r.words[next].text):
			r.assign(&r.reading.Part.Voltage, "voltage", r.words[next].text+" V", quantity.Voltage, next, 1)
		}
		return n
	}
	return 0
}

// apart says whether two words are a figure and its unit.
func apart(figure, unit string) bool {
	return figureOnly(figure) && !strings.ContainsAny(unit, "0123456789")
}

// figureOnly says whether a text is a figure without a unit.
func figureOnly(s string) bool { return strings.Trim(s, "0123456789.,") == "" }

func (r *reader) readings(s string) []quantity.Reading {
	c := r.context
	c.Class = r.reading.Part.Class
	if c.Found == "" && len(r.words) > 1 {
		c.Found = "list" // a marking is one word; figures beside others are written out
	}
	if c.Construction == "" {
		c.Construction = r.reading.Part.Construction
	}
	if c.Class != "" && c.Class != "other" {
		k, ok := ValueKind(c.Class)
		if !ok {
			return nil
		}
		found, err := quantity.Read(s, k, c)
		if err != nil {
			return nil
		}
		return found
	}
	return r.anyKind(s, c)
}

// anyKind reads a value of a part whose class nobody said: every kind that
// some class has is tried, and each distinct quantity is one reading.
func (r *reader) anyKind(s string, c quantity.Context) []quantity.Reading {
	var all []quantity.Reading
	for _, k := range []quantity.Kind{quantity.Capacitance, quantity.Resistance, quantity.Inductance, quantity.Frequency} {
		found, err := quantity.Read(s, k, c)
		if err != nil {
			continue
		}
		for _, f := range found {
			if !contains(all, f) {
				all = append(all, f)
			}
		}
	}
	// µ, n and p without a unit are microfarads and their kin on parts with a
	// rated voltage, which inductors and resistors hardly ever bear.
	if !r.reading.Part.Voltage.IsZero() {
		if only := ofUnit(all, quantity.Farad); len(only) > 0 {
			return only
		}
	}
	return all
}

func contains(all []quantity.Reading, f quantity.Reading) bool {
	for _, a := range all {
		if a.Quantity == f.Quantity && a.Tolerance == f.Tolerance {
			return true
		}
	}
	return false
}

func ofUnit(all []quantity.Reading, u quantity.Unit) []quantity.Reading {
	var only []quantity.Reading
	for _, a := range all {
		if a.Quantity.Unit() == u {
			only = append(only, a)
		}
	}
	return only
}

// String spells the part on one line that Read reads back, "x-…" members left
// out.
func (p Part) String() string {
	var b []byte
	add := func(s string) {
		if s == "" {
			return
		}
		if len(b) > 0 {
			b = append(b, ' ')
		}
		b = append(b, s...)
	}
	add(strings.ReplaceAll(p.Class, "-", " "))
	add(strings.ReplaceAll(p.Construction, "-", " "))
	quantities := []struct {
		prefix string
		q      quantity.Quantity
	}{{"", p.Value}, {"", p.Voltage}, {"", p.Current}, {"", p.Power}, {"", p.TemperatureMax}, {"", p.Endurance}, {"ESR ", p.ESRMax}, {"ripple ", p.Ripple}}
	for i, q := range quantities {
		if !q.q.IsZero() {
			add(q.prefix + q.q.String())
		}
		if i == 0 && !p.Tolerance.IsZero() {
			add(p.Tolerance.String())
		}
	}
	add(p.Dielectric)
	add(p.SafetyClass)
	if p.FuseSpeed != "" {
		add(map[string]string{"T": "time-lag", "F": "quick-acting"}[p.FuseSpeed])
		if p.FuseSpeed != "T" && p.FuseSpeed != "F" {
			add(p.FuseSpeed)
		}
	}
	add(p.Chemistry)
	if p.Polarised != nil {
		add(map[bool]string{true: "polarised", false: "bipolar"}[*p.Polarised])
	}
	if p.Rechargeable != nil {
		add(map[bool]string{true: "rechargeable", false: "primary"}[*p.Rechargeable])
	}
	add(p.Text)
	return string(b)
}
