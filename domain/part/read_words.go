package part

import (
	"regexp"
	"strconv"
	"strings"

	"boardlore/domain/quantity"
)

// phrases are the trade's words with what each says, in English, German and
// French, folded to lower case with blanks for hyphens. Common practice.
var phrases = map[string]func(r *reader, i, n int){}

// longestPhrase is the most words that a phrase has.
const longestPhrase = 3

func init() {
	add := func(list string, f func(r *reader, i, n int)) {
		for _, w := range strings.Split(list, "|") {
			phrases[w] = f
		}
	}
	for _, c := range Classes {
		add(strings.ReplaceAll(c, "-", " "), setClass(c))
	}
	add("capacitors|cap|kondensator|kondensatoren|condensateur|condensateurs|condo", setClass("capacitor"))
	add("resistors|widerstand|widerstände|résistance|resistance|résistances", setClass("resistor"))
	add("potentiometers|poti|trimmer|trimpot|potentiomètre", setClass("potentiometer"))
	add("drossel|spule|inductance|choke|coil|bobine|self|inductors", setClass("inductor"))
	add("sicherung|feinsicherung|fusible cartridge|fuses|fusible verre", setClass("fuse"))
	add("battery|batterie|akku|pile|knopfzelle|coin cell|button cell|accumulator|accu|pile bouton", setClass("cell"))
	add("quarz|quartz", setClass("crystal"))
	add("relais", setClass("relay"))
	add("diodes", setClass("diode"))
	for _, c := range Constructions {
		add(strings.ReplaceAll(c, "-", " "), setConstruction(c))
	}
	add("elko|elkos|elektrolytkondensator|electrolytic|electrolytics|aluminum electrolytic|alu elko|chimique|électrolytique|electrolytique|aluminium elektrolyt", setConstruction("aluminium-electrolytic"))
	add("polymer|alu polymer|polymer elko|polymère|aluminum polymer|solid polymer", setConstruction("aluminium-polymer"))
	add("tantal|tantale|tant", setConstruction("tantalum"))
	add("keramik|kerko|céramique|ceramique|mlcc", setConstruction("ceramic"))
	add("folie|folienkondensator|mkt|mkp|mks|polyester|polypropylene|polypropylen|film plastique|foil", setConstruction("film"))
	add("papier", setConstruction("paper"))
	add("glimmer|silver mica", setConstruction("mica"))
	add("supercap|goldcap|gold cap|doppelschicht", setConstruction("supercapacitor"))
	add("metal film|metallfilm|metallschicht|couche métallique|metalfilm", setResistor("metal-film"))
	add("carbon film|kohleschicht|carbon|kohle|couche carbone", setResistor("carbon-film"))
	add("metal oxide|metalloxid", setResistor("metal-oxide"))
	add("wirewound|wire wound|draht|drahtwiderstand|bobiné", setResistor("wirewound"))
	add("fusible", setResistor("fusible"))
	add("bipolar|bp|np|non polarised|non polarized|nonpolar|non polar|unpolarised|unpolarized|ungepolt|bipolaire|non polarisé|non polarise", setPolarised(false))
	add("polarised|polarized|gepolt|polarisé", setPolarised(true))
	add("smd|smt|surface|surface mount|cms|surface mounted", setMount("surface", ""))
	add("tht|through hole|bedrahtet|traversant|leaded|wired", setMount("through-hole", ""))
	add("radial|stehend|upright", setMount("through-hole", ""))
	add("axial|liegend", setMount("through-hole", "axial"))
	add("träge|traege|slow|slow blow|time lag|temporisé|temporise|retardé", setSpeed("T"))
	add("flink|quick|fast|fast blow|quick acting|rapide", setSpeed("F"))
	add("rechargeable|wiederaufladbar|aufladbar", setRechargeable(true))
	add("primary", setRechargeable(false))
	add("ni cd|nicd|nicad", setChemistry("Ni-Cd"))
	add("ni mh|nimh", setChemistry("Ni-MH"))
	for _, w := range []string{"low esr", "low impedance", "low z", "ultra low esr", "long life", "flameproof", "high ripple", "tabbed", "with tabs", "mit lötfahne",
		"lötfahne", "solder tabs", "audio", "niederohmig", "low leakage", "faible esr", "schaltfest", "automotive", "glass", "glas", "verre", "ceramic tube",
		"snap in", "screw", "hbc", "high breaking", "low breaking", "keramikrohr"} {
		add(w, keepWord)
	}
}

