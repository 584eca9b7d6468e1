package part

import "strings"

// dielectric is what the name of a dielectric says.
type dielectric struct {
	class     int8 // 1 or 2 for ceramics, 0 for film and for what is unknown
	film      film
	low, high int16 // °C that the code promises its limits for
	fall      int8  // greatest loss of capacitance over that span, percent
	rise      int8  // greatest gain, percent
}

// film is the material of a film capacitor.
type film uint8

const (
	noFilm film = iota
	polyester
	polypropylene
	polystyrene
	polycarbonate
	polyphenylene
	paperFilm
)

// dielectricNames are the accepted spellings, folded to lower case, of
// everything that is not an EIA class 2 code. Sources: EIA 198 class 1 codes
// and slopes as makers' tables print them; DIN letters for film (common
// practice).
var dielectricNames = map[string]dielectric{
	"c0g": {class: 1, low: -55, high: 125}, "np0": {class: 1, low: -55, high: 125}, "npo": {class: 1, low: -55,
		high: 125},
	"cog": {class: 1, low: -55, high: 125}, "cg": {class: 1, low: -55, high: 125},
	"c0h": {class: 1, low: -55, high: 125}, "c0j": {class: 1, low: -55, high: 125}, "c0k": {class: 1, low: -55,
		high: 125},
	"ch": {class: 1, low: -25, high: 85}, "cj": {class: 1, low: -55, high: 125}, "ck": {class: 1, low: -55, high: 125},
	"m7g": {class: 1, low: -55, high: 125}, "p100": {class: 1, low: -55, high: 125},
	"p2g": {class: 1, low: -55, high: 125}, "n150": {class: 1, low: -55, high: 125},
	"r2g": {class: 1, low: -55, high: 125}, "n220": {class: 1, low: -55, high: 125},
	"s2g": {class: 1, low: -55, high: 125}, "s2h": {class: 1, low: -55, high: 125}, "n330": {class: 1, low: -55,
		high: 125},
	"t2h": {class: 1, low: -55, high: 125}, "n470": {class: 1, low: -55, high: 125},
	"u2j": {class: 1, low: -55, high: 125}, "n750": {class: 1, low: -55, high: 125},
	"p3k": {class: 1, low: -55, high: 125}, "n1500": {class: 1, low: -55, high: 125},
	"r3l": {class: 1, low: -55, high: 125}, "n2200": {class: 1, low: -55, high: 125},
	"s3n": {class: 1, low: -55, high: 125}, "n3300": {class: 1, low: -55, high: 125},
	"sl":  {class: 1, low: -25, high: 85},
	"jb":  {class: 2, low: -25, high: 85, fall: 10, rise: 10},
	"jf":  {class: 2, low: -25, high: 85, fall: 80, rise: 30},
	"x8l": {class: 2, low: -55, high: 150, fall: 40, rise: 15},
	"2r1": {class: 2, low: -55, high: 125, fall: 15, rise: 15}, "2c1": {class: 2, low: -55, high: 125, fall: 15,
		rise: 15},
	"2f4": {class: 2, low: -30, high: 85, fall: 82, rise: 22}, "2e6": {class: 2, low: 10, high: 85, fall: 56, rise: 22},

	"polyester": {film: polyester}, "pet": {film: polyester}, "petp": {film: polyester}, "mylar": {film: polyester},
	"mkt": {film: polyester}, "fkt": {film: polyester}, "mks": {film: polyester}, "fks": {film: polyester},
	"kt":            {film: polyester},
	"polypropylene": {film: polypropylene}, "polypropylen": {film: polypropylene},
	"polypropylène": {film: polypropylene},
	"pp":            {film: polypropylene}, "mkp": {film: polypropylene}, "fkp": {film: polypropylene},
	"kp":          {film: polypropylene},
	"mmkp":        {film: polypropylene},
	"polystyrene": {film: polystyrene}, "polystyrol": {film: polystyrene}, "polystyrène": {film: polystyrene},
	"styroflex": {film: polystyrene}, "ps": {film: polystyrene}, "ks": {film: polystyrene},
	"polycarbonate": {film: polycarbonate}, "polycarbonat": {film: polycarbonate}, "pc": {film: polycarbonate},
	"mkc": {film: polycarbonate}, "kc": {film: polycarbonate},
	"pps": {film: polyphenylene}, "mki": {film: polyphenylene},
	"paper": {film: paperFilm}, "papier": {film: paperFilm}, "mp": {film: paperFilm},
}

// dielectricOf reads a dielectric's name: an EIA code of either class or a
// film material; false where it is none that the rules know.
func dielectricOf(name string) (dielectric, bool) {
	var word [maxWord]byte
	if name == "" {
		return dielectric{}, false
	}
	n, next := foldWord(&word, name, 0)
	if n == 0 || next != len(name) {
		return dielectric{}, false
	}
	if d, ok := class2(word[:n]); ok {
		return d, true
	}
	d, ok := dielectricNames[string(word[:n])]
	return d, ok
}

// class2 reads an EIA class 2 code by its three symbols: lowest temperature,
// highest temperature, change of capacitance between them. Source: EIA 198 as
// makers' tables print it.
func class2(code []byte) (d dielectric, ok bool) {
	if len(code) != 3 {
		return d, false
	}
	d.class = 2
	switch code[0] {
	case 'x':
		d.low = -55
	case 'y':
		d.low = -30
	case 'z':
		d.low = 10
	default:
		return dielectric{}, false
	}
	hot := strings.IndexByte("2456789", code[1])
	change := strings.IndexByte("abcdefprstuv", code[2])
	if hot < 0 || change < 0 {
		return dielectric{}, false
	}
	d.high = [...]int16{45, 65, 85, 105, 125, 150, 200}[hot]
	// Symbols of a fraction of a percent are rounded up: 1.5, 2.2, 3.3, 4.7, 7.5.
	d.fall = [...]int8{1, 2, 3, 4, 5, 8, 10, 15, 22, 33, 56, 82}[change]
	d.rise = [...]int8{1, 2, 3, 4, 5, 8, 10, 15, 22, 22, 22, 22}[change]
	return d, true
}
