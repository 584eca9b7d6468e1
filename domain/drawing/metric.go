package drawing

import "unicode/utf8"

// advance holds the widths of the characters from space to tilde in
// thousandths of the em, as the Helvetica family and the typefaces cut to
// match it have them (Adobe core font metrics).
var advance = [95]int16{
	278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278,
	556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556,
	1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778,
	667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556,
	333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556,
	556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
}

// textWidth is the width of s in sheet units at a letter size.
func textWidth(s string, size float64) float64 {
	n := 0
	for _, r := range s {
		switch {
		case r >= ' ' && r <= '~':
			n += int(advance[r-' '])
		case r < 0x2000:
			n += 600
		default:
			n += 1000
		}
	}
	return float64(n) * size / 1000
}

// fit shortens s, first by smaller letters down to two thirds, then by leaving
// off its end, until it is no wider than room.
func fit(s string, size, room float64) (string, float64) {
	w := textWidth(s, size)
	if w <= room {
		return s, size
	}
	const least = 0.67
	if w*least <= room {
		return s, size * room / w
	}
	size *= least
	for s != "" && textWidth(s+"…", size) > room {
		_, n := utf8.DecodeLastRuneInString(s)
		s = s[:len(s)-n]
	}
	return s + "…", size
}
