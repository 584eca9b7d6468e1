package reading

import "boardlore/domain/quantity"

// unitWord is what a written unit says.
type unitWord struct {
	unit  quantity.Unit
	exps  [2]int8 // powers of ten it may mean
	n     uint8   // how many of them
	mul   int16   // the number is multiplied by mul/div, where the unit is not metric
	div   int16
	ac    bool
	dc    bool
	fahr  bool // degrees Fahrenheit
	milli bool // mF and the like: microfarad on old parts, millifarad by the book
}

// unitWords maps folded words to units. The key is in small letters but for a first M, which is mega or a shouted
// milli where m is milli.
var unitWords = makeUnitWords()

const maxUnitWord = 18

type stem struct {
	unit   quantity.Unit
	words  []string
	ac, dc bool
}

var stems = []stem{
	{unit: quantity.Farad, words: []string{"f", "fd", "fds", "farad", "farads"}},
	{unit: quantity.Ohm, words: []string{string([]byte{signOhm}), "ohm", "ohms"}},
	{unit: quantity.Henry, words: []string{"hy", "hys", "hen", "henry", "henries", "henrys"}},
	{unit: quantity.Volt, words: []string{"v", "volt", "volts", "wv", "vw", "vl"}},
	{unit: quantity.Volt, words: []string{"vdc", "wvdc", "dcwv", "vdcw", "dcv", "dcvw", "vcc"}, dc: true},
	{unit: quantity.Volt, words: []string{"vac", "acv", "vrms", "veff", "wvac", "vca"}, ac: true},
	{unit: quantity.Ampere, words: []string{"a", "amp", "amps", "ampere", "amperes", "arms"}},
	{unit: quantity.Watt, words: []string{"w", "watt", "watts"}},
	{unit: quantity.Joule, words: []string{"j", "joule", "joules", "ws"}},
	{unit: quantity.Hertz, words: []string{"hz", "hertz", "cps"}},
}

var wordPrefixes = []struct {
	word string
	exp  int8
}{
	{"pico", -12}, {"piko", -12}, {"nano", -9}, {"micro", -6}, {"mikro", -6}, {"milli", -3}, {"kilo", 3}, {"mega", 6},
	{"meg", 6}, {"giga", 9}, {"micromicro", -12},
}

func makeUnitWords() map[string]unitWord {
	m := map[string]unitWord{}
	for _, s := range stems {
		for _, w := range s.words {
			addStem(m, s, w)
		}
	}
	metric := func(u quantity.Unit, exp int8, words ...string) {
		for _, w := range words {
			m[w] = unitWord{unit: u, exps: [2]int8{exp}, n: 1}
		}
	}
	// Capacitance of the days before p and n: M is micro, MM micro-micro.
	metric(quantity.Farad, -6, "mfd", "Mfd", "mfds", "Mfds", "mfad")
	metric(quantity.Farad, -12, "mmf", "Mmf", "mmfd", "Mmfd", "mmfds", "Mmfds", "uuf", "uufd", "uufds", "umf")
	metric(quantity.Farad, -9, "kp", "kpf", "kpfd")
	metric(quantity.Farad, -12, "pfd", "pfds")
	for _, w := range [...]string{"mf", "Mf", "Mfarad", "Mfarads"} {
		m[w] = unitWord{unit: quantity.Farad, exps: [2]int8{-6, -3}, n: 2, milli: true}
	}
	metric(quantity.Ohm, 6, "meg", "Meg", "megs", "Megs", "megohm", "Megohm", "megohms", "Megohms")
	metric(quantity.Ohm, 3, "kilohm", "kilohms")
	metric(quantity.Ohm, -3, "mr")
	metric(quantity.Henry, 0, "h")
	metric(quantity.Henry, -9, "nh")
	metric(quantity.Henry, -6, "uh")
	metric(quantity.Henry, -3, "mh")
	m["Mh"] = unitWord{unit: quantity.Henry, exps: [2]int8{-3, 6}, n: 2}
	m["mhz"] = unitWord{unit: quantity.Hertz, exps: [2]int8{6, -3}, n: 2}
	metric(quantity.Hertz, 6, "Mhz", "Mc", "Mcs")
	metric(quantity.Hertz, 3, "kc", "kcs")
	metric(quantity.Celsius, 0, "c", "degc", "celsius", "deg", "degs", "degree", "degrees", "grad")
	for _, w := range [...]string{"degf", "fahrenheit"} {
		m[w] = unitWord{unit: quantity.Celsius, n: 1, fahr: true}
	}
	metric(quantity.Hour, 0, "hr", "hrs", "hour", "hours", "std", "stunde", "stunden", "heure", "heures")
	metric(quantity.Hour, 3, "kh", "khrs")
	addScaled(m, quantity.Hour, 0, 1, 60, "min", "mins", "Min", "Mins", "minute", "minutes", "Minute", "Minutes")
	addScaled(m, quantity.Hour, 0, 1, 3600, "s", "sec", "secs", "second", "seconds")
	addScaled(m, quantity.Hour, 0, 24, 1, "d", "day", "days", "tage", "jours")
	metric(quantity.Millimetre, 0, "mm", "Mm")
	metric(quantity.Millimetre, 1, "cm")
	metric(quantity.Millimetre, 3, "meter", "metre", "meters", "metres", "Meter", "Metre")
	metric(quantity.Millimetre, -3, "um", "micron", "microns", "Micron", "Microns")
	addScaled(m, quantity.Millimetre, -1, 254, 1, "in", "inch", "inches", "zoll", "pouce", "pouces")
	addScaled(m, quantity.Millimetre, -4, 254, 1, "mil", "mils", "Mil", "Mils", "thou")
	metric(quantity.Celsius, 0, "°", "°c")
	m["°f"] = unitWord{unit: quantity.Celsius, n: 1, fahr: true}
	metric(quantity.Percent, 0, "%")
	addScaled(m, quantity.Millimetre, -1, 254, 1, "\"")
	metric(quantity.Percent, -4, "ppm")
	metric(quantity.Percent, 0, "percent", "prozent", "pct")
	return m
}

