// Package list reads the lists that people keep of parts: delimited text out
// of spreadsheets and assembly tools, or plain lines. Such files don't say how
// they were written; encoding, delimiter and the line of headings have to be
// found out, and nothing that stands in them may get lost on the way.
package list

import (
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strings"
	"unicode"

	"boardlore/domain/message"
)

// Table is a list taken apart into rows and cells.
type Table struct {
	Header    []string // headings, trimmed; nil where the list has none
	Line      int      // line of the headings, from 1; 0 where there are none
	Rows      []Row    // all rows but headings, skipped and blank ones
	Skipped   []Row    // rows above the headings, and remarks (rows that begin with # or //)
	Delimiter rune     // comma, semicolon, tab, bar, space (columns lined up by blanks) or 0: one text a line
	Encoding  string   // utf-8, utf-16le, utf-16be or windows-1252
	Problems  []Problem
	Limit     message.Message // the limit that the text breaks; then it was not read
}

// Row is one row of a list.
type Row struct {
	Line  int      // line of the text that the row begins on, from 1
	Cells []string // trimmed
}

// Problem is a place that could be read only by stretching the rules of its
// format.
type Problem struct {
	Line   int             // line of the text, from 1
	Text   string          // what stands there
	Reason message.Message // what is wrong and what was done
}

// delimiters in the order in which they win a draw: a tab or semicolon hardly
// ever stands in a cell, a comma often does.
var delimiters = []rune{'\t', ';', '|', ','}

// Read takes a list apart. It never fails: what it can't make columns of
// becomes one cell a line.
func Read(data []byte) Table {
	if len(data) > MaxBytes {
		return Table{Limit: message.Of("lists.bytes", MaxBytes>>20)}
	}
	text, enc := Decode(data)
	if l := limit(text); !l.IsZero() {
		return Table{Encoding: enc, Limit: l}
	}
	lines := split(text)
	t := best(text, lines)
	t.Encoding = enc
	return t
}

// Limits of a list; they are checked before it is taken apart.
const (
	MaxBytes   = 4 << 20
	MaxRows    = 20_000
	maxLine    = 64 << 10 // bytes of one line of the text: a row of 5,000 designators takes half of it
	maxColumns = 200
	maxCells   = 400_000 // a placement list of the most rows has half of it
)

// limit counts what would be dear to take apart.
func limit(text string) message.Message {
	if n := strings.Count(text, "\n"); n > MaxRows {
		return message.Of("lists.rows", n, MaxRows)
	}
	if n := strings.Count(text, ","); n > maxCells {
		return message.Of("lists.commas", n, maxCells)
	}
	at := 1
	for l := range strings.SplitSeq(text, "\n") {
		if len(l) > maxLine {
			return message.Of("lists.line-long", at, maxLine>>10)
		}
		for _, d := range "\t;|" {
			if n := strings.Count(l, string(d)); n > maxColumns {
				return message.Of("lists.columns", at, n+1, maxColumns)
			}
		}
		at++
	}
	return message.Message{}
}

// best picks the way of reading that finds the most headings; without any,
// the delimiter that cuts every line into as many cells.
func best(text string, lines []string) Table {
	var found Table
	most := 1 // one heading alone may be chance
	present := slices.DeleteFunc(slices.Clone(delimiters), func(d rune) bool { return !strings.ContainsRune(text, d) })
	for _, d := range present {
		rows, problems := cut(text, lines, d)
		if at, n := headings(rows); n > most {
			found, most = assemble(rows, at, d), n
			found.Problems = problems
		}
	}
	if aligned := columns(lines); aligned != nil {
		if at, n := headings(aligned); n > most && even(aligned[at:]) {
			return assemble(aligned, at, ' ')
		}
	}
	if most > 1 {
		return found
	}
	for _, d := range present {
		if rows, problems := cut(text, lines, d); regular(rows, text, d) {
			t := Table{Delimiter: d, Problems: problems}
			t.sort(rows)
			return t
		}
	}
	rows := singleCells(lines)
	if len(rows) > 1 && isHeading(rows[0].Cells[0]) {
		return assemble(rows, 0, 0)
	}
	var t Table
	t.sort(rows)
	return t
}

// sort keeps rows, and remarks apart from them.
func (t *Table) sort(rows []Row) {
	for _, r := range rows {
		if remark(r) {
			t.Skipped = append(t.Skipped, r)
			continue
		}
		t.Rows = append(t.Rows, r)
	}
}

// remarkSigns begin the remarks of a list.
const remarkSigns = "#!;"

func remark(r Row) bool {
	c := r.Cells[0]
	return c != "" && strings.ContainsRune(remarkSigns, rune(c[0])) || strings.HasPrefix(c, "//")
}

