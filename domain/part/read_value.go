package part

import (
	"slices"

	"boardlore/domain/quantity"
)

// findValue reads the value: one that stands with its unit, else the first
// word with figures that reads as one, by the class or, where no class is
// known, by every class that has a value.
func (r *reader) findValue() {
	p := &r.out.Part
	kind, valued := ValueKind(p.Class)
	unknown := p.Class == "" || p.Class == "other"
	if !valued && !unknown {
		return
	}
	if !r.unit.IsZero() {
		if unknown || r.unit.Unit() == kind.Unit() {
			r.values = []quantity.Reading{{Quantity: r.unit}}
			r.useValue(r.value[0], r.value[1])
			r.letterAfter()
			return
		}
		r.doubt("%s is no value of a %s.", r.unit.String(), p.Class)
	}
	if unknown {
		kind = 0
	}
	if r.ctx.Found == "marking" || r.ctx.Found == "order-code" {
		if r.marking(kind) {
			return
		}
	}
	for i := range r.words {
		if r.free(i, i+1) && !r.unitWords(i) && r.valueAt(i, kind) {
			return
		}
	}
}

// unitWords reports whether word i belongs to a quantity of another kind.
func (r *reader) unitWords(i int) bool {
	return !r.unit.IsZero() && i >= r.value[0] && i < r.value[1]
}

func (r *reader) useValue(i, j int) {
	r.value = [2]int{i, j}
	for k := i; k < j; k++ {
		r.words[k].used = true
	}
}

// marking reads all the words that are left as one print on a part, which may
// hold value, voltage and tolerance.
func (r *reader) marking(kind quantity.Kind) bool {
	i := slices.IndexFunc(r.words, func(w word) bool { return !w.used && w.kind == plain })
	if i < 0 {
		return false
	}
	j := i + 1
	for r.free(j, j+1) {
		j++
	}
	found := r.asKind(r.source(i, j), kind)
	if len(found) == 0 {
		return false
	}
	r.values = found
	r.useValue(i, j)
	r.impliedVoltage(i, j)
	return true
}

// valueAt tries the words from i on: a number with a unit apart, then alone.
func (r *reader) valueAt(i int, kind quantity.Kind) bool {
	low := r.lower(i)
	if !hasDigit(low) || typeNumber(low) {
		return false
	}
	bare, ok := number(low)
	isBare := ok && bare.size == len(low)
	if isBare && r.free(i+1, i+2) && !r.words[i+1].joined && !hasDigit(r.lower(i+1)) {
		if found := r.asKind(r.source(i, i+2), kind); len(found) > 0 && !plainWord(r.lower(i+1)) {
			r.values = found
			r.useValue(i, i+2)
			return true
		}
	}
	if kind == 0 && isBare && (bare.point || !r.alone(i)) && !r.voltsBeside(i) {
		return false // a number without unit beside unknown words says nothing
	}
	found := r.asKind(r.source(i, i+1), kind)
	if len(found) == 0 {
		return false
	}
	r.values = found
	r.useValue(i, i+1)
	r.voltsAfter(i, isBare)
	r.letterAfter()
	return true
}

// plainWord reports whether a word is longer than any unit.
func plainWord(low []byte) bool { return len(low) > 6 }

// alone reports whether the line holds nothing else that is unread.
func (r *reader) alone(i int) bool {
	for k := range r.words {
		if k != i && !r.words[k].used {
			return false
		}
	}
	return true
}

// voltsBeside reports whether a bare number is followed by another, as in 470
// 16 and 1000/25, or the voltage is known.
func (r *reader) voltsBeside(i int) bool {
	if !r.out.Part.Voltage.IsZero() {
		return true
	}
	return r.bareAt(i+1) && r.words[i+1].joined
}

func (r *reader) bareAt(i int) bool {
	if !r.free(i, i+1) {
		return false
	}
	low := r.lower(i)
	n, ok := number(low)
	return ok && n.size == len(low)
}

