package part

// Duty is what a position's function asks of the part there: a set, since one
// part may do two things. The zero Duty is an unknown function, for which the
// narrowest limits hold.
type Duty uint64

// The duties. Rules look at them, never at the words of the function.
const (
	Coupling        Duty = 1 << iota // passes a signal, blocks direct voltage
	Decoupling                       // keeps a supply quiet at one consumer; bypass
	Bulk                             // smoothing, reservoir
	Timing                           // delay, sweep, soft start, integrator
	Oscillator                       // tuned circuit, crystal load
	Filter                           // signal filter, tone control, crossover, compensation
	Reset                            // power-on reset
	Hold                             // sample and hold, peak hold
	Snubber                          // pulse absorber
	MotorRun                         // motor run or phase shift
	RegulatorOutput                  // output of a linear regulator
	SwitchingOutput                  // output of a switching supply
	SupplyInput                      // where a supply comes in
	Backup                           // keeps a memory or clock alive
	Charged                          // the circuit charges the cell
	MainsX                           // across the mains
	MainsY                           // from mains to earth, or across the safety barrier
	PullUp                           // pull-up or pull-down resistor
	Bleeder                          // discharges a capacitor
	Indicator                        // series resistor of a lamp or diode

	// The rest only helps to tell the duties apart.
	aboutOutput
	aboutInput
	aboutSupply
	aboutRegulator
	aboutSwitching
	aboutMains
	aboutLine
	aboutEarth
	aboutAcross
	aboutSafety
	aboutMotor
	aboutRun
	aboutUp
	aboutHum
	letterX
	letterY
	negation
)

const (
	duties = aboutOutput - 1 // all that a rule may look at

	// tight functions take the nominal value and a tolerance no wider.
	tight = Timing | Oscillator | Filter | Reset | Hold | Snubber | MotorRun
	// supply functions may take more capacitance than the original had.
	supply = Decoupling | Bulk | RegulatorOutput | SwitchingOutput | SupplyInput | Backup
	// leaky functions fail with a part that leaks more than a wet electrolytic.
	leaky = Coupling | Timing | Oscillator | Filter | Reset | Hold
)

func (d Duty) any(of Duty) bool { return d&of != 0 }

// Function describes one duty that Place.Function is searched for.
type Function struct {
	Duty  Duty     `json:"-"`
	Name  string   `json:"name"`  // the word to use in a map
	Means string   `json:"means"` // what it asks of the part
	Stems []string `json:"stems"` // beginnings of the words that say so, in lower case: English, German, French
}

