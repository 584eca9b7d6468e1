package part

// chemistry is what the name of a cell's chemistry says.
type chemistry struct {
	family       string // one name for all spellings
	rechargeable bool
}

// chemistries are the accepted spellings, folded to lower case with everything
// but letters and digits left out. Sources: IEC 60086 letters for primary
// cells; makers' series letters for rechargeable lithium coins.
var chemistries = map[string]chemistry{
	"cr": {"CR", false}, "limno2": {"CR", false},
	"br": {"BR", false}, "licfx": {"BR", false}, "licf": {"BR", false},
	"er": {"ER", false}, "lisocl2": {"ER", false},
	"lr": {"LR", false}, "alkaline": {"LR", false}, "alkali": {"LR", false}, "alcaline": {"LR", false}, "znmno2": {"LR", false},
	"znmno2alkaline": {"LR", false},
	"sr":             {"SR", false}, "silveroxide": {"SR", false}, "silver": {"SR", false}, "silberoxid": {"SR", false}, "znag2o": {"SR", false},
	"pr": {"PR", false}, "zincair": {"PR", false}, "znair": {"PR", false},
	"gr": {"GR", false}, "licuo": {"GR", false},
	"r": {"R", false}, "zinccarbon": {"R", false}, "zinkkohle": {"R", false},
	"vl": {"VL", true}, "liv2o5": {"VL", true},
	"ml": {"ML", true}, "limno2rechargeable": {"ML", true},
	"ms": {"MS", true}, "mt": {"MT", true},
	"lir": {"LIR", true}, "liion": {"LIR", true}, "icr": {"LIR", true}, "lithiumion": {"LIR", true},
	"nicd": {"Ni-Cd", true}, "nicad": {"Ni-Cd", true}, "nickelcadmium": {"Ni-Cd", true},
	"nimh": {"Ni-MH", true}, "nickelmetalhydride": {"Ni-MH", true}, "nickelmetallhydrid": {"Ni-MH", true},
	"lirechargeable": {"MS", true},
	"pb":             {"Pb", true}, "leadacid": {"Pb", true}, "vrla": {"Pb", true}, "blei": {"Pb", true},
}

// chemistryOf reads a chemistry's name, letter or trade name; false where it
// is none that the rules know.
func chemistryOf(name string) (chemistry, bool) {
	if name == "" {
		return chemistry{}, false
	}
	var key [maxWord]byte
	n := 0
	for i := 0; i < len(name); i++ {
		c := name[i]
		if c >= 'A' && c <= 'Z' {
			c += 'a' - 'A'
		}
		if c >= 'a' && c <= 'z' || c >= '0' && c <= '9' {
			if n == len(key) {
				return chemistry{}, false
			}
			key[n] = c
			n++
		}
	}
	c, ok := chemistries[string(key[:n])]
	return c, ok
}

// rechargeability is 1 for rechargeable, -1 for primary, 0 for not known.
func rechargeability(p *Part) int {
	switch {
	case p.Rechargeable != nil && *p.Rechargeable:
		return 1
	case p.Rechargeable != nil:
		return -1
	}
	c, ok := chemistryOf(p.Chemistry)
	switch {
	case !ok:
		return 0
	case c.rechargeable:
		return 1
	}
	return -1
}
