package part

import (
	"math"
	"strconv"
)

// maxLength is the longest body that is believed, in mm.
const maxLength = 2000

// size takes bodies: 5x11, 10 x 12.5 mm, Ø5x11, 7.2x2.5x6.5, chip and case
// codes, and the lead pitch.
func (r *reader) size(i int) int {
	if r.words[i].kind == labelPitch {
		return r.pitchAfter(i)
	}
	if r.words[i].kind != plain {
		return 0
	}
	low := r.lower(i)
	if n := r.pitchGlued(low, i); n > 0 {
		return n
	}
	if r.chipCode(low, i) {
		return 1
	}
	if string(low) == "case" || string(low) == "bauform" || string(low) == "boîtier" || string(low) == "gehäuse" {
		return r.caseLetter(i)
	}
	if n := r.dimensions(i); n > 0 {
		return n
	}
	return r.pitchBefore(i)
}

// lengths reads a number that may have mm behind it, in one word.
func lengthOf(b []byte) (mm float64, size int) {
	n, ok := number(b)
	if !ok || n.exp > 3 || n.negative {
		return 0, 0
	}
	if mm = float64(n.coef) * math.Pow10(n.exp); mm <= 0 || mm > maxLength {
		return 0, 0
	}
	return math.Round(mm*1000) / 1000, n.size
}

// pitchGlued takes RM5, pas5, pitch2.54mm.
func (r *reader) pitchGlued(low []byte, i int) int {
	for _, label := range [...]string{"rm", "pitch", "pas", "raster", "ls"} {
		if len(low) <= len(label) || string(low[:len(label)]) != label || !isDigit(low[len(label)]) {
			continue
		}
		if mm, n := lengthOf(low[len(label):]); n > 0 && millimetresFollow(low[len(label)+n:]) {
			return r.pitchFound(mm, i, i+1)
		}
	}
	return 0
}

func millimetresFollow(b []byte) bool { return len(b) == 0 || string(b) == "mm" }

// pitchAfter takes the number after the word for the pitch.
func (r *reader) pitchAfter(i int) int {
	if !r.free(i+1, i+2) {
		return 0
	}
	low := r.lower(i + 1)
	mm, n := lengthOf(low)
	if n == 0 || !millimetresFollow(low[n:]) {
		return 0
	}
	j := i + 2
	if n == len(low) && r.free(j, j+1) && string(r.lower(j)) == "mm" {
		j++
	}
	return r.pitchFound(mm, i, j)
}

// pitchBefore takes a number in mm before the word for the pitch.
func (r *reader) pitchBefore(i int) int {
	low := r.lower(i)
	mm, n := lengthOf(low)
	if n == 0 || !millimetresFollow(low[n:]) {
		return 0
	}
	j := i + 1
	if n == len(low) {
		if !r.free(j, j+1) || string(r.lower(j)) != "mm" {
			return 0
		}
		j++
	}
	if j >= len(r.words) || r.words[j].kind != labelPitch || r.words[j].used {
		return 0
	}
	return r.pitchFound(mm, i, j+1)
}

func (r *reader) pitchFound(mm float64, i, j int) int {
	if r.out.Body.LeadPitch != 0 {
		return 0
	}
	r.out.Body.LeadPitch = mm
	r.note("body.lead_pitch_mm", millimetres(mm), i, j)
	return j - i
}

// dimensions takes two or three lengths parted by x.
func (r *reader) dimensions(i int) int {
	var d [3]float64
	n, k, at := 0, i, 0
	low := r.lower(i)
	if len(low) > 2 && low[0] == 'd' && isDigit(low[1]) {
		at = 1
	} else if len(low) > 3 && low[0] == 0xC3 && low[1] == 0xB8 { // ø
		at = 2
	}
	next := func() bool { // steps to the following word where this one is at its end
		if at < len(low) {
			return true
		}
		if !r.free(k+1, k+2) {
			return false
		}
		k, at = k+1, 0
		low = r.lower(k)
		return true
	}
	for n < 3 {
		mm, size := lengthOf(low[at:])
		if size == 0 {
			break
		}
		d[n], at = mm, at+size
		n++
		if at+2 <= len(low) && string(low[at:min(at+2, len(low))]) == "mm" {
			at += 2
		}
		mark, was := k, at
		if n == 3 || !next() || low[at] != 'x' && !(at+1 < len(low) && low[at] == 'm' && low[at+1] == 'm') {
			k, at, low = mark, was, r.lower(mark)
			break
		}
		if low[at] == 'm' {
			at += 2
			if mark, was = k, at; !next() || low[at] != 'x' {
				k, at, low = mark, was, r.lower(mark)
				break
			}
		}
		at++
		if !next() {
			return 0
		}
	}
	if n < 2 || at != len(low) {
		return 0
	}
	if at == len(low) && r.free(k+1, k+2) && string(r.lower(k+1)) == "mm" {
		k++
	}
	return r.bodyFound(d, n, i, k+1)
}

