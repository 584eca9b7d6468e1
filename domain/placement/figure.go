package placement

import (
	"math"
	"strconv"
	"strings"
	"unicode"

	"boardlore/domain/list"
)

// figures reads the numbers of a list with one decimal sign for the whole
// list, since a program writes all of them alike.
type figures struct {
	comma bool // the decimal sign is a comma
}

// decide finds the decimal sign of the texts; sure is false where they read
// both ways ("1,234" with no other sign anywhere).
func decide(texts []string) (f figures, sure bool) {
	points, commas, lastComma, open := 0, 0, 0, 0
	for _, t := range texts {
		p, c := strings.LastIndexByte(t, '.'), strings.LastIndexByte(t, ',')
		if p >= 0 {
			points++
		}
		if c < 0 {
			continue
		}
		commas++
		switch {
		case c > p && p >= 0:
			lastComma++
		case p < 0 && !grouped(t, c):
			lastComma++
		case p < 0:
			open++
		}
	}
	switch {
	case lastComma > 0:
		return figures{comma: true}, true
	case points > 0 || commas == 0:
		return figures{}, true
	}
	return figures{comma: true}, open == 0
}

// grouped says whether the comma at c could part thousands: three digits
// follow and one to three digits other than a lone zero stand before.
func grouped(t string, c int) bool {
	tail := strings.TrimRightFunc(t[c+1:], func(r rune) bool { return !unicode.IsDigit(r) })
	head := strings.TrimLeft(t[:c], "+-")
	return len(tail) == 3 && head != "0" && head != ""
}

// read reads one cell and the unit written in it, "" where there is none.
func (f figures) read(text string) (v float64, unit string, ok bool) {
	t := strings.TrimSpace(text)
	end := strings.LastIndexFunc(t, func(r rune) bool { return unicode.IsDigit(r) || r == '.' || r == ',' }) + 1
	if tail := list.Fold(t[end:]); tail != "" && tail != "deg" {
		u, known := units[tail]
		if !known {
			return 0, "", false
		}
		unit = u
	}
	t = strings.NewReplacer(" ", "", "\u00a0", "", "\u2009", "", "'", "", "\u2212", "-").Replace(t[:end])
	if f.comma {
		t = strings.ReplaceAll(strings.ReplaceAll(t, ".", ""), ",", ".")
	} else {
		t = strings.ReplaceAll(t, ",", "")
	}
	if strings.ContainsAny(t, "eExXpP_") {
		return 0, "", false
	}
	v, err := strconv.ParseFloat(t, 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, "", false
	}
	return v, unit, true
}

// millimetres converts a length; a tenth of a micrometre is far below what any
// list means, and rounding there keeps inches from growing tails.
func millimetres(v float64, unit string) float64 {
	switch unit {
	case "inch":
		v *= 25.4
	case "mil":
		v *= 0.0254
	}
	return round(v)
}

func round(v float64) float64 { return math.Round(v*1e4) / 1e4 }
