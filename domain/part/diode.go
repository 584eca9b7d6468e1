package part

import "boardlore/domain/quantity"

// diodeType is what a registered type number stands for.
type diodeType struct {
	volts, milliamps int64
	speed            diodeSpeed
}

type diodeSpeed uint8

const (
	slowDiode   diodeSpeed = iota + 1
	fastDiode              // recovery up to some hundred nanoseconds
	signalDiode            // a few nanoseconds, small current
	schottkyDiode
)

// diodeTypes are rectifiers and switching diodes whose numbers are registered
// with JEDEC or copied by every maker: reverse voltage, average current and
// kind. Source: makers' data sheets of 1N4001 to 1N4007, 1N5400 to 1N5408, UF4001
// to UF4007, 1N4933 to 1N4937, 1N5817 to 1N5822, 1N4148.
var diodeTypes = func() map[string]diodeType {
	m := map[string]diodeType{
		"1n4148": {100, 200, signalDiode}, "1n914": {100, 200, signalDiode}, "1n4448": {100, 200, signalDiode},
		"1n4933": {50, 1000, fastDiode}, "1n4934": {100, 1000, fastDiode}, "1n4935": {200, 1000, fastDiode},
		"1n4936": {400, 1000, fastDiode}, "1n4937": {600, 1000, fastDiode},
		"1n5817": {20, 1000, schottkyDiode}, "1n5818": {30, 1000, schottkyDiode}, "1n5819": {40, 1000, schottkyDiode},
		"1n5820": {20, 3000, schottkyDiode}, "1n5821": {30, 3000, schottkyDiode}, "1n5822": {40, 3000, schottkyDiode},
		"1n5400": {50, 3000, slowDiode}, "1n5401": {100, 3000, slowDiode}, "1n5402": {200, 3000, slowDiode},
		"1n5404": {400, 3000, slowDiode},
		"1n5406": {600, 3000, slowDiode}, "1n5407": {800, 3000, slowDiode}, "1n5408": {1000, 3000, slowDiode},
	}
	for i, v := range []int64{50, 100, 200, 400, 600, 800, 1000} {
		end := string(rune('1' + i))
		m["1n400"+end] = diodeType{v, 1000, slowDiode}
		m["uf400"+end] = diodeType{v, 1000, fastDiode}
	}
	return m
}()

// rectifier fills in the ratings that the type number stands for.
func (c *Candidate) rectifier() {
	for i := 0; i < len(c.Text); {
		var word [maxWord]byte
		n, next := foldWord(&word, c.Text, i)
		i = next
		if m, ok := markOf(word[:n]); ok {
			c.marked(m)
			return
		}
		t, ok := diodeTypes[string(word[:n])]
		for !ok && n > 0 && !digit(word[n-1]) { // 1N4148W: letters for case and packing
			n--
			t, ok = diodeTypes[string(word[:n])]
		}
		if !ok {
			continue
		}
		c.speedOfDiode = t.speed
		if c.Voltage.IsZero() {
			c.Voltage = mustQ(t.volts, 0, quantity.Volt)
		}
		if c.Current.IsZero() {
			c.Current = mustQ(t.milliamps, -3, quantity.Ampere)
		}
		return
	}
}

// diodeSpeed is how fast a diode is said to be, 0 where that is not known.
func (c *Candidate) diodeSpeed() diodeSpeed {
	switch {
	case c.speedOfDiode != 0:
		return c.speedOfDiode
	case c.traits&schottky != 0:
		return schottkyDiode
	case c.traits&fast != 0:
		return fastDiode
	}
	return 0
}

// diode judges kind and speed.
func (j *judgement) diode() {
	w, o := j.w.traits&diodeKinds, j.o.traits&diodeKinds
	switch {
	case w == o:
	case (w^o)&bridge != 0:
		j.hit(bridgeDiffers)
	case (w^o)&^schottky != 0 && j.w.named() && j.o.named():
		j.hit(diodeKind)
	case (w^o)&^schottky != 0:
		j.hit(diodeKindUnknown)
	}
	if w&holding != 0 && o&holding != 0 {
		j.tolerance()
		if way := oneWay | bothWays; j.w.traits&way != 0 && j.o.traits&way != 0 && (j.w.traits^j.o.traits)&way != 0 {
			j.hit(diodeWays)
		} else if j.w.traits&bothWays != 0 && j.o.traits&way == 0 {
			j.hit(diodeKindUnknown)
		}
		return
	}
	if (w|o)&^(schottky|bridge) == 0 {
		j.diodeSpeeds()
		j.inService(false)
	}
}

// diodeSpeeds tells fast diodes from slow ones, which a switching circuit heats
// until they fail.
func (j *judgement) diodeSpeeds() {
	w, o := j.w.diodeSpeed(), j.o.diodeSpeed()
	switch {
	case w == o, w == slowDiode, w == 0 && o != schottkyDiode:
	case w == 0:
		j.hit(schottkyUnasked)
	case o == 0 && w == schottkyDiode && j.duty.any(SwitchingOutput):
		j.hit(schottkyMissing)
	case o == 0:
		j.hit(diodeSpeedUnknown)
	case w == schottkyDiode && o != schottkyDiode && (o == slowDiode || j.duty.any(SwitchingOutput)):
		j.hit(schottkyMissing)
	case o == slowDiode && (w == fastDiode || w == signalDiode && j.duty.any(SwitchingOutput)):
		j.hit(diodeSlow)
	case o == slowDiode, w == schottkyDiode, w == signalDiode && o == fastDiode:
		j.hit(diodeSpeedDiffers)
	}
}

// sameDiode reports whether two diodes are told apart by their ratings alone, so
// that their type numbers need not be equal.
func (j *judgement) sameDiode() bool {
	if j.w.traits&zener != 0 && j.o.traits&zener != 0 && !j.w.Voltage.IsZero() && !j.o.Voltage.IsZero() &&
		!j.w.Power.IsZero() && !j.o.Power.IsZero() {
		return true
	}
	return j.w.speedOfDiode != 0 && j.o.speedOfDiode != 0
}

// named reports whether words say what the part is.
func (c *Candidate) named() bool { return c.Text != "" || c.Construction != "" }
