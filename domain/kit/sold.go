package kit

import (
	"slices"

	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// The ratings at which parts are sold, rising. Source: makers' tables, but for the
// currents of fuses, which are the series R10 that IEC 60127 takes.
var (
	soldCans      = tenths(40, 63, 100, 160, 250, 350, 500, 630, 800, 1000, 1600, 2000, 2500, 3500, 4000, 4500, 5000)
	soldTantalum  = tenths(25, 40, 63, 100, 160, 200, 250, 350, 500)
	soldCeramic   = tenths(63, 100, 160, 250, 500, 1000, 2000, 2500, 5000, 6300, 10000, 20000, 30000)
	soldFilm      = tenths(500, 630, 1000, 1600, 2500, 4000, 6300, 10000, 16000, 20000)
	soldX         = tenths(2500, 2750, 3050, 3100, 4400) // alternating
	soldY         = tenths(2500, 3000, 4000, 4400, 5000) // alternating
	soldRectifier = tenths(500, 1000, 2000, 4000, 6000, 8000, 10000)
	soldFuse      = tenths(320, 630, 1250, 2500, 5000, 6000)
	soldCurrent   = row(-3, quantity.Ampere, 32, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000,
		1250, 1600, 2000, 2500, 3150,
		4000, 5000, 6300, 8000, 10000)
	soldPower = row(-3, quantity.Watt, 63, 100, 125, 250, 500, 1000, 2000, 3000, 5000, 10000, 20000, 50000)
)

func tenths(of ...int64) []quantity.Quantity { return row(-1, quantity.Volt, of...) }

func row(exp int, u quantity.Unit, of ...int64) []quantity.Quantity {
	out := make([]quantity.Quantity, len(of))
	for i, n := range of {
		out[i], _ = quantity.New(n, exp, u)
	}
	return out
}

// soldVoltages is the row at which parts like one are sold.
func soldVoltages(p *part.Part) []quantity.Quantity {
	switch {
	case p.Class == part.Fuse:
		return soldFuse
	case p.Class == part.Diode:
		return soldRectifier
	case p.SafetyClass != "" && p.SafetyClass[0] == 'X':
		return soldX
	case p.SafetyClass != "":
		return soldY
	}
	switch p.Construction {
	case part.Tantalum, part.TantalumPolymer:
		return soldTantalum
	case part.Ceramic:
		return soldCeramic
	case part.Film, part.Paper, part.Mica:
		return soldFilm
	}
	return soldCans
}

// above is the rating of a row that many steps above another, and below the next
// below it.
func above(row []quantity.Quantity, q quantity.Quantity, steps int) (quantity.Quantity, bool) {
	for _, v := range row {
		if v.Compare(q) > 0 {
			if steps--; steps == 0 {
				return v, true
			}
		}
	}
	return quantity.Quantity{}, false
}

func below(row []quantity.Quantity, q quantity.Quantity) (quantity.Quantity, bool) {
	for _, v := range slices.Backward(row) {
		if v.Compare(q) < 0 {
			return v, true
		}
	}
	return quantity.Quantity{}, false
}

// soldAs reports whether makers have a capacitor of such a construction, value and
// voltage, roughly (makers' catalogues); other parts are taken as made.
func soldAs(p *part.Part) bool {
	if p.Class != part.Capacitor {
		return true
	}
	farads, volts := p.Value.Float(), p.Voltage.Float()
	const micro = 1e-6
	switch p.Construction {
	case part.Tantalum:
		return farads >= 0.1*micro && farads <= 1000*micro && volts <= 50
	case part.AluminiumPolymer:
		return farads >= 1*micro && farads <= 3300*micro && volts <= 100
	case part.Film:
		return farads <= 100*micro
	case part.Ceramic:
		most := 100 * micro
		switch {
		case volts > 100:
			most = 1 * micro
		case volts > 25:
			most = 10 * micro
		case volts > 10:
			most = 22 * micro
		}
		return farads <= most
	}
	return true
}

// valued reports whether a value is one of the published series: E24, or of
// resistors E192 (IEC 60063). Other classes and parts without a value are.
func valued(p *part.Part) bool {
	if p.Value.IsZero() || p.Class != part.Capacitor && p.Class != part.Resistor ||
		p.Construction == part.Supercapacitor {
		return true
	}
	return quantity.InSeries(p.Value, quantity.E24) || p.Class == part.Resistor && quantity.InSeries(p.Value,
		quantity.E192)
}

// fitted brings the voltage up to one at which such parts are sold, and reports
// whether there is one.
func fitted(o *part.Offer) bool {
	row := soldVoltages(&o.Part)
	if o.Voltage.IsZero() || slices.Contains(row, o.Voltage) {
		return true
	}
	v, ok := above(row, o.Voltage, 1)
	if ok {
		o.Voltage = v
	}
	return ok
}
