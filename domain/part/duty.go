package part

import "bytes"

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
	Measuring                        // a divider or sensor that something is measured by
	SeriesString                     // one of several lamps in series
	MainsSide                        // on the mains side, or reaching to it
	MainsLikely                      // words that mostly mean the mains: line filter, interference suppression
	NickelCell                       // the cell that is charged is a nickel one
	LeadCell                         // the cell that is charged is a lead one

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
	spanishY // "y" is "and" beside another Spanish word
	aboutCapacitor
	aboutLive
	aboutNeutral
	aboutGround
	aboutPrimary
	aboutSecondary
	aboutBarrier
	aboutIsolation
	aboutSound
	aboutRed // Spanish for mains, beside another Spanish word
	aboutSpanish
	aboutDiode
	notMains
	negation
)

const (
	duties = aboutOutput - 1 // all that a rule may look at

	// works are the duties that say what the position does; the others only say
	// where it stands.
	works = duties &^ (MainsSide | MainsLikely | SeriesString | NickelCell | LeadCell)

	// tight functions take the nominal value and a tolerance no wider.
	tight = Timing | Oscillator | Filter | Reset | Hold | Snubber | MotorRun | Measuring
	// supply functions may take more capacitance than the original had.
	supply = Decoupling | Bulk | RegulatorOutput | SwitchingOutput | SupplyInput | Backup
	// leaky functions fail with a part that leaks more than a wet electrolytic.
	leaky = Coupling | Timing | Oscillator | Filter | Reset | Hold
)

func (d Duty) any(of Duty) bool { return d&of != 0 }

// DutyAt recognises the duties of a position in its function, and in the name of
// its rail whether it is on the mains.
func DutyAt(function, rail string) Duty {
	d := DutyOf(function)
	if rail != "" {
		d |= DutyOf(rail) & MainsSide
	}
	return d
}

// maxWord is the longest word that is looked at, in bytes.
const maxWord = 32

// DutyOf recognises the duties in the free text of a map's `function`. It
// knows the words of functions, and those for the mains and for accumulators in
// more languages, and their order does not matter; 0 means that it knows none.
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
		if s.whole {
			if string(word) == s.text {
				d |= s.duty
			}
		} else if len(word) >= len(s.text) && string(word[:len(s.text)]) == s.text {
			d |= s.duty
		}
	}
	within := inner
	if word[0] >= firstIdeograph {
		within = unspaced
	}
	for _, s := range within {
		if bytes.Contains(word, s.word) {
			d |= s.duty
		}
	}
	if d.any(notMains) {
		d &^= aboutMains
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
	if d.any(spanishY) && !d.any(aboutSpanish) {
		d |= letterY
	}
	if d.any(aboutRed) && d.any(aboutSpanish) {
		d |= aboutMains
	}
	if d.any(aboutInput) && d.any(aboutSupply|aboutRegulator|aboutSwitching) && !d.any(aboutMains) {
		d |= SupplyInput
	}
	if d.any(Hold) && d.any(aboutUp) {
		d = d&^Hold | Bulk
	}
	if d.any(Filter) && d.any(aboutSupply|Bulk) && !d.any(aboutMains|aboutLive) {
		d = d&^Filter | Bulk
	}
	if d.any(Filter) && d.any(aboutMains) && d.any(aboutSupply|Bulk) && !d.any(aboutSafety|aboutAcross) {
		d = d&^Filter | Bulk
	}
	if d.any(aboutMotor) && d.any(aboutRun) {
		d |= MotorRun
	}
	d = d.mains()
	if d.any(aboutSupply) && !d.any(tight|supply|Coupling|MainsX|MainsY) {
		d |= Decoupling
	}
	return d & duties
}

// mains finds the positions that take safety parts only, and the mains side. A
// lone X2 may be a crystal's designator, so the letter needs a second word
// beside it.
func (d Duty) mains() Duty {
	if behind := d.any(aboutSecondary) && !d.any(aboutPrimary); !behind {
		d |= d.toPeople() | d.acrossMains()
		if d.any(aboutMains|aboutPrimary) && !d.any(aboutHum) {
			d |= MainsSide
		}
		if d.any(aboutSafety) || d.any(aboutLine) && d.any(Filter) && !d.any(aboutSound|aboutOutput|aboutInput) {
			d |= MainsLikely
		}
	}
	if d.any(MainsX | MainsY) {
		d = d&^MainsLikely | MainsSide
	}
	return d
}

