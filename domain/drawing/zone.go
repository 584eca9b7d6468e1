package drawing

import (
	"math"
	"strconv"

	"boardlore/domain/board"
)

// The longer side of a board is divided into this many zones, the shorter one
// so that zones come out nearly square.
const zonesLong = 5

// zoneStrip is the width in sheet units that zones' names take of the sheet.
const zoneStrip = 20.0

// Zone names the part of the board that a position lies in, as drawings of
// large sheets do: a number for the row from the top, a letter for the column
// from the left as seen from the top side. The row comes first, so that no zone
// reads as a designator. A zone belongs to the board, not to the view: turned
// over left to right, the letters run from right to left.
func Zone(f *board.Frame, p *board.Position) string {
	w, h := frame(f)
	cols, rows := zones(w, h)
	return zoneName(index(1-sound(p.Y)/h, rows), index(sound(p.X)/w, cols))
}

func zoneName(row, col int) string { return strconv.Itoa(row+1) + column(col) }

func zones(w, h float64) (cols, rows int) {
	share := func(a, b float64) int {
		return max(1, int(math.Round(zonesLong*math.Min(1, a/b))))
	}
	return share(w, h), share(h, w)
}

func index(x float64, n int) int { return min(max(int(x*float64(n)), 0), n-1) }

func column(i int) string { return string(rune('A' + i)) }

// drawZones writes the zones' names along the upper and left edge of the
// board, with ticks between them.
func (l *layout) drawZones() {
	cols, rows := zones(l.size.X, l.size.Y)
	x0, y0 := l.origin.X, l.origin.Y-l.size.Y
	const size = zoneStrip * 0.65
	text := func(s string, x, y float64) {
		l.s.add(Item{Kind: Text, Ink: InkZone, Center: Point{x, y}, Size: size, Text: s, Width: textWidth(s, size)})
	}
	w, h := l.size.X/float64(cols), l.size.Y/float64(rows)
	up, left := l.area.y0+size, l.area.x0+size*.6
	for i := range cols {
		x := x0 + float64(i)*w
		text(column(l.seen(i, cols)), x+w/2, up)
		if i > 0 {
			l.s.lines(InkZone, Point{x, up - size*.8}, Point{x, up + size*.4})
		}
	}
	for i := range rows {
		y := y0 + float64(i)*h
		text(strconv.Itoa(i+1), left, y+h/2+size*.36)
		if i > 0 {
			l.s.lines(InkZone, Point{left - size*.5, y}, Point{left + size*.5, y})
		}
	}
}