func addScaled(m map[string]unitWord, u quantity.Unit, exp int8, mul, div int16, words ...string) {
	for _, w := range words {
		m[w] = unitWord{unit: u, exps: [2]int8{exp}, n: 1, mul: mul, div: div}
	}
}

// addStem adds a unit with all its prefixes. Small m is milli; capital M is mega, but for those units of which no
// part has a million it is as likely milli typed in capitals.
func addStem(m map[string]unitWord, s stem, w string) {
	u := unitWord{unit: s.unit, n: 1, ac: s.ac, dc: s.dc}
	add := func(key string, exps ...int8) {
		v := u
		v.n = uint8(copy(v.exps[:], exps))
		m[key] = v
	}
	add(w, 0)
	for c, exp := range map[string]int8{"p": -12, "n": -9, "u": -6, "m": -3, "k": 3, "g": 9} {
		if s.unit == quantity.Farad && exp > 0 {
			continue // no part has them
		}
		add(c+w, exp)
	}
	if s.unit == quantity.Ohm || s.unit == quantity.Hertz {
		add("M"+w, 6)
		add("t"+w, 12)
	} else {
		add("M"+w, -3, 6)
	}
	for _, p := range wordPrefixes {
		if len(w) == 1 && w[0] < signOhm {
			continue // mega is no megampere
		}
		add(p.word+w, p.exp)
		if p.word[0] == 'm' {
			add("M"+p.word[1:]+w, p.exp)
		}
	}
}

// lookUnit finds the unit that a folded word names.
func lookUnit(w []byte) (unitWord, bool) {
	if len(w) == 0 || len(w) > maxUnitWord {
		return unitWord{}, false
	}
	var b [maxUnitWord]byte
	key := lower(b[:0], w)
	if w[0] == 'M' {
		key[0] = 'M'
	}
	u, ok := unitWords[string(key)]
	if ok && u.unit == quantity.Henry && w[0] == 'h' && len(w) == 1 {
		u = unitWord{unit: quantity.Hour, n: 1}
	}
	return u, ok
}

// UnitOf gives the unit that a text names, None where it names none: µF, kOhm, °C.
func UnitOf(text string) quantity.Unit {
	if len(text) > 4*maxUnitWord {
		return quantity.None
	}
	r := readers.Get().(*reader)
	defer readers.Put(r)
	r.reset(text, quantity.Context{})
	r.only = 0
	r.run()
	if u, end, ok := r.unitAt(0); ok && end == len(r.atoms) {
		return u.unit
	}
	return quantity.None
}

func lower(dst, w []byte) []byte {
	for _, c := range w {
		if c >= 'A' && c <= 'Z' {
			c += 'a' - 'A'
		}
		dst = append(dst, c)
	}
	return dst
}
