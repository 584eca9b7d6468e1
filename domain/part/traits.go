package part

// traits are trade words without a member of their own; they stand in a
// part's text, and in the free construction of classes other than capacitor.
type traits uint32

const (
	lowESR traits = 1 << iota
	generalPurpose
	fusible
	flameproof
	wirewound
	carbon
	tabbed
	bare       // a cell without tabs
	breakHigh  // IEC 60127 letter H
	breakLow   // L
	breakExtra // E
	underUL    // rated to UL 248-14
	pigtail
	thermal
	alternating
	antilog
	logarithmic
	linear
	aboutLow
	aboutESR
	aboutHigh
	aboutBreaking
)

const taper = antilog | logarithmic | linear

var traitStems = func() (by [256][]traitStem) {
	for t, words := range map[traits][]string{
		lowESR:         {"lowesr", "lowz", "lowimp", "lowimpedance"},
		generalPurpose: {"standard", "general"},
		fusible:        {"fusible", "fusing", "sicherungswid"},
		flameproof:     {"flameproof", "flameretard", "flame", "unbrennbar", "ininflammable", "nonflam"},
		wirewound:      {"wire", "draht", "bobin", "cement", "zement"},
		carbon:         {"carbon", "kohle", "carbone"},
		tabbed:         {"tab", "tabs", "tabbed", "tags", "tagged", "lötfahne", "lötfahnen", "loetfahne", "cosse", "cosses"},
		bare:           {"untabbed", "tabless"},
		breakHigh:      {"h", "hbc", "hrc", "sandfilled"},
		breakLow:       {"l", "lbc", "glass", "glas", "verre"},
		breakExtra:     {"e"},
		underUL:        {"ul", "ul248"},
		pigtail:        {"pigtail", "leaded", "picofuse"},
		thermal:        {"thermal", "thermo", "thermique"},
		alternating:    {"ac", "vac", "wechselspannung", "alternatif"},
		antilog:        {"antilog", "revlog"},
		logarithmic:    {"log", "logarithmic", "logarithmisch", "logarithmique", "audio"},
		linear:         {"lin", "linear", "linéaire", "lineaire"},
		aboutLow:       {"low", "niedrig", "faible", "basse"},
		aboutESR:       {"esr", "z", "impedance", "imp", "impedanz", "impédance"},
		aboutHigh:      {"high"},
		aboutBreaking:  {"breaking", "rupture"},
	} {
		for _, w := range words {
			by[w[0]] = append(by[w[0]], traitStem{w, t})
		}
	}
	return by
}()

type traitStem struct {
	text  string
	trait traits
}

// longStem is the length from which a trait's word also stands for the words
// that begin with it.
const longStem = 4

// traitsOf finds the trade words of a part.
func traitsOf(p *Part) (t traits) {
	if p.Text != "" {
		t = findTraits(p.Text)
	}
	if p.Construction != "" && p.Class != "capacitor" {
		t |= findTraits(p.Construction)
	}
	if t&aboutLow != 0 && t&aboutESR != 0 {
		t |= lowESR
	}
	if t&aboutBreaking != 0 && t&aboutHigh != 0 {
		t |= breakHigh
	}
	if t&aboutBreaking != 0 && t&aboutLow != 0 {
		t |= breakLow
	}
	return t
}

func findTraits(text string) (t traits) {
	for i := 0; i < len(text); {
		var word [maxWord]byte
		n, next := foldWord(&word, text, i)
		i = next
		if n == 0 {
			continue
		}
		for _, s := range traitStems[word[0]] {
			if n == len(s.text) || n > len(s.text) && len(s.text) >= longStem {
				if string(word[:len(s.text)]) == s.text {
					t |= s.trait
				}
			}
		}
	}
	return t
}
