package part

import (
	"strconv"
	"strings"
)

// saying is what a phrase of the trade says.
type saying struct {
	act   act
	value string
	also  string // a second member that the phrase settles
}

type act uint8

const (
	sayClass act = iota + 1
	sayConstruction
	sayElectrolytic // aluminium, unless tantalum or polymer stands beside it
	sayPolymer      // aluminium, unless tantalum stands beside it
	sayFilm         // a film's dielectric
	sayResistor     // a resistor's construction
	sayFusible
	sayPolarised
	sayBipolar
	sayMount
	sayShape
	saySpeed
	sayRechargeable
	sayPrimary
	sayChemistry
	sayChemistryLetters // in a cell only, being words otherwise
	sayText
	sayLabel
)

// longestPhrase is the most words that a phrase has.
const longestPhrase = 3

// phrases are the trade's words in English, German and French, folded to lower
// case with blanks for hyphens. Common practice.
var phrases = func() map[string]saying {
	m := make(map[string]saying, 512)
	add := func(list string, s saying) {
		for _, w := range strings.Split(list, "|") {
			m[w] = s
		}
	}
	for _, c := range Classes {
		add(strings.ReplaceAll(c, "-", " "), saying{act: sayClass, value: c})
	}
	for _, c := range Constructions {
		add(strings.ReplaceAll(c, "-", " "), saying{act: sayConstruction, value: c})
	}
	for _, s := range []struct {
		act         act
		words       string
		value, also string
	}{
		{sayClass, "capacitors|cap|caps|kondensator|kondensatoren|condensateur|condensateurs|condo|condos", "capacitor", ""},
		{sayClass, "resistors|res|widerstand|widerstände|résistance|resistance|résistances|résisteur", "resistor", ""},
		{sayClass, "potentiometers|pot|poti|potis|trimmer|trimpot|trimpoti|potentiomètre|ajustable", "potentiometer", ""},
		{sayClass, "thermistors|ntc|ptc|heissleiter|heißleiter|kaltleiter|thermistance", "thermistor", ""},
		{sayClass, "varistors|mov|vdr|varistance", "varistor", ""},
		{sayClass, "inductors|drossel|drosseln|spule|spulen|inductance|choke|coil|bobine|self|selfs|induktivität", "inductor", ""},
		{sayClass, "transformers|trafo|transformator|übertrager|transfo|transformateur", "transformer", ""},
		{sayClass, "fuses|sicherung|sicherungen|feinsicherung|glassicherung", "fuse", ""},
		{sayClass, "cells|battery|batteries|batterie|batterien|knopfzelle|knopfzellen|zelle|pile|piles|pile bouton|coin cell|button cell|accumulator|accumulateur", "cell", ""},
		{sayClass, "quarz|quartz|crystals|xtal|schwingquarz", "crystal", ""},
		{sayClass, "relais", "relay", ""},
		{sayClass, "diodes|rectifier|gleichrichter|zener|z diode", "diode", ""},
		{sayClass, "transistors|mosfet|jfet", "transistor", ""},
		{sayClass, "ic|chip ic|circuit intégré|opamp|op amp", "integrated-circuit", ""},
		{sayClass, "schalter|taster|interrupteur|bouton poussoir", "switch", ""},
		{sayClass, "stecker|buchse|connecteur|header", "connector", ""},
		{sayClass, "lampe|lampen|bulb|glühlampe|ampoule", "lamp", ""},

		{sayElectrolytic, "elko|elkos|elektrolytkondensator|electrolytic|electrolytics|electrolytic capacitor|elektrolyt|aluminum electrolytic|alu elko|chimique|électrolytique|electrolytique|aluminium elektrolyt|elcap|ecap", "aluminium-electrolytic", ""},
		{sayPolymer, "polymer|polymère|polymere|solid polymer|polymer elko", "aluminium-polymer", ""},
		{sayConstruction, "alu polymer|aluminum polymer", "aluminium-polymer", ""},
		{sayConstruction, "tantal|tantale|tant|tantalelko", "tantalum", ""},
		{sayConstruction, "tantal polymer|polymer tantalum|polymer tantal", "tantalum-polymer", ""},
		{sayConstruction, "keramik|kerko|kerkos|céramique|ceramique|mlcc|keramikkondensator", "ceramic", ""},
		{sayConstruction, "folie|foil|folienkondensator|film plastique|plastic film", "film", ""},
		{sayConstruction, "papier|papierkondensator", "paper", ""},
		{sayConstruction, "glimmer|silver mica|glimmerkondensator", "mica", ""},
		{sayConstruction, "supercap|super capacitor|goldcap|gold cap|doppelschicht|edlc|ultracap", "supercapacitor", ""},
		{sayFilm, "mkt|fkt|mks|fks|polyester|mylar|petp", "polyester", "film"},
		{sayFilm, "mkp|fkp|polypropylene|polypropylen|polypropylène|mmkp", "polypropylene", "film"},
		{sayFilm, "mkc|polycarbonate|polycarbonat", "polycarbonate", "film"},
		{sayFilm, "styroflex|polystyrene|polystyrol|polystyrène", "polystyrene", "film"},

		{sayResistor, "metal film|metallfilm|metallschicht|couche métallique|metalfilm", "metal-film", ""},
		{sayResistor, "carbon film|kohleschicht|couche carbone|carbonfilm", "carbon-film", ""},
		{sayResistor, "carbon composition|kohlemasse|carbon comp", "carbon-composition", ""},
		{sayResistor, "metal oxide|metalloxid|metal oxide film|oxyde métallique", "metal-oxide", ""},
		{sayResistor, "wirewound|wire wound|draht|drahtwiderstand|bobiné", "wirewound", ""},
		{sayResistor, "thick film|dickschicht", "thick-film", ""},
		{sayResistor, "thin film|dünnschicht", "thin-film", ""},
		{sayFusible, "fusible|sicherungswiderstand", "fusible", ""},

		{sayBipolar, "bipolar|bp|np|non polarised|non polarized|nonpolarised|nonpolarized|nonpolar|non polar|unpolarised|unpolarized|ungepolt|bipolaire|non polarisé|non polarise|nichtpolar", "", ""},
		{sayPolarised, "polarised|polarized|gepolt|polarisé", "", ""},
		{sayMount, "smd|smt|surface|surface mount|cms|surface mounted|oberflächenmontage", "surface", ""},
		{sayMount, "tht|through hole|bedrahtet|traversant|leaded|wired|durchsteck", "through-hole", ""},
		{sayShape, "radial|stehend|upright|vertical|debout", "through-hole", "can"},
		{sayShape, "axial|liegend|couché", "through-hole", "axial"},
		{sayShape, "v chip|vchip|smd can", "surface", "can"},
		{saySpeed, "träge|traege|slow|slow blow|slo blo|time lag|time delay|temporisé|temporise|retardé|retardée", "T", ""},
		{saySpeed, "flink|quick|fast|fast blow|quick acting|quick blow|fast acting|rapide", "F", ""},
		{saySpeed, "superflink|very fast|ultra rapide|super fast|very quick acting", "FF", ""},
		{saySpeed, "mittelträge|medium time lag|semi retardé", "M", ""},
		{saySpeed, "superträge|long time lag", "TT", ""},
		{sayRechargeable, "rechargeable|wiederaufladbar|aufladbar|akku|accu", "", ""},
		{sayPrimary, "primary|non rechargeable|nicht aufladbar|primärzelle|primaire", "", ""},
		{sayChemistry, "ni cd|nicd|nicad|nickel cadmium", "Ni-Cd", ""},
		{sayChemistry, "ni mh|nimh", "Ni-MH", ""},
		{sayChemistry, "alkaline|alkali|alcaline", "LR", ""},
		{sayChemistry, "li ion|liion", "LIR", ""},
		{sayChemistryLetters, "cr", "CR", ""}, {sayChemistryLetters, "br", "BR", ""}, {sayChemistryLetters, "er", "ER", ""},
		{sayChemistryLetters, "lr", "LR", ""}, {sayChemistryLetters, "sr", "SR", ""}, {sayChemistryLetters, "vl", "VL", ""},
		{sayChemistryLetters, "ml", "ML", ""}, {sayChemistryLetters, "ms", "MS", ""}, {sayChemistryLetters, "lir", "LIR", ""},

		{sayText, "low esr|lowesr|low z|low impedance|ultra low esr|very low esr|niederohmig|low imp|faible esr|basse impédance|niedrige impedanz|schaltfest|geringer esr", "low ESR", ""},
		{sayText, "long life|longlife|langlebig|longue durée", "long life", ""},
		{sayText, "flameproof|flame proof|unbrennbar|nicht brennbar|ininflammable|flame retardant", "flameproof", ""},
		{sayText, "tabbed|tabs|with tabs|with solder tabs|solder tabs|mit lötfahne|mit lötfahnen|lötfahne|lötfahnen|à cosses|cosses|tagged|solder tags", "tabbed", ""},
		{sayText, "high ripple|hohe ripple|high ripple current", "high ripple", ""},
		{sayText, "low leakage|low leak", "low leakage", ""},
		{sayText, "audio|audio grade|hifi", "audio", ""},
		{sayText, "general purpose|standard type|standardtyp", "general purpose", ""},
		{sayText, "ac|vac", "AC", ""},
		{sayText, "automotive", "automotive", ""},
		{sayText, "snap in|snapin", "snap-in", ""},
		{sayText, "screw terminal|screw terminals|schraubanschluss", "screw terminal", ""},
		{sayText, "glass|glas|verre|glass tube", "glass", ""},
		{sayText, "ceramic tube|keramikrohr", "ceramic tube", ""},
		{sayText, "high breaking|high breaking capacity|hbc", "high breaking", ""},
		{sayText, "low breaking|low breaking capacity|lbc", "low breaking", ""},
		{sayText, "pigtail|pig tail", "pigtail", ""},
		{sayText, "thermal", "thermal", ""},
		{sayText, "lin|linear|linéaire|lineaire", "linear", ""},
		{sayText, "log|logarithmic|logarithmisch|logarithmique", "logarithmic", ""},
		{sayText, "antilog|reverse log|rev log", "antilog", ""},

		{sayLabel, "esr|esr max|impedance|impedanz", strconv.Itoa(int(labelESR)), ""},
		{sayLabel, "ripple|ripple current|ripplestrom|wechselstrombelastbarkeit", strconv.Itoa(int(labelRipple)), ""},
		{sayLabel, "rm|pitch|pas|raster|rastermaß|rastermass|lead spacing|lead pitch|ls|écartement|entraxe", strconv.Itoa(int(labelPitch)), ""},
		{sayLabel, "current", strconv.Itoa(int(labelCurrent)), ""},
		{sayLabel, "voltage", strconv.Itoa(int(labelVoltage)), ""},
		{sayLabel, "qty|quantity|menge|anzahl|quantité|qté", strconv.Itoa(int(labelCount)), ""},
		{sayLabel, "dielectric|dielektrikum|diélectrique", strconv.Itoa(int(labelDielectric)), ""},
		{sayLabel, "construction|bauart", strconv.Itoa(int(labelConstruction)), ""},
		{sayLabel, "chemistry|chemie|chimie", strconv.Itoa(int(labelChemistry)), ""},
		{sayLabel, "safety", strconv.Itoa(int(labelSafety)), ""},
	} {
		add(s.words, saying{s.act, s.value, s.also})
	}
	return m
}()

