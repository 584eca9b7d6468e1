package part

import "boardlore/domain/quantity"

// clampRow is a row of metal oxide varistors: the highest alternating voltage
// that they work at, and what stands across them at 1 mA, in volts. Source:
// makers' data sheets of the disc series 14D180K to 14D112K, which all print the
// same rows.
var clampRow = func() (row [][2]quantity.Quantity) {
	for _, r := range [...][2]int64{{11, 18}, {14, 22}, {17, 27}, {20, 33}, {25, 39}, {30, 47}, {35, 56}, {40, 68},
		{50, 82}, {60, 100}, {75, 120},
		{95, 150}, {115, 180}, {130, 200}, {140, 220}, {150, 240}, {175, 270}, {210, 330}, {230, 360}, {250, 390},
		{275, 430}, {300, 470},
		{320, 510}, {385, 620}, {420, 680}, {460, 750}, {485, 780}, {510, 820}, {550, 910}, {625, 1000}, {680, 1100}} {
		row = append(row, [2]quantity.Quantity{mustQ(r[0], 0, quantity.Volt), mustQ(r[1], 0, quantity.Volt)})
	}
	return row
}()

// clamping fills in what stands across a varistor at 1 mA where only the
// alternating voltage is said that it works at.
func (c *Candidate) clamping() {
	if !c.Value.IsZero() {
		return
	}
	for _, r := range clampRow {
		if c.Voltage == r[0] {
			c.Value = r[1]
		}
	}
}
