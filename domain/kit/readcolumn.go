package kit

import (
	"regexp"
	"strconv"
	"strings"

	"boardlore/domain/list"
	"boardlore/domain/quantity"
)

func exactly(heading string) bool { return list.PartsHeading(list.Fold(heading)) != list.None }
func roughly(string) bool         { return true }

func isAnything(string) bool { return true }

// isPart reports whether a cell tells something of a part.
func (r *listReader) isPart(text string) bool {
	_, err := r.known.readPart(text, quantity.Context{Found: "list"})
	return err == nil && !bareNumber.MatchString(text)
}

// settle decides by its cells what an unsure column is for.
func (r *listReader) settle(i int) list.Heading {
	switch {
	case r.designators < 0 && r.all(i, isDesignators):
		r.designators = i
		return list.Designator
	case r.all(i, isCount):
		if r.number < 0 {
			r.number = i
		}
		return list.Number
	}
	return list.Text
}

// guess finds the columns of a list without headings by their cells; a list
// of one text a line has just one column.
func (r *listReader) guess() {
	if len(r.table.Rows) == 0 {
		return // rulings alone
	}
	if r.table.Delimiter == 0 {
		r.texts = []textColumn{{at: 0}}
		return
	}
	if rest := r.table.Rows[1:]; len(rest) > 0 && r.strange() {
		r.problem(r.table.Rows[0].Line, strings.Join(r.table.Rows[0].Cells, " "), "kit.taken-headings-which-none")
		r.table.Rows = rest
	}
	var counts []int
	for i := range r.table.Rows[0].Cells {
		switch {
		case r.all(i, isCount):
			counts = append(counts, i)
		case r.designators < 0 && r.all(i, isDesignators):
			r.designators = i
		default:
			r.texts = append(r.texts, textColumn{at: i})
		}
	}
	if len(counts) > 1 && r.running(counts[0]) {
		r.number, counts = counts[0], counts[1:]
	}
	if len(counts) > 0 {
		r.quantity = counts[0]
	}
}

// strange reports whether the first row holds headings in words that are not
// known: nothing in it is a part or a number, and below it some column counts.
func (r *listReader) strange() bool {
	for _, c := range r.table.Rows[0].Cells {
		if strings.ContainsAny(c, "0123456789") || r.isPart(c) {
			return false
		}
	}
	below := listReader{table: list.Table{Rows: r.table.Rows[1:]}}
	for i := range r.table.Rows[0].Cells {
		if below.all(i, isCount) || below.all(i, isDesignators) {
			return true
		}
	}
	return false
}

// sampled is how many rows a column is told by: reading every cell of a wide
// table as a part would be dear.
const sampled = 30

// all reports whether a test holds for every cell of a column that has
// something in it, and for one at least.
func (r *listReader) all(column int, test func(string) bool) bool {
	some := false
	for i := range r.table.Rows[:min(len(r.table.Rows), sampled)] {
		c := cell(&r.table.Rows[i], column)
		if c == "" {
			continue
		}
		if !test(c) {
			return false
		}
		some = true
	}
	return some
}

// running reports whether a column counts 1, 2, 3 …
func (r *listReader) running(column int) bool {
	for i := range r.table.Rows {
		if cell(&r.table.Rows[i], column) != strconv.Itoa(i+1) {
			return false
		}
	}
	return true
}

func cell(r *list.Row, column int) string {
	if column < 0 || column >= len(r.Cells) {
		return ""
	}
	return r.Cells[column]
}

var (
	countText  = regexp.MustCompile(`(?i)^(\d{1,6})(?:[.,]0+)?\s*(?:x|×|\*|pcs?|pieces?|ea|off|stk|st|stück|stueck|pi[eè]ces?|個|本|枚|шт|szt|stuks?|pz|uds?)?\.?$`)
	leading    = regexp.MustCompile(`(?i)^(\d{1,6})\s*(?:x|×|\*|pcs|pieces|off|stk|st|stück|stueck|pi[eè]ces?)\.?\s`)
	designator = regexp.MustCompile(`^[A-Za-z]{1,4}\d{1,5}[A-Za-z]?$`)
	trailing   = regexp.MustCompile(`(?i)\pL\s+(?:x|×|\*)\s*(\d{1,6}) $`) // not the 5 x 11 of an outside
	bareNumber = regexp.MustCompile(`^[+-]?\d+(?:[.,]\d+)?$`)
)

func count(text string) (int, bool) {
	m := countText.FindStringSubmatch(text)
	if m == nil {
		return 0, false
	}
	n, err := strconv.Atoi(m[1])
	return n, err == nil && n <= maxQuantity
}

func isCount(text string) bool { _, ok := count(text); return ok }

func isDesignators(text string) bool {
	ds, err := list.Designators(text)
	if err != nil || len(ds) == 0 {
		return false
	}
	const enough = 20 // of a range all look alike
	for _, d := range ds[:min(len(ds), enough)] {
		if !designator.MatchString(d) {
			return false
		}
	}
	return true
}
