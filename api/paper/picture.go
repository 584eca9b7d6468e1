package paper

import (
	"bytes"

	"codeberg.org/go-pdf/fpdf"

	"boardlore/domain/board"
)

// Picture is a photograph of one side, laid flat onto the board's frame.
type Picture struct {
	Side   board.Side
	SHA256 string // of the photograph that was laid flat
	JPEG   []byte
}

// pictures puts each on the page as wide as the text, or as tall as a page has
// room, with what it is below it. A picture that the document can't take is left
// out: the sheet is of use without it.
func (d *document) pictures(ps []Picture) {
	for _, p := range ps {
		info := d.RegisterImageOptionsReader(p.SHA256+string(p.Side), fpdf.ImageOptions{ImageType: "JPEG"}, bytes.NewReader(p.JPEG))
		if d.Err() || info.Width() <= 0 || info.Height() <= 0 {
			d.ClearError()
			continue
		}
		const most = 230.0
		wide := min(textWide, most*info.Width()/info.Height())
		tall := wide * info.Height() / info.Width()
		d.room(tall + 3*d.line())
		d.heading(d.say("paper.photograph." + string(p.Side)))
		d.ImageOptions(p.SHA256+string(p.Side), pageMargin+(textWide-wide)/2, d.GetY(), wide, tall, false,
			fpdf.ImageOptions{ImageType: "JPEG"}, 0, "")
		d.SetY(d.GetY() + tall + 1)
		d.text("", d.say("paper.photograph-told", p.SHA256[:min(len(p.SHA256), 16)]))
	}
}
