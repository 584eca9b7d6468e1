package part

// traits are trade words without a member of their own; they stand in a
// part's text, and in the free construction of classes other than capacitor.
type traits uint64

const (
	lowESR traits = 1 << iota
	generalPurpose
	fusible
	flameproof
	flammable
	resettable // a thermistor, and no fuse
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
	directOnly
	fast      // recovers fast
	resonator // ceramic, in place of a crystal
	composition
	oxide
	stereo
	mono
	antilog
	logarithmic
	linear
	ntc
	ptc
	zener
	schottky
	suppressor
	lightEmitting
	varicap
	bridge
	oneWay // of suppressors: conducts one way at its voltage
	bothWays
	aboutLow
	aboutESR
	aboutHigh
	aboutBreaking
)

const (
	taper = antilog | logarithmic | linear

	diodeKinds = zener | schottky | suppressor | lightEmitting | varicap | bridge
	holding    = zener | suppressor // diodes that hold a voltage
)

var traitStems = func() (by [256][]traitStem) {
	for t, words := range map[traits][]string{
		lowESR:         {"lowesr", "lowz", "lowimp", "lowimpedance"},
		generalPurpose: {"standard", "general"},
		fusible:        {"fusible", "fusing", "fusistor", "sicherungswid", "schmelzwid"},
		flameproof: {"flameproof", "flameretard", "flame", "unbrennbar", "schwerentflamm", "ignifug", "ininflam",
			"ininflammable", "nonflam"},
		flammable:  {"flammable"},
		resettable: {"resettable", "polyfuse", "polyswitch"},
		wirewound:  {"wire", "draht", "bobin", "cement", "zement"},
		carbon:     {"carbon", "kohle", "carbone"},
		tabbed: {"tab", "tabs", "tabbed", "tags", "tagged", "lötfahne", "lötfahnen", "loetfahne", "cosse",
			"cosses"},
		bare:        {"untabbed", "tabless"},
		breakHigh:   {"h", "hbc", "hrc", "sandfilled", "ceramic", "keramik", "céramique"},
		breakLow:    {"l", "lbc", "glass", "glas", "verre"},
		breakExtra:  {"e"},
		underUL:     {"ul", "ul248"},
		pigtail:     {"pigtail", "leaded", "picofuse"},
		thermal:     {"thermal", "thermo", "thermique"},
		directOnly:  {"dc", "vdc", "gleichspannung", "continu"},
		fast:        {"fast", "ultrafast", "superfast", "schnell", "rapide", "ultrarapide"},
		resonator:   {"resonator", "résonateur", "resonateur", "keramikresonator"},
		composition: {"composition", "masse", "kohlemasse", "aggloméré"},
		oxide:       {"oxide", "oxid", "metalloxid", "oxyde"},
		stereo:      {"stereo", "stéréo", "tandem", "dual", "ganged", "doppel", "double"},
		mono:        {"mono", "single", "einfach", "simple"},
		alternating: {"ac", "vac", "wechselspannung", "alternatif"},
		antilog:     {"antilog", "revlog"},
		logarithmic: {"log", "logarithmic", "logarithmisch", "logarithmique", "audio"},
		linear:      {"lin", "linear", "linéaire", "lineaire"},
		ntc:         {"ntc", "heissleiter", "heiß", "thermistance"},
		ptc:         {"ptc", "kaltleiter"},
		zener: {"zener", "bzx", "bzy", "bzv", "bzt", "bzd", "zpd", "zpy",
			"zpu"}, // BZ: Pro Electron's letters for Zener diodes
		schottky:      {"schottky"},
		suppressor:    {"tvs", "suppressor", "transil", "bzw"},
		lightEmitting: {"led", "leuchtdiode", "light"},
		varicap:       {"varicap", "varactor", "kapazitätsdiode"},
		bridge: {"bridge", "brücke", "bruecke", "pont", "puente", "brug", "mostek", "graetz", "gleichrichterbrücke",
			"мост", "ブリッジ"},
		oneWay:        {"unidirectional", "unidirektional", "unidirectionnel", "unidirezionale", "unidireccional"},
		bothWays:      {"bidirectional", "bidirektional", "bidirectionnel", "bidirezionale", "bidireccional"},
		aboutLow:      {"low", "niedrig", "faible", "basse"},
		aboutESR:      {"esr", "z", "impedance", "imp", "impedanz", "impédance"},
		aboutHigh:     {"high"},
		aboutBreaking: {"breaking", "rupture"},
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
// that begin with it. Shorter ones do where a figure follows, as in NTC10.
const longStem = 4

// begins reports whether a folded word is the stem or goes on from it.
func (s traitStem) begins(word []byte) bool {
	n := len(s.text)
	switch {
	case len(word) < n || string(word[:n]) != s.text:
		return false
	case len(word) == n, n >= longStem:
		return true
	}
	return n == longStem-1 && digit(word[n])
}

// traitsOf finds the trade words of a part.
func traitsOf(p *Part) (t traits) {
	if p.Text != "" {
		_, said := deniedIn(p.Text)
		t = findTraits(said)
	}
	if p.Construction != "" && p.Class != Capacitor {
		t |= findTraits(string(p.Construction))
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
			if s.begins(word[:n]) {
				t |= s.trait
			}
		}
	}
	return t
}

// Fusible reports whether a part's words say that it opens like a fuse when it
// is overloaded.
func (p *Part) Fusible() bool { return traitsOf(p)&fusible != 0 }

// Flameproof reports whether a part's words say that it does not feed a fire.
func (p *Part) Flameproof() bool { return traitsOf(p)&flameproof != 0 }

// kind names what a thermistor or diode is said to be, "" for nothing.
func (t traits) kind() string {
	names := [...]struct {
		trait traits
		name  string
	}{{ntc, "NTC"}, {ptc, "PTC"}, {zener, "Zener"}, {schottky, "Schottky"}, {suppressor, "suppressor"},
		{lightEmitting, "light-emitting"}, {varicap, "variable-capacitance"}, {bridge, "bridge"}}
	for _, n := range names {
		if t&n.trait != 0 {
			return n.name
		}
	}
	return ""
}
