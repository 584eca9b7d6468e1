package paper

import "rsc.io/qr"

// The label with the board's address, in millimetres.
const (
	labelWide  = 26.0
	labelQuiet = 4.0 // modules of white that a reader needs around the code (ISO/IEC 18004)
)

// label draws an address as a QR code in the upper right corner, for cutting
// out and sticking inside the cover, with the address in letters below.
func (d *document) label(address string) {
	if address == "" {
		return
	}
	code, err := qr.Encode(address, qr.M)
	if err != nil {
		return // longer than any code holds; the sheet bears the board's ID at its foot
	}
	module := (labelWide - 4) / (float64(code.Size) + 2*labelQuiet)
	x, y := pageWide-pageMargin-labelWide+2, pageMargin-labelQuiet*module
	d.SetFillColor(0, 0, 0)
	for r := range code.Size {
		for c := range code.Size {
			if code.Black(c, r) {
				d.Rect(x+(float64(c)+labelQuiet)*module, y+(float64(r)+labelQuiet)*module, module, module, "F")
			}
		}
	}
	at := d.GetY()
	d.style("", 6)
	d.SetXY(pageWide-pageMargin-3*labelWide, y+labelWide-4)
	d.CellFormat(3*labelWide, 3, address, "", 0, "R", false, 0, "")
	d.SetXY(pageMargin, at)
}
