package list

import (
	"bytes"
	"encoding/csv"
	"strings"
	"unicode"
)

// CSV writes rows as RFC 4180 text. A cell that a spreadsheet would take for a
// formula gets an apostrophe before it, also where white space or a full-width
// sign is meant to hide that; a plain number stays one.
func CSV(rows [][]string) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	for _, row := range rows {
		cells := make([]string, len(row))
		for i, c := range row {
			cells[i] = plainCell(c)
		}
		w.Write(cells) // a bytes.Buffer takes everything
	}
	w.Flush()
	return b.Bytes()
}

func plainCell(s string) string {
	bare := strings.TrimLeftFunc(s, func(r rune) bool { return unicode.IsSpace(r) || !unicode.IsPrint(r) })
	if strings.HasPrefix(s, "\t") || strings.HasPrefix(s, "\r") || strings.IndexAny(bare, "=+-@＝＋－＠−") == 0 &&
		!isNumber(s) {
		return "'" + s
	}
	return s
}

// isNumber reports a number as programs write it, such as -0.5.
func isNumber(s string) bool {
	digits := strings.TrimPrefix(s, "-")
	return digits != "" && strings.Trim(digits, "0123456789.") == "" && strings.Count(digits, ".") < 2 && digits != "."
}