// bodyFound puts lengths where they belong: diameter and height of a can,
// diameter and length of a fuse or an axial part, else length, width, height.
func (r *reader) bodyFound(d [3]float64, n, i, j int) int {
	b := &r.out.Body
	if b.Diameter != 0 || b.Length != 0 {
		return 0
	}
	switch c := r.out.Part.Class; {
	case n == 3:
		b.Length, b.Width, b.Height = d[0], d[1], d[2]
	case c == "fuse" || b.Shape == "axial":
		b.Diameter, b.Length = d[0], d[1]
		if b.Shape == "" {
			b.Shape = "axial"
		}
	case c == "cell":
		b.Diameter, b.Height = d[0], d[1]
	case c == "" || c == "capacitor" || b.Shape == "can":
		b.Diameter, b.Height = d[0], d[1]
		if b.Shape == "" {
			b.Shape = "can"
		}
	default:
		b.Length, b.Width = d[0], d[1]
	}
	for _, m := range [...]struct {
		member string
		mm     float64
	}{{"body.diameter_mm", b.Diameter}, {"body.length_mm", b.Length}, {"body.width_mm", b.Width}, {"body.height_mm", b.Height}} {
		if m.mm != 0 {
			r.note(m.member, millimetres(m.mm), i, j)
		}
	}
	return j - i
}

// chipCode takes a chip size where it does not stand alone, since 1206 may also
// be a value's code, and a moulded case.
func (r *reader) chipCode(low []byte, i int) bool {
	if len(low) < 4 || len(low) > 7 || !isDigit(low[0]) || len(r.words) == 1 || r.out.Body.Length != 0 {
		return false
	}
	switch r.out.Part.Class {
	case "", "capacitor", "resistor", "inductor", "diode", "fuse", "thermistor", "varistor", "lamp":
	default:
		return false
	}
	c, ok := cases[string(low)]
	if !ok {
		c, ok = chips[string(low)]
	}
	if k := i + 1; r.free(k, k+1) && string(r.lower(k)) == "metric" {
		if c, ok = chips[metricChips[string(low)]]; ok {
			r.words[k].used = true
		}
	}
	if !ok || !r.valueElsewhere(i) {
		return false
	}
	r.chipFound(c, i, i+1)
	return true
}

// valueElsewhere reports whether another word that is yet unread has figures.
func (r *reader) valueElsewhere(i int) bool {
	for k := range r.words {
		if k != i && !r.words[k].used && r.words[k].kind == plain && hasDigit(r.lower(k)) {
			return true
		}
	}
	return false
}

func hasDigit(b []byte) bool {
	for _, c := range b {
		if isDigit(c) {
			return true
		}
	}
	return false
}

func (r *reader) chipFound(c chip, i, j int) {
	b := &r.out.Body
	b.Length, b.Width = c.length, c.width
	r.note("body.length_mm", millimetres(c.length), i, j)
	r.note("body.width_mm", millimetres(c.width), i, j)
	if c.height != 0 {
		b.Height = c.height
		r.note("body.height_mm", millimetres(c.height), i, j)
	}
	if b.Mount == "" {
		b.Mount = "surface"
		r.note("body.mount", "surface", i, j)
	}
	if b.Shape == "" {
		b.Shape = "chip"
		r.note("body.shape", "chip", i, j)
	}
}

// caseLetter takes "case D" of a moulded tantalum.
func (r *reader) caseLetter(i int) int {
	if !r.free(i+1, i+2) || r.out.Body.Length != 0 {
		return 0
	}
	code, ok := caseLetters[string(r.lower(i+1))]
	if !ok {
		return 0
	}
	r.chipFound(cases[code], i, i+2)
	r.doubt("Case %s is read as EIA %s; some makers use the letters otherwise.", r.source(i+1, i+2), code)
	return 2
}