// labels gives the kind of label that a saying holds as a number.
func (s *saying) label() wordKind {
	n, _ := strconv.Atoi(s.value)
	return wordKind(n)
}

// phrase takes the longest phrase that begins at word i.
func (r *reader) phrase(i int) int {
	if c := r.low[r.words[i].lo]; isDigit(c) || c == '+' || c == '-' {
		return 0
	}
	for n := min(longestPhrase, len(r.words)-i); n > 0; n-- {
		if !r.free(i, i+n) {
			continue
		}
		key := r.key(i, n)
		if s, known := phrases[string(key)]; known && r.say(&s, i, n) {
			return n
		}
	}
	return 0
}

// key is the folded form of n words from i on, parted by single blanks and
// without the point of an abbreviation.
func (r *reader) key(i, n int) []byte {
	if n == 1 {
		return trimPoint(r.lower(i))
	}
	var room [64]byte
	key := room[:0]
	for k := i; k < i+n; k++ {
		if k > i {
			key = append(key, ' ')
		}
		key = append(key, trimPoint(r.lower(k))...)
	}
	return key
}

func trimPoint(b []byte) []byte {
	for len(b) > 1 && (b[len(b)-1] == '.' || b[len(b)-1] == ',') {
		b = b[:len(b)-1]
	}
	return b
}