// toPeople is MainsY where a part leads from the mains to what people touch.
func (d Duty) toPeople() Duty {
	hot := d.any(aboutMains | aboutLive | aboutNeutral | aboutPrimary)
	busy := d.any(supply | Coupling)
	switch {
	case d.any(letterY) && d.any(aboutMains|aboutLine|aboutSafety|aboutCapacitor) && !d.any(Oscillator),
		d.any(MainsY),
		hot && d.any(aboutEarth) && !busy,
		d.any(aboutLine) && d.any(aboutEarth) && !busy && !d.any(aboutSound|aboutOutput|aboutInput),
		hot && d.any(aboutGround) && !busy && !d.any(tight),
		d.any(aboutPrimary) && d.any(aboutSecondary) && !busy,
		d.any(aboutBarrier) && !d.any(aboutDiode),
		d.any(aboutIsolation) && d.any(aboutAcross|aboutCapacitor) && !busy:
		return MainsY
	}
	return 0
}

// acrossMains is MainsX where a part lies across the mains conductors.
func (d Duty) acrossMains() Duty {
	switch {
	case d.any(letterX) && d.any(aboutMains|aboutLine|aboutSafety|aboutCapacitor) && !d.any(Oscillator),
		d.any(aboutAcross) && d.any(aboutMains|aboutLine) && !d.any(aboutSound|aboutEarth),
		d.any(aboutLive|aboutLine) && d.any(aboutNeutral):
		return MainsX
	case d.any(aboutMains) && d.any(aboutSafety|Filter) && !d.any(supply|Coupling|aboutHum):
		return MainsX // a mains filter lies across the mains, or to earth
	}
	return 0
}

// firstIdeograph is the lead byte in UTF-8 from which on kana and ideographs
// stand, whose words have no blanks between them.
const firstIdeograph = 0xE3

// letterBytes is how many bytes of UTF-8 a letter beyond ASCII has that begins
// with c, 0 where none of the alphabets that lists are read in begins so: Latin
// with its accents, Cyrillic, kana and ideographs. Units, dashes and degrees are no
// letters.
func letterBytes(c byte) int {
	switch {
	case c >= 0xC3 && c <= 0xC5, c == 0xD0, c == 0xD1:
		return 2
	case c >= firstIdeograph && c <= 0xE9:
		return 3
	}
	return 0
}

// foldLetter brings a letter of two bytes to lower case.
func foldLetter(lead, next byte) (byte, byte) {
	switch {
	case lead == 0xC3 && next <= 0x9E:
		return lead, next + 0x20
	case lead == 0xD0 && next >= 0x90 && next <= 0x9F:
		return lead, next + 0x20
	case lead == 0xD0 && next >= 0xA0 && next <= 0xAF:
		return 0xD1, next - 0x20
	case lead == 0xD0 && next == 0x81 || lead == 0xD1 && next == 0x91: // ё is written as е
		return 0xD0, 0xB5
	}
	return lead, next
}

// foldWord copies the next word of s from i on, in lower case, and gives its
// length and where it ends. Words are runs of letters and ASCII digits; of a longer
// word than word holds the beginning is kept.
func foldWord(word *[maxWord]byte, s string, i int) (n, next int) {
	for i < len(s) {
		c := s[i]
		switch {
		case c >= 'A' && c <= 'Z':
			c += 'a' - 'A'
		case c >= 'a' && c <= 'z', c >= '0' && c <= '9':
		case letterBytes(c) > 0 && i+letterBytes(c) <= len(s):
			size := letterBytes(c)
			if n+size <= len(word) {
				copy(word[n:], s[i:i+size])
				if size == 2 {
					word[n], word[n+1] = foldLetter(c, s[i+1])
				}
				n += size
			}
			i += size
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
