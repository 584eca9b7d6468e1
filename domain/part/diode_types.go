package part

import "boardlore/domain/quantity"

// diodeMark is what the letters and figures of a diode's type number say of it.
type diodeMark struct {
	kind             traits
	volts            quantity.Quantity
	milliamps, watts quantity.Quantity // the zero value where the number does not say it
}

// registeredZeners are the voltages of the 1 W row 1N4728 to 1N4764, in tenths of
// a volt. Source: makers' data sheets, which all print the same table.
var registeredZeners = [...]int64{33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91, 100, 110, 120, 130, 150, 160, 180,
	200, 220, 240, 270, 300,
	330, 360, 390, 430, 470, 510, 560, 620, 680, 750, 820, 910, 1000}

const firstZener = 4728

// zenerWatts is the power of the rows of Zener diodes that every maker copies, in
// milliwatts (makers' data sheets).
var zenerWatts = map[string]int64{"bzx55": 500, "bzx79": 500, "bzx85": 1300}

// markedBridges are the least repetitive peak reverse voltages that makers print
// for bridges named by the alternating voltage that may be fed to them, as in
// B80C1500. Source: makers' data sheets of B40C1500 to B500C1500; Vishay's
// B40C1500G to B380C1500G have the lowest.
var markedBridges = map[int64]int64{40: 65, 80: 125, 125: 200, 250: 400, 380: 600, 500: 800}

// markOf reads a type number in lower case that says a diode's voltage: BZX55C5V6,
// 1N4742A, B80C1500.
func markOf(word []byte) (m diodeMark, ok bool) {
	if ways, ok := suppressorMark(word); ok {
		return diodeMark{kind: suppressor | ways}, true
	}
	switch {
	case len(word) > 6 && word[0] == 'b' && word[1] == 'z':
		return zenerMark(word)
	case len(word) >= 6 && word[0] == '1' && word[1] == 'n':
		n, end := figures(word, 2)
		at := n - firstZener
		if at < 0 || at >= int64(len(registeredZeners)) || len(word)-end > 2 {
			return m, false
		}
		return diodeMark{kind: zener, volts: mustQ(registeredZeners[at], -1, quantity.Volt),
			watts: mustQ(1, 0, quantity.Watt)}, true
	case len(word) > 5 && word[0] == 'b':
		fed, end := figures(word, 1)
		if end == len(word) || word[end] != 'c' || markedBridges[fed] == 0 {
			return m, false
		}
		milliamps, last := figures(word, end+1)
		if last < end+4 {
			return m, false
		}
		return diodeMark{kind: bridge, volts: mustQ(markedBridges[fed], 0, quantity.Volt), milliamps: mustQ(milliamps,
			-3, quantity.Ampere)}, true
	}
	return m, false
}

// suppressorRows are the rows of suppressor diodes whose numbers end in C or CA
// where they conduct both ways at their voltage. Source: makers' data sheets of
// P4KE, P6KE, 1.5KE (written 5KE behind its point), P6SMB, SMAJ, SMBJ and SMCJ:
// "for bidirectional use C or CA suffix".
var suppressorRows = [...]string{"p4ke", "p6ke", "15ke", "5ke", "p6smb", "p4sma", "smaj", "smbj", "smcj", "smf"}

// suppressorMark reads P6KE15A and P6KE15CA.
func suppressorMark(word []byte) (ways traits, ok bool) {
	for _, row := range suppressorRows {
		if len(word) <= len(row) || string(word[:len(row)]) != row || !digit(word[len(row)]) {
			continue
		}
		end := len(word)
		if word[end-1] == 'a' {
			end--
		}
		if word[end-1] == 'c' {
			return bothWays, true
		}
		return oneWay, true
	}
	return 0, false
}

// zenerMark reads the voltage of a Zener diode by Pro Electron: a letter for the
// tolerance, and V for the decimal point (BZX79C5V6, BZX85-C12).
func zenerMark(word []byte) (m diodeMark, ok bool) {
	at := 3
	for at < len(word) && digit(word[at]) {
		at++
	}
	if at == 3 && at < len(word) && word[2] >= 'a' && word[2] <= 'z' { // the series has figures
		return m, false
	}
	if at+1 >= len(word) || word[at] < 'a' || word[at] > 'f' {
		return m, false
	}
	whole, end := figures(word, at+1)
	if end == at+1 || whole == 0 {
		return m, false
	}
	tenths := whole * 10
	if end+1 < len(word) && word[end] == 'v' && digit(word[end+1]) {
		tenths += int64(word[end+1] - '0')
	}
	m = diodeMark{kind: zener, volts: mustQ(tenths, -1, quantity.Volt)}
	if mw := zenerWatts[string(word[:at])]; mw != 0 {
		m.watts = mustQ(mw, -3, quantity.Watt)
	}
	return m, true
}

// figures reads up to four figures from at on, and says where they end.
func figures(word []byte, at int) (n int64, end int) {
	const most = 4
	for end = at; end < len(word) && end-at < most && digit(word[end]); end++ {
		n = n*10 + int64(word[end]-'0')
	}
	return n, end
}

// marked takes what a diode's type number says, where nothing else does.
func (c *Candidate) marked(m diodeMark) {
	c.traits |= m.kind
	if c.Voltage.IsZero() {
		c.Voltage = m.volts
	}
	if c.Current.IsZero() {
		c.Current = m.milliamps
	}
	if c.Power.IsZero() {
		c.Power = m.watts
	}
}
