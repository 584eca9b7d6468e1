package reading

// chip is the body of a chip or moulded case, in mm.
type chip struct{ length, width, height float64 }

// chips are chip sizes by their imperial codes. Sources: makers' part
// numbering and an open footprint data set; 1008 is from memory.
var chips = map[string]chip{
	"01005": {0.4, 0.2, 0}, "0201": {0.6, 0.3, 0}, "0402": {1, 0.5, 0}, "0603": {1.6, 0.8, 0}, "0805": {2, 1.25, 0},
	"1008": {2.5, 2, 0}, "1206": {3.2, 1.6, 0}, "1210": {3.2, 2.5, 0}, "1806": {4.5, 1.6, 0}, "1812": {4.5, 3.2, 0},
	"1825": {4.5, 6.4, 0}, "2010": {5, 2.5, 0}, "2220": {5.7, 5, 0}, "2225": {5.7, 6.4, 0}, "2512": {6.3, 3.2, 0},
	"2816": {7.1, 4.2, 0},
}

// metricChips gives the imperial code for a metric one.
var metricChips = map[string]string{
	"0402": "01005", "0603": "0201", "1005": "0402", "1608": "0603", "2012": "0805", "2520": "1008", "3216": "1206",
	"3225": "1210",
	"4516": "1806", "4532": "1812", "4564": "1825", "5025": "2010", "5750": "2220", "5764": "2225", "6332": "2512",
	"7142": "2816",
}

// cases are moulded tantalum cases by EIA code. Sources: makers' data sheets.
var cases = map[string]chip{
	"3216-18": {3.2, 1.6, 1.6}, "3528-21": {3.5, 2.8, 1.9}, "6032-28": {6, 3.2, 2.5}, "7343-31": {7.3, 4.3, 2.8},
	"7343-43": {7.3, 4.3, 4},
	"7343-20": {7.3, 4.3, 2}, "2012-12": {2, 1.25, 1.2}, "3216-12": {3.2, 1.6, 1.2}, "3528-12": {3.5, 2.8, 1.2},
	"6032-15": {6, 3.2, 1.5},
}

// caseLetters are the usual letters of moulded tantalum cases.
var caseLetters = map[string]string{"a": "3216-18", "b": "3528-21", "c": "6032-28", "d": "7343-31", "e": "7343-43"}

// fuseBodies are the usual cartridges, diameter and length in mm. Source: IEC
// 60127-2.
var fuseBodies = [...][2]float64{{5, 20}, {6.3, 32}, {6.35, 31.75}, {6, 32}, {6, 30}}

// cylinder is the body of a round cell, in mm.
type cylinder struct{ diameter, height float64 }

// coinDiameters are the diameters in mm that the figures before the last two of
// a round cell's code stand for. Source: IEC 60086 sizes as cell makers' tables
// print them; 4, 10, 14 and 17 are from memory.
var coinDiameters = map[int]float64{4: 4.8, 5: 5.8, 6: 6.8, 7: 7.9, 9: 9.5, 10: 10, 11: 11.6, 12: 12.5, 14: 14.5,
	16: 16, 17: 17, 20: 20, 23: 23, 24: 24.5, 30: 30}

// cellBodies are the cells whose code is an ordinal and says no size. Sources:
// public size charts; the cylinders are from memory of IEC 60086-2.
var cellBodies = map[string]cylinder{
	"44": {11.6, 5.4}, "43": {11.6, 4.2}, "41": {7.9, 3.6}, "1/3n": {11.6, 10.8}, "2/3a": {17, 33.5}, "2": {15.6, 27},
	"123": {17, 34.5},
	"6":   {14.5, 50.5}, "03": {10.5, 44.5}, "14": {26.2, 50}, "20": {34.2, 61.5}, "1": {12, 30.2}, "14250": {14.5, 25},
}