// count takes "4 x", "2x", "10 pcs", "2x470uF" at the head of the line, "qty 4"
// anywhere and "x2" or "4 pcs" at its end.
func (r *reader) count() {
	if len(r.words) < 2 {
		if len(r.words) == 1 && r.words[0].kind == plain {
			r.countGlued()
		}
		return
	}
	for i := range r.words {
		if i+1 < len(r.words) && countLabel(r.lower(i)) && r.words[i].kind == plain {
			if n, ok := wholeNumber(r.lower(i + 1)); ok {
				r.counted(n, i, i+2)
				return
			}
		}
	}
	if r.words[0].kind == plain && r.countHead() {
		return
	}
	r.countTail()
}

func countLabel(low []byte) bool {
	s, ok := phrases[string(trimPoint(low))]
	return ok && s.act == sayLabel && s.label() == labelCount
}

func (r *reader) counted(n, i, j int) {
	r.out.Quantity = n
	r.note("quantity", strconv.Itoa(n), i, j)
}

func (r *reader) countHead() bool {
	low := r.lower(0)
	n, size := leadingInt(low)
	if size == 0 || n == 0 {
		return false
	}
	rest := low[size:]
	switch {
	case len(rest) > 0 && countWord(rest):
		r.counted(n, 0, 1)
	case len(rest) == 0 && r.words[1].kind == plain && countWord(r.lower(1)):
		if string(r.lower(1)) == "x" && r.bodyAt(0) {
			return false
		}
		r.counted(n, 0, 2)
	default:
		return r.countGlued()
	}
	return true
}

// countGlued takes the count of 2x470uF, and cuts the word.
func (r *reader) countGlued() bool {
	low := r.lower(0)
	n, size := leadingInt(low)
	if size == 0 || n == 0 || size+1 >= len(low) || low[size] != 'x' || r.bodyAt(0) {
		return false
	}
	head, tail := r.words[0], r.words[0]
	head.hi = head.lo + int32(size+1)
	head.end, head.to = r.locate(&head, size+1)
	tail.lo, tail.at, tail.from = head.hi, head.end, head.to
	r.words = append(r.words, word{})
	copy(r.words[1:], r.words)
	r.words[0], r.words[1] = head, tail
	r.counted(n, 0, 1)
	return true
}

// bodyAt reports whether lengths begin at word i that a body may well have: a
// can is at least 3 mm thick and not much flatter than that.
func (r *reader) bodyAt(i int) bool {
	save := r.out
	n := r.dimensions(i)
	if n == 0 {
		return false
	}
	for k := i; k < i+n; k++ {
		r.words[k].used = false
	}
	d, h := r.out.Body.Diameter, r.out.Body.Height
	three := r.out.Body.Width != 0
	r.out = save
	r.out.Fields = r.out.Fields[:len(save.Fields)]
	return three || d >= 3 && h >= d/2 && h <= 130
}

func (r *reader) countTail() {
	last := len(r.words) - 1
	low := r.lower(last)
	if r.words[last].kind != plain {
		return
	}
	if len(low) > 1 && low[0] == 'x' {
		_, cell := cellOf(r.lower(last - 1))
		if n, ok := wholeNumber(low[1:]); ok && (cell || !isSafety(low)) {
			r.counted(n, last, last+1)
		}
		return
	}
	n, size := leadingInt(low)
	switch {
	case size > 0 && n > 0 && size < len(low) && countWord(low[size:]) && low[size] != 'x':
		r.counted(n, last, last+1)
	case countWord(low) && string(low) != "x" && last > 1 && r.words[last-1].kind == plain:
		if n, ok := wholeNumber(r.lower(last - 1)); ok {
			r.counted(n, last-1, last+1)
		}
	}
}

// maxCount is the largest number of parts that is believed.
const maxCount = 99999

func leadingInt(b []byte) (n, size int) {
	for size < len(b) && isDigit(b[size]) && n <= maxCount {
		n = n*10 + int(b[size]-'0')
		size++
	}
	if n > maxCount {
		return 0, 0
	}
	return n, size
}

func wholeNumber(b []byte) (int, bool) {
	n, size := leadingInt(b)
	return n, size > 0 && size == len(b) && n > 0
}

func countWord(b []byte) bool {
	switch string(trimPoint(b)) {
	case "x", "pcs", "pc", "stk", "stück", "stueck", "st", "off", "ea", "pieces", "pièces", "pces", "pce", "parts":
		return true
	}
	return false
}