// say does what a phrase says; false where the phrase means nothing here.
func (r *reader) say(s *saying, i, n int) bool {
	p := &r.out.Part
	capacitor := p.Class == "" || p.Class == "capacitor"
	switch s.act {
	case sayClass:
		return r.sayClass(s.value, i, n)
	case sayConstruction, sayElectrolytic, sayPolymer:
		return capacitor && r.sayConstruction(s, i, n)
	case sayFilm:
		if !capacitor || p.Dielectric != "" && p.Dielectric != s.value {
			return false
		}
		p.Dielectric = s.value
		if p.Construction == "" {
			p.Construction = s.also
			r.note("construction", s.also, i, i+n)
		}
		r.note("dielectric", s.value, i, i+n)
	case sayResistor:
		if p.Class != "" && p.Class != "resistor" && p.Class != "potentiometer" || p.Construction != "" {
			return false
		}
		p.Construction = s.value
		r.note("construction", s.value, i, i+n)
	case sayFusible:
		if r.fusible == 0 {
			r.fusible = i + 1
		}
		return r.fusible == i+1
	case sayPolarised, sayBipolar:
		return capacitor && r.sayFlag(&p.Polarised, s.act == sayPolarised, "polarised", i, n)
	case sayRechargeable, sayPrimary:
		return (p.Class == "" || p.Class == "cell") && r.sayFlag(&p.Rechargeable, s.act == sayRechargeable, "rechargeable", i, n)
	default:
		return r.sayMore(s, i, n)
	}
	return true
}

