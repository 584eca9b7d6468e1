package quantity

import "bytes"

// unitWord is what a written unit says.
type unitWord struct {
	unit  Unit
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
	unit   Unit
	words  []string
	ac, dc bool
}

var stems = []stem{
	{unit: Farad, words: []string{"f", "fd", "fds", "farad", "farads"}},
	{unit: Ohm, words: []string{string([]byte{signOhm}), "ohm", "ohms"}},
	{unit: Henry, words: []string{"hy", "hys", "hen", "henry", "henries", "henrys"}},
	{unit: Volt, words: []string{"v", "volt", "volts", "wv", "vw"}},
	{unit: Volt, words: []string{"vdc", "wvdc", "dcwv", "vdcw", "dcv", "dcvw"}, dc: true},
	{unit: Volt, words: []string{"vac", "acv", "vrms", "veff", "wvac"}, ac: true},
	{unit: Ampere, words: []string{"a", "amp", "amps", "ampere", "amperes", "arms"}},
	{unit: Watt, words: []string{"w", "watt", "watts"}},
	{unit: Joule, words: []string{"j", "joule", "joules", "ws"}},
	{unit: Hertz, words: []string{"hz", "hertz", "cps"}},
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
	metric := func(u Unit, exp int8, words ...string) {
		for _, w := range words {
			m[w] = unitWord{unit: u, exps: [2]int8{exp}, n: 1}
		}
	}
	// Capacitance of the days before p and n: M is micro, MM micro-micro.
	metric(Farad, -6, "mfd", "Mfd", "mfds", "Mfds", "mfad")
	metric(Farad, -12, "mmf", "Mmf", "mmfd", "Mmfd", "mmfds", "Mmfds", "uuf", "uufd", "uufds", "umf")
	metric(Farad, -9, "kp", "kpf", "kpfd")
	metric(Farad, -12, "pfd", "pfds")
	for _, w := range [...]string{"mf", "Mf", "Mfarad", "Mfarads"} {
		m[w] = unitWord{unit: Farad, exps: [2]int8{-6, -3}, n: 2, milli: true}
	}
	metric(Ohm, 6, "meg", "Meg", "megs", "Megs", "megohm", "Megohm", "megohms", "Megohms")
	metric(Ohm, 3, "kilohm", "kilohms")
	metric(Henry, 0, "h")
	metric(Henry, -9, "nh")
	metric(Henry, -6, "uh")
	metric(Henry, -3, "mh")
	m["Mh"] = unitWord{unit: Henry, exps: [2]int8{-3, 6}, n: 2}
	m["mhz"] = unitWord{unit: Hertz, exps: [2]int8{6, -3}, n: 2}
	metric(Hertz, 6, "Mhz", "Mc", "Mcs")
	metric(Hertz, 3, "kc", "kcs")
	metric(Celsius, 0, "c", "degc", "celsius", "deg", "degs", "degree", "degrees", "grad", string([]byte{signDegree}),
		string([]byte{signDegree, 'c'}))
	for _, w := range [...]string{"degf", "fahrenheit", string([]byte{signDegree, 'f'})} {
		m[w] = unitWord{unit: Celsius, n: 1, fahr: true}
	}
	metric(Hour, 0, "hr", "hrs", "hour", "hours", "std", "stunde", "stunden", "heure", "heures")
	metric(Hour, 3, "kh", "khrs")
	addScaled(m, Hour, 0, 1, 60, "min", "mins", "Min", "Mins", "minute", "minutes", "Minute", "Minutes")
	addScaled(m, Hour, 0, 1, 3600, "s", "sec", "secs", "second", "seconds")
	addScaled(m, Hour, 0, 24, 1, "d", "day", "days", "tage", "jours")
	metric(Millimetre, 0, "mm", "Mm")
	metric(Millimetre, 1, "cm")
	metric(Millimetre, 3, "meter", "metre", "meters", "metres", "Meter", "Metre")
	metric(Millimetre, -3, "um", "micron", "microns", "Micron", "Microns")
	addScaled(m, Millimetre, -1, 254, 1, "in", "inch", "inches", "zoll", "\"", "pouce", "pouces")
	addScaled(m, Millimetre, -4, 254, 1, "mil", "mils", "Mil", "Mils", "thou")
	metric(Percent, -4, "ppm")
	metric(Percent, 0, "%", "percent", "prozent", "pct")
	return m
}

func addScaled(m map[string]unitWord, u Unit, exp int8, mul, div int16, words ...string) {
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
		add(c+w, exp)
	}
	if s.unit == Ohm || s.unit == Hertz {
		add("M"+w, 6)
		add("t"+w, 12)
	} else {
		add("M"+w, -3, 6)
	}
	for _, p := range wordPrefixes {
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
	if ok && u.unit == Henry && w[0] == 'h' && len(w) == 1 {
		u = unitWord{unit: Hour, n: 1}
	}
	return u, ok
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

// Words that change what a text means, besides units. Keys are in small letters.
var (
	aboutWords  = wordSet("about", "approx", "ca", "circa", "etwa", "environ", "ungefaehr", "roughly", "nearly", "under", "over", "above", "below", "not")
	absentWords = wordSet("dnp", "dnf", "dni", "tbd", "tba", "na", "nan", "none", "nil", "unknown", "open", "nc", "nf",
		"fehlt", "inf", "infinity", "omit")
	choiceWords = wordSet("or", "oder", "ou")
	rangeWords  = wordSet("to", "bis", "through", "thru")
	knownWords  = wordSet("capacitor", "capacitors", "cap", "elko", "elco", "kondensator", "condensateur", "electrolytic",
		"aluminium", "aluminum", "alu", "tantalum", "tantal", "tant", "ceramic", "keramik", "film", "folie", "mica",
		"polymer", "paper", "resistor", "widerstand", "resistance", "inductor", "coil", "choke", "drossel", "radial",
		"axial", "smd", "smt", "chip", "can", "bipolar", "bp", "np", "nonpolar", "low", "esr", "max", "fuse",
		"sicherung", "type", "typ", "series", "rated", "nominal", "nom", "disc", "disk", "dc", "ac", "rm", "pitch",
		"pas", "wv", "working", "marked", "code", "value", "wert", "valeur", "c", "r", "l", "x", "mkt", "mkp", "fkp")
)

func wordSet(words ...string) map[string]bool {
	m := make(map[string]bool, len(words))
	for _, w := range words {
		m[w] = true
	}
	return m
}

func inSet(set map[string]bool, w []byte) bool {
	var b [maxUnitWord]byte
	return len(w) <= maxUnitWord && set[string(lower(b[:0], w))]
}

// sameWord compares letters without regard to case.
func sameWord(w []byte, s string) bool { return bytes.EqualFold(w, []byte(s)) }