func setClass(class string) func(*reader, int, int) {
	return func(r *reader, i, n int) {
		if r.reading.Part.Class == "" {
			r.reading.Part.Class = class
		} else if r.reading.Part.Class != class {
			r.doubt("The text says %s, but a %s was asked for or named before.", class, r.reading.Part.Class)
		}
		r.set("class", class, i, i+n-1)
	}
}

func setConstruction(c string) func(*reader, int, int) {
	return func(r *reader, i, n int) {
		p := &r.reading.Part
		if p.Class != "" && p.Class != "capacitor" {
			keepWord(r, i, n)
			return
		}
		p.Construction = c
		r.set("construction", c, i, i+n-1)
	}
}

func setResistor(c string) func(*reader, int, int) {
	return func(r *reader, i, n int) {
		p := &r.reading.Part
		if p.Class != "" && p.Class != "resistor" && p.Class != "potentiometer" {
			keepWord(r, i, n)
			return
		}
		p.Construction = c
		r.set("construction", c, i, i+n-1)
	}
}

func setPolarised(v bool) func(*reader, int, int) {
	return func(r *reader, i, n int) {
		r.reading.Part.Polarised = &v
		r.set("polarised", strconv.FormatBool(v), i, i+n-1)
	}
}

func setRechargeable(v bool) func(*reader, int, int) {
	return func(r *reader, i, n int) {
		r.reading.Part.Rechargeable = &v
		r.set("rechargeable", strconv.FormatBool(v), i, i+n-1)
	}
}

func setMount(mount, shape string) func(*reader, int, int) {
	return func(r *reader, i, n int) {
		r.reading.Body.Mount = mount
		if shape != "" {
			r.reading.Body.Shape = shape
		}
		r.set("body.mount", mount, i, i+n-1)
	}
}

func setSpeed(s string) func(*reader, int, int) {
	return func(r *reader, i, n int) {
		r.reading.Part.FuseSpeed = s
		r.set("fuse_speed", s, i, i+n-1)
	}
}

func setChemistry(s string) func(*reader, int, int) {
	return func(r *reader, i, n int) {
		r.reading.Part.Chemistry = s
		r.set("chemistry", s, i, i+n-1)
	}
}

// keepWord keeps trade words that no member holds in the part's text.
func keepWord(r *reader, i, n int) {
	s, _ := r.join(i, n)
	r.texts = append(r.texts, s)
	r.set("text", s, i, i+n-1)
}

// phrase takes the longest phrase that begins at word i.
func (r *reader) phrase(i int) int {
	for n := longestPhrase; n > 0; n-- {
		s, ok := r.join(i, n)
		if !ok {
			continue
		}
		key := strings.Trim(strings.ReplaceAll(strings.ToLower(s), "-", " "), ".:")
		if f, known := phrases[key]; known {
			f(r, i, n)
			return n
		}
	}
	return 0
}

// count takes "4 x", "2x", "10 pcs" and "2x470uF" at the head of the line, and
// "qty 4".
func (r *reader) count(i int) int {
	if i > 0 || r.reading.Quantity != 0 {
		return 0
	}
	w := strings.ToLower(r.words[0].text)
	if n, ok := r.namedCount(w); ok {
		return n
	}
	digits := w[:len(w)-len(strings.TrimLeft(w, "0123456789"))]
	rest := w[len(digits):]
	n, err := strconv.Atoi(digits)
	if err != nil || n == 0 || len(digits) > 5 {
		return 0
	}
	switch {
	case countWord(rest) && len(r.words) > 1:
		r.reading.Quantity = n
		r.set("quantity", digits, 0, 0)
		return 1
	case rest == "" && len(r.words) > 2 && countWord(strings.ToLower(r.words[1].text)):
		r.reading.Quantity = n
		r.set("quantity", digits, 0, 1)
		return 2
	}
	if tail, ok := strings.CutPrefix(rest, "x"); ok && tail != "" && !isSize(w) {
		first := &r.words[0]
		head := len(digits) + 1
		text, from, to := first.text[head:], first.from+head, first.to
		first.text, first.to = first.text[:head], first.from+head
		r.words = append(r.words[:1], append([]word{{text: text, from: from, to: to}}, r.words[1:]...)...)
		r.reading.Quantity = n
		r.set("quantity", digits, 0, 0)
		return 1
	}
	return 0
}