func (r *reader) sayMore(s *saying, i, n int) bool {
	p := &r.out.Part
	switch s.act {
	case sayMount, sayShape:
		return r.sayMount(s, i, n)
	case saySpeed:
		if p.FuseSpeed != "" || p.Class != "" && p.Class != "fuse" {
			return false
		}
		p.FuseSpeed = s.value
		r.note("fuse_speed", s.value, i, i+n)
	case sayChemistry, sayChemistryLetters:
		if p.Chemistry != "" || p.Class != "cell" && (p.Class != "" || s.act == sayChemistryLetters) {
			return false
		}
		p.Chemistry = s.value
		r.note("chemistry", s.value, i, i+n)
	case sayText:
		r.keep(s.value, i, i+n)
	case sayLabel:
		for k := i; k < i+n; k++ {
			r.words[k].kind = s.label()
		}
	}
	return true
}

func (r *reader) sayClass(class string, i, n int) bool {
	p := &r.out.Part
	switch {
	case p.Class == "":
		p.Class = class
	case p.Class == class:
	case !r.spoken && r.ctx.Class != "":
		r.doubt("The text says %s, but a %s was asked for.", class, p.Class)
		return false
	default:
		return false
	}
	r.spoken = true
	r.note("class", class, i, i+n)
	return true
}

func (r *reader) sayConstruction(s *saying, i, n int) bool {
	p := &r.out.Part
	c := s.value
	switch {
	case p.Construction == "" || p.Construction == c:
	case s.act == sayElectrolytic:
		c = p.Construction // a tantalum or polymer one
	case s.act == sayPolymer && p.Construction == "tantalum", c == "tantalum" && p.Construction == "aluminium-polymer":
		c = "tantalum-polymer"
	case p.Construction == "aluminium-electrolytic" && (c == "aluminium-polymer" || c == "tantalum"):
	default:
		r.doubt("The text says %s and %s.", p.Construction, c)
		return false
	}
	p.Construction = c
	r.note("construction", c, i, i+n)
	return true
}

func (r *reader) sayFlag(to **bool, v bool, member string, i, n int) bool {
	if *to != nil && **to != v {
		r.doubt("The text says both yes and no to %s.", member)
		return false
	}
	*to = &v
	r.note(member, strconv.FormatBool(v), i, i+n)
	return true
}

func (r *reader) sayMount(s *saying, i, n int) bool {
	b := &r.out.Body
	if b.Mount != "" && b.Mount != s.value {
		r.doubt("The text says %s and %s.", b.Mount, s.value)
		return false
	}
	b.Mount = s.value
	r.note("body.mount", s.value, i, i+n)
	if s.act == sayShape && b.Shape == "" {
		b.Shape = s.also
		r.note("body.shape", s.also, i, i+n)
	}
	return true
}

// quotes takes the texts in double quotes: what a label names, else the part's
// text.
func (r *reader) quotes() {
	for i := range r.words {
		if r.words[i].kind != quoted {
			continue
		}
		s := r.source(i, i+1)
		s = strings.ReplaceAll(s[1:len(s)-1], `""`, `"`)
		if i > 0 {
			if said, ok := phrases[string(r.key(i-1, 1))]; ok && said.act == sayLabel && r.labelled(said.label(), s, i) {
				continue
			}
		}
		r.keep(s, i, i+1)
	}
}

// labelled gives a quoted text to the member that the word before it names.
func (r *reader) labelled(label wordKind, s string, i int) bool {
	p := &r.out.Part
	member, to := "", (*string)(nil)
	switch label {
	case labelDielectric:
		member, to = "dielectric", &p.Dielectric
	case labelConstruction:
		member, to = "construction", &p.Construction
	case labelSafety:
		member, to = "safety_class", &p.SafetyClass
	case labelChemistry:
		member, to = "chemistry", &p.Chemistry
	default:
		return false
	}
	if *to != "" {
		return false
	}
	*to = s
	r.note(member, s, i-1, i+1)
	return true
}