// voltsAfter takes the number after the value for the voltage: 22µ/16, and of
// an electrolytic 470 16 too.
func (r *reader) voltsAfter(i int, bare bool) {
	p := &r.out.Part
	k := i + 1
	if !p.Voltage.IsZero() || !r.bareAt(k) || !allFarads(r.values) {
		return
	}
	if !r.words[k].joined && !(bare && (groupOf(p.Construction).electrolytic() || groupOf(r.ctx.Construction).electrolytic())) {
		return
	}
	n, _ := number(r.lower(k))
	q, ok := quantity.New(n.coef, n.exp, quantity.Volt)
	if !ok || q.Sign() <= 0 {
		return
	}
	r.doubt("%s after the value is read as its voltage.", r.source(k, k+1))
	r.assign(&p.Voltage, q, "voltage", k, k+1)
}

func allFarads(found []quantity.Reading) bool {
	for _, f := range found {
		if f.Quantity.Unit() != quantity.Farad {
			return false
		}
	}
	return true
}

// impliedVoltage reads the voltage out of a print such as 476J or 107 16.
func (r *reader) impliedVoltage(i, j int) {
	p := &r.out.Part
	if !p.Voltage.IsZero() || !allFarads(r.values) {
		return
	}
	c := r.ctx
	c.Class, c.Construction = "capacitor", r.construction()
	found, err := quantity.Read(r.source(i, j), quantity.Voltage, c)
	switch {
	case err != nil:
	case len(found) == 1:
		p.Voltage = found[0].Quantity
		r.out.Doubts = append(r.out.Doubts, found[0].Doubts...)
		r.note("voltage", p.Voltage.String(), i, j)
	default:
		r.doubt("The voltage in %s may be %s or %s, depending on the make: look at the size.", r.source(i, j), found[0].Quantity.String(), found[1].Quantity.String())
	}
}

func (r *reader) construction() string {
	if c := r.out.Part.Construction; c != "" && (r.out.Part.Class == "" || r.out.Part.Class == "capacitor") {
		return c
	}
	return r.ctx.Construction
}

// asKind reads a text as a value of a kind; kind 0 means every kind that some
// class has, and each distinct quantity is one reading.
func (r *reader) asKind(s string, kind quantity.Kind) []quantity.Reading {
	c := r.ctx
	c.Class, c.Construction = r.out.Part.Class, r.construction()
	if c.Found == "" && len(r.words) > 1 {
		c.Found = "list" // a print is mostly one word; figures beside others are written out
	}
	if kind != 0 {
		found, err := quantity.Read(s, kind, c)
		if err != nil {
			return nil
		}
		return found
	}
	c.Class = ""
	var all []quantity.Reading
	for _, k := range [...]quantity.Kind{quantity.Capacitance, quantity.Resistance, quantity.Inductance, quantity.Frequency} {
		found, err := quantity.Read(s, k, c)
		if err != nil {
			continue
		}
		for _, f := range found {
			if f.Quantity.Unit() == k.Unit() && !slices.ContainsFunc(all, func(a quantity.Reading) bool { return a.Quantity == f.Quantity && a.Tolerance == f.Tolerance }) {
				all = append(all, f)
			}
		}
	}
	return r.byVoltage(all)
}

// byVoltage drops what a rated voltage rules out: µ, n and p without a unit
// are capacitances then, since coils and resistors hardly ever bear one.
func (r *reader) byVoltage(all []quantity.Reading) []quantity.Reading {
	if r.out.Part.Voltage.IsZero() {
		return all
	}
	farads := slices.DeleteFunc(slices.Clone(all), func(a quantity.Reading) bool { return a.Quantity.Unit() != quantity.Farad })
	if len(farads) > 0 {
		return farads
	}
	return all
}

