package part

// chip is the body of a chip or moulded case, in mm.
type chip struct{ length, width, height float64 }

// chips are chip sizes by their imperial codes. Sources: makers' part
// numbering and an open footprint data set; 1008 is from memory.
var chips = map[string]chip{
	"01005": {0.4, 0.2, 0}, "0201": {0.6, 0.3, 0}, "0402": {1, 0.5, 0}, "0603": {1.6, 0.8, 0}, "0805": {2, 1.25, 0},
	"1008": {2.5, 2, 0}, "1206": {3.2, 1.6, 0}, "1210": {3.2, 2.5, 0}, "1806": {4.5, 1.6, 0}, "1812": {4.5, 3.2, 0},
	"1825": {4.5, 6.4, 0}, "2010": {5, 2.5, 0}, "2220": {5.7, 5, 0}, "2225": {5.7, 6.4, 0}, "2512": {6.3, 3.2, 0},
}

// metricChips gives the imperial code for a metric one.
var metricChips = map[string]string{
	"0402": "01005", "0603": "0201", "1005": "0402", "1608": "0603", "2012": "0805", "2520": "1008", "3216": "1206", "3225": "1210",
	"4516": "1806", "4532": "1812", "4564": "1825", "5025": "2010", "5750": "2220", "5764": "2225", "6332": "2512",
}

// cases are moulded tantalum cases by EIA code. Sources: makers' data sheets.
var cases = map[string]chip{
	"3216-18": {3.2, 1.6, 1.6}, "3528-21": {3.5, 2.8, 1.9}, "6032-28": {6, 3.2, 2.5}, "7343-31": {7.3, 4.3, 2.8}, "7343-43": {7.3, 4.3, 4},
	"7343-20": {7.3, 4.3, 2}, "2012-12": {2, 1.25, 1.2}, "3216-12": {3.2, 1.6, 1.2}, "3528-12": {3.5, 2.8, 1.2}, "6032-15": {6, 3.2, 1.5},
}

// caseLetters are the usual letters of moulded tantalum cases.
var caseLetters = map[string]string{"a": "3216-18", "b": "3528-21", "c": "6032-28", "d": "7343-31", "e": "7343-43"}

// RadialPitch is the usual lead pitch of a standing round can of a diameter,
// both in mm; 0 for diameters that the tables lack. Source: makers' lead
// forming and taping tables, which agree.
func RadialPitch(diameter float64) float64 {
	switch diameter {
	case 4:
		return 1.5
	case 5:
		return 2
	case 6.3:
		return 2.5
	case 8:
		return 3.5
	case 10, 12.5:
		return 5
	case 16, 18:
		return 7.5
	case 20, 22:
		return 10
	case 25:
		return 12.5
	}
	return 0
}

// ChipSize gives length and width in mm of a chip by its imperial code, such
// as 0805; false for a code that the tables lack.
func ChipSize(code string) (length, width float64, ok bool) {
	c, ok := chips[code]
	return c.length, c.width, ok
}