// assemble makes a table of rows whose headings stand at index at.
func assemble(rows []Row, at int, d rune) Table {
	t := Table{Header: rows[at].Cells, Line: rows[at].Line, Delimiter: d, Skipped: rows[:at:at]}
	t.Header[0] = strings.TrimSpace(strings.TrimLeft(t.Header[0], remarkSigns))
	t.sort(rows[at+1:])
	if len(t.Header) > 1 && t.Header[0] == "" && t.shorter() { // a remark's own semicolon is no delimiter
		t.Header = t.Header[1:]
	}
	return t
}

// shorter reports whether every row has one cell less than there are headings.
func (t *Table) shorter() bool {
	return len(t.Rows) > 0 && !slices.ContainsFunc(t.Rows, func(r Row) bool { return len(r.Cells) != len(t.Header)-1 })
}

// regular reports whether a delimiter without headings cuts every row into the
// same number of cells. A comma may be a decimal sign, so that it has to do so
// twice in each row, or beside quotes.
func regular(rows []Row, text string, d rune) bool {
	rows = slices.DeleteFunc(slices.Clone(rows), remark)
	if len(rows) == 0 {
		return false
	}
	n := len(rows[0].Cells)
	if n < 2 || n > maxColumns || d == ',' && n < 3 && !strings.Contains(text, `"`) {
		return false
	}
	for _, r := range rows {
		if len(r.Cells) != n {
			return false
		}
	}
	return true
}

// cut splits the text at a delimiter by RFC 4180. Where the quotes don't close,
// each line is cut by itself, so that one stray quote can't swallow the rest.
func cut(text string, lines []string, d rune) ([]Row, []Problem) {
	rows, err := records(text, d, 0)
	if err == nil {
		return rows, nil
	}
	var at *csv.ParseError
	var problems []Problem
	if errors.As(err, &at) && at.StartLine <= len(lines) {
		problems = append(problems, Problem{Line: at.StartLine, Text: lines[at.StartLine-1],
			Reason: message.Of("lists.quotes-open")})
	}
	rows = nil
	for i, l := range lines {
		if strings.Contains(l, `"`) {
			if one, err := records(l, d, i); err == nil {
				rows = append(rows, one...)
				continue
			}
		}
		if cells := trim(strings.Split(l, string(d))); !blank(cells) {
			rows = append(rows, Row{Line: i + 1, Cells: cells})
		}
	}
	return rows, problems
}

// records reads delimited text that begins after `above` lines; blank rows
// are left out.
func records(text string, d rune, above int) ([]Row, error) {
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.FieldsPerRecord, r.TrimLeadingSpace = d, -1, d != '\t'
	var rows []Row
	for {
		cells, err := r.Read()
		if len(cells) == 0 {
			if err == nil {
				continue
			}
			if errors.Is(err, io.EOF) {
				err = nil
			}
			return rows, err
		}
		if err != nil {
			return nil, err
		}
		line, _ := r.FieldPos(0)
		if cells = trim(cells); !blank(cells) {
			rows = append(rows, Row{Line: line + above, Cells: cells})
		}
	}
}

// columns splits lines at runs of blanks, nil where no line has two. The marks
// before a remark stay with its first word.
func columns(lines []string) []Row {
	var rows []Row
	wide := false
	for i, l := range lines {
		bare := strings.TrimLeft(l, remarkSigns)
		f := strings.Fields(bare)
		if len(f) == 0 {
			continue
		}
		if bare != l {
			f[0] = l[:1] + f[0]
		}
		wide = wide || len(f) > 1
		rows = append(rows, Row{Line: i + 1, Cells: f})
	}
	if !wide {
		return nil
	}
	return rows
}

// even reports whether the rows below the headings have as many cells as
// these; only then do blanks stand for columns.
func even(rows []Row) bool {
	n := 0
	for _, r := range rows[1:] {
		if remark(r) {
			continue
		}
		if len(r.Cells) != len(rows[0].Cells) {
			return false
		}
		n++
	}
	return n > 0
}

// singleCells makes one cell of every line that isn't blank.
func singleCells(lines []string) []Row {
	var rows []Row
	for i, l := range lines {
		if l = strings.TrimSpace(l); l != "" {
			rows = append(rows, Row{Line: i + 1, Cells: []string{l}})
		}
	}
	return rows
}

// split cuts text into its lines, as csv counts them.
func split(text string) []string {
	lines := strings.Split(text, "\n")
	for i, l := range lines {
		lines[i] = strings.TrimSuffix(l, "\r")
	}
	return lines
}

func trim(cells []string) []string {
	for i, c := range cells {
		cells[i] = strings.TrimFunc(c, func(r rune) bool { return unicode.IsSpace(r) || r == '\ufeff' || r == 0 })
	}
	return cells
}

func blank(cells []string) bool {
	for _, c := range cells {
		if c != "" {
			return false
		}
	}
	return true
}
