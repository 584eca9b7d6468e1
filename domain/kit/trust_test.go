package kit

import (
	"os"
	"strconv"
	"strings"
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/quantity"
)

// TestHostileLines holds lines and lists that ask for a second look: what is taken as it stands is what was meant, and
// most are read right or told.
func TestHostileLines(t *testing.T) {
	for _, file := range []string{"hostile.txt", "tables.txt", "odd.txt", "shops.txt"} {
		data, err := os.ReadFile("testdata/lists/" + file)
		if err != nil {
			t.Fatal(err)
		}
		rows, right := 0, 0
		judge := func(text string, k *Kit, i int, told bool, want string) {
			rows++
			got, sure, fits := rowOf(k, i, told, want)
			switch {
			case fits:
				right++
			case sure:
				t.Errorf("%s: taken as it stands, and wrong: %s\n got  %s\n want %s", file, text, got, want)
			default:
				t.Logf("%s: told, not read: %s\n got  %s\n want %s", file, text, got, want)
			}
		}
		for _, l := range listsOf(string(data)) {
			k, problems := ReadList([]byte(l.text))
			told := map[int]bool{}
			for _, p := range problems {
				told[p.Line] = true
			}
			for i, want := range l.want {
				line := i + 1
				if i < len(k.Lines) {
					line = k.Lines[i].Number
				}
				judge(l.text, k, i, told[line] || told[1], want)
			}
		}
		t.Logf("%s: of %d rows %d are right", file, rows, right)
		if right*20 < rows*17 {
			t.Errorf("%s: of %d rows only %d are right", file, rows, right)
		}
	}
}

// writtenList is a list with what is wanted of each of its rows.
type writtenList struct {
	text string
	want []string
}

// listsOf takes a file apart: lines with => are lists of one line, others stand under ## with their rows below.
func listsOf(data string) (all []writtenList) {
	for row := range strings.Lines(data) {
		switch {
		case strings.HasPrefix(row, "# "), strings.TrimSpace(row) == "":
		case strings.HasPrefix(row, "## "):
			all = append(all, writtenList{})
		case strings.HasPrefix(row, "=> "):
			all[len(all)-1].want = append(all[len(all)-1].want, strings.TrimSpace(row[3:]))
		default:
			if text, want, ok := strings.Cut(strings.TrimSpace(row), " => "); ok {
				all = append(all, writtenList{text + "\n", []string{want}})
			} else {
				all[len(all)-1].text += row
			}
		}
	}
	return all
}

// rowOf says what row i of a list gives, whether it would be taken as it stands, and whether that is what was wanted.
func rowOf(k *Kit, i int, told bool, want string) (got string, sure, fits bool) {
	cols := strings.Split(want, "|")
	count, labels := strings.TrimSpace(cols[0]), strings.Fields(cols[1])
	if i >= len(k.Lines) {
		return "no line", !told, count == "-" || count == "?" && told
	}
	r := reader{m: &board.Map{}, names: newNames(&board.Map{}), context: quantity.Context{Found: "list"}}
	l := r.lines(k)[i]
	read := "nothing read"
	if l.offer != nil {
		read = l.offer.Part.String()
	}
	got = strconv.Itoa(l.Quantity) + " | " + strings.Join(l.named, " ") + " | " + read
	sure = l.sure && !told && l.Quantity > 0
	if count == "?" {
		return got, sure, !sure
	}
	fits = strconv.Itoa(l.Quantity) == count && (len(labels) == 0 || strings.Join(l.named, " ") == strings.Join(labels,
		" "))
	for _, piece := range pieces(cols[2]) {
		fits = fits && strings.Contains(read, strings.TrimSpace(piece))
	}
	return got, sure, fits
}

// TestDoubts: lines of a kit that are not sure whatever board it is for are told, labelled ones too; what the letters of a
// designator settle is not.
func TestDoubts(t *testing.T) {
	for text, told := range map[string]bool{
		"47 µF 16 V": false, "C1: 47 µF 16 V": false, "R1-R4 4k7": false, "C3 100n 50V": false, "F1: T2A 250V": false,
		"8 µF 450/500 V": true, "fuse T1A or F1A": true, "C1: 100nF 275VAC X2?": true, "F1: T1A or T2A": true,
		"C2 22µF 16V or 25V": true,
	} {
		k := &Kit{Lines: []Line{{Number: 1, Quantity: 1, Text: text}}}
		if got := Doubts(k); len(got) > 0 != told {
			t.Errorf("%s: %+v", text, got)
		}
	}
}