// namedCount takes "qty 4" and "Menge: 4".
func (r *reader) namedCount(w string) (int, bool) {
	switch strings.TrimRight(w, ".:=") {
	case "qty", "quantity", "anzahl", "menge", "qté", "qte", "quantité":
	default:
		return 0, false
	}
	if len(r.words) < 3 {
		return 0, false
	}
	n, err := strconv.Atoi(r.words[1].text)
	if err != nil || n <= 0 || n > 99999 {
		return 0, false
	}
	r.reading.Quantity = n
	r.set("quantity", r.words[1].text, 0, 1)
	return 2, true
}

func countWord(s string) bool {
	switch strings.TrimSuffix(s, ".") {
	case "x", "pcs", "pc", "stk", "stück", "st", "off", "ea", "pieces", "pièces", "pces":
		return true
	}
	return false
}

// code takes words that are codes: dielectrics, safety classes, cells, chip
// sizes.
func (r *reader) code(i int) int {
	w := r.words[i].text
	u := strings.ToUpper(w)
	p := &r.reading.Part
	switch {
	case u == "C0G" || u == "COG" || u == "NP0" || u == "NPO":
		p.Dielectric = "C0G"
		r.set("dielectric", p.Dielectric, i, i)
	case len(u) == 3 && strings.ContainsRune("XYZ", rune(u[0])) && u[1] >= '2' && u[1] <= '9' && strings.ContainsRune("FPRSTUV", rune(u[2])):
		p.Dielectric = u
		r.set("dielectric", u, i, i)
	case isSafety(u) || len(u) == 5 && u[2] == '/' && isSafety(u[:2]) && isSafety(u[3:]):
		p.SafetyClass = u
		r.set("safety_class", u, i, i)
	case r.semiconductor(u, i):
	case r.cell(u, i):
	case r.fuse(u, i):
	case r.chip(u, i):
	default:
		return 0
	}
	return 1
}

// registered is the form of type numbers that JEDEC (1N4148, 2N3904) and the
// European register (BC547B, BAT46) give to diodes and transistors.
var registered = regexp.MustCompile(`^(?:(1N|2N|3N)\d{2,5}|([ABC][A-Z])([A-Z]?\d{2,4}))[A-Z]{0,2}$`)

// semiconductor takes a registered type number where no other class is known:
// its N is no nano. The second letter of a European number says the kind.
func (r *reader) semiconductor(u string, i int) bool {
	p := &r.reading.Part
	m := registered.FindStringSubmatch(u)
	if m == nil || p.Class != "" {
		return false
	}
	switch {
	case m[1] == "1N" || m[2] != "" && strings.ContainsRune("ABY", rune(m[2][1])):
		p.Class = "diode"
	case m[1] != "" || strings.ContainsRune("CDFLU", rune(m[2][1])):
		p.Class = "transistor"
	default:
		return false
	}
	r.texts = append(r.texts, r.words[i].text)
	r.set("class", p.Class, i, i)
	r.set("text", r.words[i].text, i, i)
	return true
}

// coins are the nominal voltages of the cells whose code says their chemistry;
// IEC 60086 for the primary ones, makers' tables for the rechargeable.
var coins = []struct {
	letters, volts string
	rechargeable   bool
	coin           bool
}{
	{"LIR", "3.6 V", true, true}, {"CR", "3 V", false, true}, {"BR", "3 V", false, true}, {"VL", "3 V", true, true},
	{"ML", "3 V", true, true}, {"MS", "3 V", true, true}, {"SR", "1.55 V", false, false}, {"LR", "1.5 V", false, false},
}

