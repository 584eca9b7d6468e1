package part

// system is a group of chemistries that are charged alike.
type system uint8

const (
	noSystem system = iota
	primarySystem
	primaryLithium
	nickelSystem
	leadSystem
	coinLithium // lithium coins of 3 V that are kept charged at 2.8 to 3.4 V
	ionLithium  // charged to 4.1 or 4.2 V
	ironLithium // charged to 3.6 V
	anyLithium  // "lithium" and no more
)

func (s system) lithium() bool {
	return s == primaryLithium || s == coinLithium || s == ionLithium || s == ironLithium || s == anyLithium
}

func (s system) rechargeable() bool { return s >= nickelSystem && s != anyLithium }

// chemistry is what the name of a cell's chemistry says.
type chemistry struct {
	family       string // one name for all spellings
	rechargeable bool
	system       system
}

// chemistries are the accepted spellings, folded to lower case with everything
// but letters and digits left out. Sources: IEC 60086 letters for primary
// cells; makers' series letters for rechargeable lithium coins.
var chemistries = func() map[string]chemistry {
	m := map[string]chemistry{}
	for _, c := range []struct {
		chemistry
		names []string
	}{
		{chemistry{"CR", false, primaryLithium}, []string{"cr", "limno2", "lithiummanganese"}},
		{chemistry{"BR", false, primaryLithium}, []string{"br", "licfx", "licf"}},
		{chemistry{"ER", false, primaryLithium}, []string{"er", "lisocl2", "lithiumthionylchloride", "thionyl"}},
		{chemistry{"FR", false, primaryLithium}, []string{"fr", "lifes2"}},
		{chemistry{"GR", false, primaryLithium}, []string{"gr", "licuo"}},
		{chemistry{"LR", false, primarySystem}, []string{"lr", "alkaline", "alkali", "alcaline", "znmno2",
			"znmno2alkaline"}},
		{chemistry{"SR", false, primarySystem}, []string{"sr", "silveroxide", "silver", "silberoxid", "znag2o"}},
		{chemistry{"PR", false, primarySystem}, []string{"pr", "zincair", "znair", "zinkluft"}},
		{chemistry{"MR", false, primarySystem}, []string{"mr", "mercury", "quecksilber", "mercure", "hgo", "znhgo"}},
		{chemistry{"R", false, primarySystem}, []string{"r", "zinccarbon", "zinkkohle"}},
		{chemistry{"VL", true, coinLithium}, []string{"vl", "liv2o5"}},
		{chemistry{"ML", true, coinLithium}, []string{"ml", "limno2rechargeable"}},
		{chemistry{"MS", true, coinLithium}, []string{"ms", "lirechargeable"}},
		{chemistry{"MT", true, coinLithium}, []string{"mt"}},
		{chemistry{"LIR", true, ionLithium}, []string{"lir", "liion", "icr", "lithiumion", "inr", "imr", "lipo",
			"lithiumpolymer", "lipolymer"}},
		{chemistry{"LiFePO4", true, ironLithium}, []string{"lifepo4", "lfp", "ifr", "lithiumironphosphate"}},
		{chemistry{"Ni-Cd", true, nickelSystem}, []string{"nicd", "nicad", "nickelcadmium"}},
		{chemistry{"Ni-MH", true, nickelSystem}, []string{"nimh", "nickelmetalhydride", "nickelmetallhydrid"}},
		{chemistry{"Pb", true, leadSystem}, []string{"pb", "leadacid", "vrla", "blei", "sla", "agm", "bleiakku",
			"bleigel", "lead", "plomb", "piombo", "plomo"}},
		{chemistry{"lithium", false, anyLithium}, []string{"lithium", "li", "litio"}},
	} {
		for _, n := range c.names {
			m[n] = c.chemistry
		}
	}
	return m
}()

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

// systemIn finds a chemistry's name in words, also where it is written in two
// (Ni-Cd); noSystem where there is none. Letters alone are no name there.
func systemIn(text string) (s system) {
	var last [maxWord]byte
	lastLen := 0
	for i := 0; i < len(text); {
		var word [maxWord]byte
		n, next := foldWord(&word, text, i)
		i = next
		if n == 0 {
			continue
		}
		if c, ok := chemistries[string(word[:n])]; ok && n > 3 {
			s = c.system
		}
		if lastLen+n <= maxWord {
			copy(last[lastLen:], word[:n])
			if c, ok := chemistries[string(last[:lastLen+n])]; ok && lastLen > 0 && lastLen+n > 3 {
				s = c.system
			}
		}
		last, lastLen = word, n
	}
	return s
}

// systemIn the text of a part: what is said of a cell without a chemistry.
func cellChemistry(p *Part) (chemistry, bool) {
	if c, ok := chemistryOf(p.Chemistry); ok || p.Chemistry != "" {
		return c, ok
	}
	if systemIn(p.Text) == anyLithium {
		return chemistries["lithium"], true
	}
	return chemistry{}, false
}

// verdict on a cell where a circuit charges it.
type cellVerdict uint8

const (
	cellOK cellVerdict = iota
	cellDoubtful
	cellUnknown
	cellForbidden
)

// chargedTable says what may stand where a circuit made for one system charges
// it. Row: what the circuit was made for; column: what is offered. Lithium of
// any kind on another circuit is overcharged, and bursts or burns: makers of
// lithium-ion cells forbid any charger but their own, and nickel circuits
// charge by current without a limit of voltage. Lead circuits hold 2.3 V a
// cell for ever, which nickel does not bear. Lithium-ion on an iron-phosphate
// circuit stays half empty, which does no harm.
var chargedTable = map[[2]system]cellVerdict{
	{nickelSystem, nickelSystem}: cellOK,
	{leadSystem, leadSystem}:     cellOK,
	{coinLithium, coinLithium}:   cellOK,
	{ionLithium, ionLithium}:     cellOK,
	{ironLithium, ironLithium}:   cellOK,
	{ironLithium, ionLithium}:    cellDoubtful,
	{coinLithium, anyLithium}:    cellUnknown,
	{ionLithium, anyLithium}:     cellUnknown,
	{ironLithium, anyLithium}:    cellUnknown,
}

// chargedThere judges an offered system; alike tells that both are of one
// family.
func chargedThere(circuit, offered system, alike bool) cellVerdict {
	switch {
	case offered == noSystem:
		return cellUnknown
	case circuit == noSystem && offered.lithium():
		return cellForbidden // most circuits that say no more charge nickel
	case circuit == noSystem:
		return cellDoubtful
	}
	v, ok := chargedTable[[2]system{circuit, offered}]
	switch {
	case !ok:
		return cellForbidden
	case v == cellOK && !alike:
		return cellDoubtful
	}
	return v
}