// Functions are the functions that the rules know, for the map's schema and
// the pages. Any other text is kept but counts as an unknown function.
var Functions = []Function{
	{Coupling, "coupling", "passes a signal: capacitance not below, up to twice the original",
		[]string{"coupl", "koppel", "kopplung", "auskoppel", "einkoppel", "blocking", "liaison"}},
	{Decoupling, "decoupling", "keeps a supply quiet: 0.8 to 1.5 times the original, to 2 times with a look",
		[]string{"decoupl", "découpl", "bypass", "entkoppl", "abblock", "stütz", "stuetz"}},
	{Bulk, "bulk", "smoothing or reservoir: 0.8 to 1.5 times the original, to 2 times with a look",
		[]string{"bulk", "smooth", "reservoir", "réservoir", "glätt", "glaett", "sieb", "ladeelko", "ladekond", "puffer", "lissage", "filtrage", "tampon", "holdup"}},
	{Timing, "timing", "sets a time: equal value, tolerance no wider",
		[]string{"timing", "timer", "time", "delay", "sweep", "zeit", "verzöger", "verzoeger", "temporis", "minuterie", "retard", "ramp", "soft", "integrat", "intégrat"}},
	{Oscillator, "oscillator", "sets a frequency: equal value, tolerance no wider",
		[]string{"oscill", "oszill", "tuning", "tuned", "tank", "quarz", "quartz", "crystal", "schwing", "accord", "xtal", "vco", "pll"}},
	{Filter, "filter", "shapes a signal: equal value, tolerance no wider; with a word for the supply it is bulk",
		[]string{"filter", "filtre", "equal", "crossover", "weiche", "tone", "klang", "compens", "kompens", "feedback", "gegenkoppl", "bandpass", "tiefpass", "hochpass", "lowpass", "highpass", "pass"}},
	{Reset, "reset", "sets the power-on reset: equal value, tolerance no wider",
		[]string{"reset", "rückstell", "rueckstell", "réinit", "reinit", "watchdog"}},
	{Hold, "hold", "keeps a voltage: equal value, little leakage",
		[]string{"hold", "sample", "sampl", "haltegl", "halteko", "échantill", "echantill"}},
	{Snubber, "snubber", "takes pulses: equal value, pulse rating",
		[]string{"snub", "dämpf", "daempf", "amortiss", "damp"}},
	{MotorRun, "motor-run", "shifts a motor's phase: equal value, alternating voltage", []string{"motorrun", "motorkond"}},
	{RegulatorOutput, "regulator-output", "holds a linear regulator stable: series resistance neither high nor low", nil},
	{SwitchingOutput, "switching-output", "carries a switching supply's ripple: low series resistance", nil},
	{SupplyInput, "supply-input", "meets the inrush where a supply comes in", nil},
	{Backup, "backup", "keeps a memory or clock alive",
		[]string{"backup", "memory", "rtc", "clock", "speicher", "uhr", "secours", "sauvegarde", "mémoire", "memoire"}},
	{Charged, "charged-backup", "a cell that the circuit charges: never a primary cell",
		[]string{"charg", "rechargeable", "trickle", "ladung", "geladen", "laden", "ladeschalt", "aufgeladen", "akku", "wiederauflad"}},
	{MainsX, "mains-x", "across the mains: a part with an X or Y class only", []string{"mainsx"}},
	{MainsY, "mains-y", "from mains to earth: a part with a Y class only", []string{"mainsy"}},
	{PullUp, "pull-up", "holds a logic level: the next E12 value may do", []string{"pull"}},
	{Bleeder, "bleeder", "discharges a capacitor: the next E12 value may do", []string{"bleed", "entlade", "décharge", "decharge", "discharge"}},
	{Indicator, "indicator", "feeds an indicator: the next E12 value may do", []string{"led", "indicator", "anzeige", "voyant"}},
}

// helpers are words that only tell duties apart.
var helpers = []Function{
	{Duty: aboutOutput, Stems: []string{"output", "out", "ausgang", "ausgangs", "sortie"}},
	{Duty: aboutInput, Stems: []string{"input", "in", "eingang", "eingangs", "entrée", "entree"}},
	{Duty: aboutSupply, Stems: []string{"supply", "power", "psu", "rail", "rectif", "ripple", "netzteil", "versorg", "gleichricht", "alimentation", "redress"}},
	{Duty: aboutRegulator, Stems: []string{"regulator", "ldo", "regler", "spannungsregler", "festspannungsregler", "régulat", "regulat"}},
	{Duty: aboutSwitching, Stems: []string{"switching", "switcher", "switchmode", "smps", "buck", "boost", "converter", "schaltregler", "schaltnetz", "wandler", "découpage", "decoupage", "flyback", "chopper", "dcdc"}},
	{Duty: aboutMains, Stems: []string{"mains", "netz", "secteur"}},
	{Duty: aboutLine, Stems: []string{"line", "ac"}},
	{Duty: aboutEarth, Stems: []string{"earth", "chassis", "erde", "schutzleiter", "terre", "pe"}},
	{Duty: aboutAcross, Stems: []string{"across"}},
	{Duty: aboutSafety, Stems: []string{"safety", "class", "suppress", "interference", "entstör", "entstoer", "antiparasit", "emi", "rfi", "netzfilter", "netzentst"}},
	{Duty: aboutMotor, Stems: []string{"motor", "moteur"}},
	{Duty: aboutRun, Stems: []string{"run", "start", "phase", "betrieb"}},
	{Duty: aboutUp, Stems: []string{"up"}},
	{Duty: aboutHum, Stems: []string{"hum", "brumm", "notch", "ronfl"}},
	{Duty: letterX, Stems: []string{"x", "x1", "x2", "x3"}},
	{Duty: letterY, Stems: []string{"y", "y1", "y2", "y3", "y4"}},
	{Duty: negation, Stems: []string{"no", "not", "non", "never", "without", "nicht", "kein", "ohne", "pas", "sans"}},
}