// letterAfter takes the lone capital letter of a tolerance behind the value.
func (r *reader) letterAfter() {
	k := r.value[1]
	if !r.out.Part.Tolerance.IsZero() || !r.free(k, k+1) || len(r.values) != 1 {
		return
	}
	switch raw := r.cased(k); string(raw) {
	case "B", "C", "D", "F", "G", "J", "K", "M", "Z":
	default:
		return
	}
	c := r.listed()
	if c.Class == "" {
		c.Class = classOfUnit(r.values[0].Quantity.Unit())
	}
	found, err := quantity.Read(r.source(k, k+1), quantity.ToleranceKind, c)
	if err != nil || len(found) != 1 || found[0].Tolerance.IsZero() || found[0].Tolerance.High().Unit() != quantity.Percent {
		return
	}
	r.doubt("The letter %s is read as a tolerance of %s.", r.source(k, k+1), found[0].Tolerance.String())
	r.setTolerance(found[0].Tolerance, k, k+1)
}

// letters takes the letters of a fuse's characteristic and breaking capacity
// once the class is known.
func (r *reader) letters() {
	if r.out.Part.Class != "fuse" {
		r.retract()
		return
	}
	for i := range r.words {
		if !r.free(i, i+1) {
			continue
		}
		raw := r.cased(i)
		if n := speedLetters(raw); n == len(raw) && r.out.Part.FuseSpeed == "" {
			r.out.Part.FuseSpeed = string(raw)
			r.note("fuse_speed", string(raw), i, i+1)
		} else if i > 0 && r.words[i-1].used {
			r.breakingLetter(i)
		}
	}
}

// retract gives up members that a word named before the class was known and
// that the class does not have; their words are left over.
func (r *reader) retract() {
	p := &r.out.Part
	if p.FuseSpeed != "" && p.Class != "" {
		p.FuseSpeed = ""
		r.drop("fuse_speed")
	}
	if p.Polarised != nil && p.Class != "capacitor" && p.Class != "" {
		p.Polarised = nil
		r.drop("polarised")
	}
	if p.Rechargeable != nil && p.Class != "cell" && p.Class != "" {
		p.Rechargeable = nil
		r.drop("rechargeable")
	}
}

// drop forgets a member's field and frees its words.
func (r *reader) drop(member string) {
	k := r.hasField(member)
	if k < 0 {
		return
	}
	span := r.out.Fields[k].Span
	r.out.Fields = slices.Delete(r.out.Fields, k, k+1)
	for i := range r.words {
		if w := &r.words[i]; int(w.from) >= span[0] && int(w.to) <= span[1] {
			w.used = false
		}
	}
}

// typeNumber recognises what is surely a type number and no value: a letter
// and figures in the manner of semiconductor registers, such as 1N4148 and
// BC547B.
func typeNumber(low []byte) bool {
	if len(low) < 4 {
		return false
	}
	if (low[0] == '1' || low[0] == '2' || low[0] == '3') && (low[1] == 'n' || low[1] == 's') {
		n := 2
		if low[1] == 's' && low[2] >= 'a' && low[2] <= 'z' {
			n = 3
		}
		digits := n
		for digits < len(low) && isDigit(low[digits]) {
			digits++
		}
		return digits-n >= 3 || low[1] == 's' && digits-n >= 2
	}
	letters := 0
	for letters < len(low) && low[letters] >= 'a' && low[letters] <= 'z' {
		letters++
	}
	digits := letters
	for digits < len(low) && isDigit(low[digits]) {
		digits++
	}
	return letters >= 2 && digits-letters >= 2
}

// types keeps type numbers in the part's text: every unread word of a class
// without a value, and otherwise only what is surely a type number.
func (r *reader) types() {
	p := &r.out.Part
	_, valued := ValueKind(p.Class)
	unknown := p.Class == "" || p.Class == "other"
	for i := range r.words {
		if !r.free(i, i+1) || r.unitWords(i) && len(r.values) > 0 {
			continue
		}
		low := r.lower(i)
		switch {
		case unknown && len(r.values) == 0 && typeNumber(low),
			!valued && !unknown && p.Class != "cell" && p.Class != "fuse" && (hasDigit(low) || p.Text == "" && len(r.texts) == 0):
			r.keep(r.source(i, i+1), i, i+1)
		}
	}
}