// cell takes codes such as CR2032: chemistry, and for lithium coins of four
// figures the diameter in mm and the height in tenths.
func (r *reader) cell(u string, i int) bool {
	for _, c := range coins {
		digits, ok := strings.CutPrefix(u, c.letters)
		if !ok || digits == "" {
			continue
		}
		digits = strings.TrimRight(digits, "ABCDEFGHIJKLMNOPQRSTUVWXYZ-/")
		n, err := strconv.Atoi(digits)
		if err != nil || len(digits) < 2 || len(digits) > 4 {
			continue
		}
		p := &r.reading.Part
		if p.Class != "" && p.Class != "cell" {
			return false
		}
		volts, err := quantity.Parse(c.volts)
		if err != nil {
			return false
		}
		rechargeable := c.rechargeable
		p.Class, p.Chemistry, p.Voltage, p.Rechargeable = "cell", c.letters, volts, &rechargeable
		r.set("class", "cell", i, i)
		r.set("chemistry", c.letters, i, i)
		r.set("voltage", c.volts, i, i)
		if c.coin && len(digits) == 4 {
			r.reading.Body.Shape, r.reading.Body.Diameter, r.reading.Body.Height = "coin", coinDiameter(n/100), float64(n%100)/10
			r.set("body.diameter_mm", strconv.FormatFloat(r.reading.Body.Diameter, 'g', -1, 64), i, i)
		}
		r.texts = append(r.texts, r.words[i].text)
		return true
	}
	return false
}

// coinDiameter is the diameter, mm, that the first two figures of a coin
// cell's code stand for: rounded down where the cell has half a millimetre
// more. Source: IEC 60086 sizes as cell makers' tables print them.
func coinDiameter(figures int) float64 {
	switch figures {
	case 9, 12, 24:
		return float64(figures) + 0.5
	}
	return float64(figures)
}

// fuse takes T630mA, F1A, 2AT.
func (r *reader) fuse(u string, i int) bool {
	if c := r.reading.Part.Class; c != "" && c != "fuse" {
		return false
	}
	speed, rest := "", u
	for _, s := range []string{"TT", "FF", "T", "F", "M"} {
		if t, ok := strings.CutPrefix(u, s); ok && t != "" && (t[0] >= '0' && t[0] <= '9') {
			speed, rest = s, t
			break
		}
		if t, ok := strings.CutSuffix(u, "A"+s); ok && t != "" {
			speed, rest = s, t+"A"
			break
		}
	}
	if speed == "" || !strings.HasSuffix(rest, "A") {
		return false
	}
	q, err := quantity.Read(strings.Replace(rest, "MA", "mA", 1), quantity.Current, quantity.Context{Class: "fuse", Found: "list"})
	if err != nil || len(q) != 1 {
		return false
	}
	p := &r.reading.Part
	p.Class, p.FuseSpeed, p.Current = "fuse", speed, q[0].Quantity
	r.set("class", "fuse", i, i)
	r.set("fuse_speed", speed, i, i)
	r.set("current", p.Current.String(), i, i)
	return true
}

// chips are the bodies of EIA chip codes in inches; length and width, mm.
// Source: IPC land pattern names, common practice.
var chips = map[string][2]float64{"0201": {0.6, 0.3}, "0402": {1, 0.5}, "0603": {1.6, 0.8}, "0805": {2, 1.25}, "1206": {3.2, 1.6},
	"1210": {3.2, 2.5}, "1812": {4.5, 3.2}, "2010": {5, 2.5}, "2220": {5.7, 5}, "2512": {6.3, 3.2}}

// chip takes a chip code where it does not stand alone: 0805 may also be a
// value's code.
func (r *reader) chip(u string, i int) bool {
	size, ok := chips[u]
	if !ok || len(r.words) == 1 {
		return false
	}
	r.reading.Body.Mount, r.reading.Body.Shape = "surface", "chip"
	r.reading.Body.Length, r.reading.Body.Width = size[0], size[1]
	r.set("body.length_mm", u, i, i)
	return true
}