// exact holds the stems that count only as whole words, being too short to
// stand for every word that begins with them.
const exact = aboutOutput | aboutInput | aboutUp | letterX | letterY | negation | aboutRun

type stem struct {
	text string
	duty Duty
}

// stems lists all stems by first byte, so that a word meets only a few.
var stems = func() (by [256][]stem) {
	for _, list := range [2][]Function{Functions, helpers} {
		for _, f := range list {
			for _, s := range f.Stems {
				by[s[0]] = append(by[s[0]], stem{s, f.Duty})
			}
		}
	}
	return by
}()

// maxWord is the longest word that is looked at, in bytes.
const maxWord = 32

// DutyOf recognises the duties in the free text of a map's `function`. It
// knows the words of Functions in English, German and French and their order
// does not matter; 0 means that it knows none.
func DutyOf(function string) Duty {
	var d Duty
	var negated bool
	for i := 0; i < len(function); {
		var word [maxWord]byte
		n, next := foldWord(&word, function, i)
		i = next
		if n == 0 {
			continue
		}
		w := wordDuty(word[:n])
		if negated {
			w &^= Charged
		}
		negated = w.any(negation)
		d |= w
	}
	return d.settle()
}

// wordDuty gives what one folded word says.
func wordDuty(word []byte) (d Duty) {
	for _, s := range stems[word[0]] {
		if s.duty.any(exact) || len(s.text) <= 3 {
			if string(word) == s.text {
				d |= s.duty
			}
		} else if len(word) >= len(s.text) && string(word[:len(s.text)]) == s.text {
			d |= s.duty
		}
	}
	return d
}

// settle turns the words found into duties.
func (d Duty) settle() Duty {
	if d.any(aboutSwitching) && !d.any(aboutInput) {
		d |= SwitchingOutput
	} else if d.any(aboutRegulator) && !d.any(aboutInput) {
		d |= RegulatorOutput
	}
	if d.any(aboutInput) && d.any(aboutSupply|aboutRegulator|aboutSwitching) {
		d |= SupplyInput
	}
	if d.any(Hold) && d.any(aboutUp) {
		d = d&^Hold | Bulk
	}
	if d.any(Filter) && d.any(aboutSupply|Bulk) {
		d = d&^Filter | Bulk
	}
	if d.any(aboutMotor) && d.any(aboutRun) {
		d |= MotorRun
	}
	if d.any(aboutSupply) && !d.any(tight|supply|Coupling) {
		d |= Decoupling
	}
	return d.mains() & duties
}

// mains finds the positions that take safety parts only. A lone X2 may be a
// crystal's designator, so the letter needs a second word beside it.
func (d Duty) mains() Duty {
	about := d.any(aboutMains | aboutLine | aboutSafety)
	switch {
	case d.any(letterY) && about, d.any(aboutEarth) && d.any(aboutMains) && !d.any(supply|Coupling):
		d |= MainsY
	case d.any(letterX) && about, d.any(aboutAcross) && d.any(aboutMains|aboutLine):
		d |= MainsX
	case d.any(aboutMains) && d.any(aboutSafety|Filter) && !d.any(supply|Coupling|aboutHum):
		d |= MainsX // a mains filter lies across the mains, or to earth
	}
	return d
}

// foldWord copies the next word of s from i on, in lower case, and gives its
// length and where it ends. Words are runs of ASCII letters, digits and the
// Latin-1 letters that German and French need; of a longer word than word
// holds the beginning is kept.
func foldWord(word *[maxWord]byte, s string, i int) (n, next int) {
	for i < len(s) {
		c := s[i]
		switch {
		case c >= 'A' && c <= 'Z':
			c += 'a' - 'A'
		case c >= 'a' && c <= 'z', c >= '0' && c <= '9':
		case c == 0xC3 && i+1 < len(s):
			low := s[i+1]
			if low >= 0x80 && low <= 0x9E {
				low += 0x20
			}
			if n+2 <= len(word) {
				word[n], word[n+1] = 0xC3, low
				n += 2
			}
			i += 2
			continue
		default:
			if n > 0 {
				return n, i
			}
			i++
			continue
		}
		if n < len(word) {
			word[n] = c
			n++
		}
		i++
	}
	return n, i
}
