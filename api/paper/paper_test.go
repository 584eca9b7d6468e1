package paper

import (
	"bytes"
	"cmp"
	"fmt"
	"image"
	"image/jpeg"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"boardlore/domain/bench"
	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/drawing"
	"boardlore/domain/fault"
	"boardlore/domain/kit"
	"boardlore/domain/message"
	"boardlore/schema"
	"boardlore/store/storetest"
)

// load reads a demo map and, where named, a kit.
func load(t testing.TB, mapFile, kitFile string) (*Board, *kit.Report) {
	t.Helper()
	read := func(name string) []byte {
		data, err := os.ReadFile(filepath.Join("..", "..", "seeds", "documents", name))
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	m, fs := schema.ReadMap(read(mapFile))
	if m == nil {
		t.Fatal(fs)
	}
	m, err := m.Effective("")
	if err != nil {
		t.Fatal(err)
	}
	canonical, err := m.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	b := &Board{Map: m, Revision: 3, Digest: board.Digest(canonical), ReleasedAt: time.Date(2026, 3, 4, 5, 6, 7, 0,
		time.UTC), In: message.English}
	if kitFile == "" {
		return b, nil
	}
	k, fs := schema.ReadKit(read(kitFile))
	if k == nil {
		t.Fatal(fs)
	}
	r, err := kit.Reconcile(kit.Request{Map: m, Kit: k, Revision: 3, Digest: b.Digest})
	if err != nil {
		t.Fatal(err)
	}
	return b, &r
}

// pages counts the pages of a PDF.
func pages(pdf []byte) int { return bytes.Count(pdf, []byte("<</Type /Page\n")) }

// The demo kits are of an ordinary size: one page each. With
// BOARDLORE_TEST_PAPER set to a folder, what was printed is put there to be
// looked at.
func TestReports(t *testing.T) {
	for _, c := range []struct{ m, kit string }{
		{"tarn-mx12-main.3.json", "kit-right.json"}, {"tarn-mx12-main.3.json", "kit-short.json"},
		{"tarn-mx12-main.3.json", "kit-swapped.json"}, {"tarn-ps4-mains.1.json", "kit-dangerous.json"},
	} {
		b, r := load(t, c.m, c.kit)
		pdf, err := Report(b, r)
		if err != nil {
			t.Fatal(err)
		}
		if n := pages(pdf); n != 1 {
			t.Errorf("%s takes %d pages", c.kit, n)
		}
		if again, _ := Report(b, r); !bytes.Equal(pdf, again) {
			t.Errorf("%s prints differently each time", c.kit)
		}
		keep(t, c.kit, pdf)
	}
}

func TestSheets(t *testing.T) {
	for _, name := range []string{"tarn-mx12-main.3.json", "tarn-ps4-mains.1.json"} {
		b, _ := load(t, name, "")
		pdf, err := Sheet(b)
		if err != nil {
			t.Fatal(err)
		}
		if again, _ := Sheet(b); !bytes.Equal(pdf, again) || pages(pdf) == 0 {
			t.Errorf("%s prints differently each time", name)
		}
		keep(t, name, pdf)
	}
}

// TestSheetPictures: a photograph stands in the sheet with what it is, and one
// that the document can't take costs nothing but itself.
func TestSheetPictures(t *testing.T) {
	b, _ := load(t, "tarn-mx12-main.3.json", "")
	plain, err := Sheet(b)
	if err != nil {
		t.Fatal(err)
	}
	var picture bytes.Buffer
	if err := jpeg.Encode(&picture, image.NewGray(image.Rect(0, 0, 300, 200)), nil); err != nil {
		t.Fatal(err)
	}
	sum := strings.Repeat("a", 64)
	b.Pictures = []Picture{{board.Top, sum, picture.Bytes()}, {board.Bottom, sum, []byte("no picture")}, {board.Bottom, sum, nil}}
	pdf, err := Sheet(b)
	if err != nil || bytes.Count(pdf, []byte("/Subtype /Image")) != bytes.Count(plain, []byte("/Subtype /Image"))+1 {
		t.Errorf("%v, %d images, %d without", err, bytes.Count(pdf, []byte("/Subtype /Image")), bytes.Count(plain, []byte("/Subtype /Image")))
	}
	if bytes.Count(pdf, []byte("%%EOF")) != 1 || pages(pdf) < pages(plain) {
		t.Error("the sheet is not whole")
	}
}

// TestEveryLanguage: what is printed in another language differs, and names
// its language; a kit's report takes no second page for it.
func TestEveryLanguage(t *testing.T) {
	b, r := load(t, "tarn-mx12-main.3.json", "kit-right.json")
	plan, err := bench.Make(bench.Request{Map: b.Map, Scope: kit.Scope{Name: "all"}, Tool: bench.StandardTool,
		ToVolts: 5})
	if err != nil {
		t.Fatal(err)
	}
	for what, print := range map[string]func() ([]byte, error){
		"report": func() ([]byte, error) { return Report(b, r) },
		"sheet":  func() ([]byte, error) { return Sheet(b) },
		"job":    func() ([]byte, error) { return Job(b, plan) },
	} {
		seen := map[string]string{}
		for _, b.In = range message.Languages {
			pdf, err := print()
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Contains(pdf, []byte("/Lang ("+b.In.Tag+")")) || seen[string(pdf)] != "" {
				t.Errorf("the %s in %s is not in that language, or as in %q", what, b.In.Tag, seen[string(pdf)])
			}
			if what == "report" && pages(pdf) != 1 {
				t.Errorf("the report in %s takes %d pages", b.In.Tag, pages(pdf))
			}
			seen[string(pdf)] = b.In.Tag
		}
	}
}

// TestLongPaper: what a hall of parts comes to on paper is bounded, and told.
func TestLongPaper(t *testing.T) {
	m := boardtest.Big(5000)
	b := &Board{Map: m, Revision: 1, Digest: strings.Repeat("0", 64), In: message.English}
	plan, err := bench.Make(bench.Request{Map: m, Scope: kit.Scope{Name: kit.ScopeAll}, Tool: bench.StandardTool,
		ToVolts: 5})
	if err != nil {
		t.Fatal(err)
	}
	pdf, err := Sheet(b)
	if n := pages(pdf); err != nil || n < 20 || n > maxPages {
		t.Errorf("the sheet has %d pages: %v", n, err)
	}
	if _, err := Job(b, plan); !fault.Is(err, fault.Invalid) || !strings.Contains(err.Error(), "120 pages") {
		t.Errorf("the job sheet: %v", err)
	}
}

func keep(t *testing.T, name string, pdf []byte) {
	if dir := os.Getenv("BOARDLORE_TEST_PAPER"); dir != "" {
		if err := os.WriteFile(filepath.Join(dir, name+".pdf"), pdf, 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

func BenchmarkReport(b *testing.B) {
	m, r := load(b, "tarn-mx12-main.3.json", "kit-swapped.json")
	for b.Loop() {
		if _, err := Report(m, r); err != nil {
			b.Fatal(err)
		}
	}
}

// TestLettersOnPaper: on the demo's sheets no letter of a drawing is smaller
// than 6 points, the least that is read without a glass at arm's length (common
// practice).
func TestLettersOnPaper(t *testing.T) {
	for _, name := range []string{"tarn-mx12-main.3.json", "tarn-ps4-mains.2.json", "okeby-fm6-sum.1.json"} {
		b, _ := load(t, name, "")
		for _, s := range b.scenes(nil) {
			k := min(textWide/s.Width, 200/s.Height)
			least, text := math.Inf(1), ""
			size := 0.0
			for i := range s.Items {
				it := &s.Items[i]
				if it.Kind == drawing.Open && it.Size > 0 {
					size = it.Size
				}
				if it.Kind != drawing.Text {
					continue
				}
				if at := cmp.Or(it.Size, size) * k / point; at < least {
					least, text = at, it.Text
				}
			}
			if least < 6 {
				t.Errorf("%s: %q has letters of %.1f points", name, text, least)
			}
		}
	}
}

// TestLabel: a sheet with an address bears its code, and says nothing else.
func TestLabel(t *testing.T) {
	b, _ := load(t, "tarn-mx12-main.3.json", "")
	bare, err := Sheet(b)
	if err != nil {
		t.Fatal(err)
	}
	b.Address = "https://maps.example.org/b/tarn-mx12-main"
	labelled, err := Sheet(b)
	if err != nil || len(labelled) < len(bare)+500 {
		t.Errorf("%d bytes with the label, %d without: %v", len(labelled), len(bare), err)
	}
	b.Address = strings.Repeat("x", 5000) // no code holds it
	if _, err := Sheet(b); err != nil {
		t.Error(err)
	}
}

// printed is the text of a document, its pages parted by form feeds.
func printed(t *testing.T, pdf []byte) string {
	t.Helper()
	program, err := exec.LookPath("pdftotext")
	switch {
	case err != nil && storetest.Required("pdftotext"):
		t.Fatal(err)
	case err != nil:
		t.Skip("NO PDFTOTEXT: install Debian's package poppler-utils")
	}
	run := exec.CommandContext(t.Context(), program, "-layout", "-", "-")
	run.Stdin = bytes.NewReader(pdf)
	out, err := run.Output()
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// TestJobSpeaksOfTheDrawing: the job sheet tells which way round a part goes as the
// drawing shows it, or that the map does not tell, and says how a part is taken out once.
func TestJobSpeaksOfTheDrawing(t *testing.T) {
	b, _ := load(t, "tarn-mx12-main.3.json", "kit-right.json")
	plan, err := bench.Make(bench.Request{Map: b.Map, Scope: kit.Scope{Name: "all"}, Tool: bench.StandardTool,
		ToVolts: 5})
	if err != nil {
		t.Fatal(err)
	}
	pdf, err := Job(b, plan)
	if err != nil {
		t.Fatal(err)
	}
	text := printed(t, pdf)
	if at := regexp.MustCompile(`\d°([^C]|$)`).FindString(text); at != "" {
		t.Errorf("a direction in degrees: %q", at)
	}
	for _, words := range []string{"minus down as drawn", "as for ", "not in the map"} {
		if !strings.Contains(text, words) {
			t.Errorf("%q is not on the sheet:\n%s", words, text)
		}
	}
}

// TestTablesKeepTogether: wherever a table begins on a page, its heading stands above its
// first row, and the heads of its columns above the rows of every page.
func TestTablesKeepTogether(t *testing.T) {
	b, _ := load(t, "tarn-mx12-main.3.json", "kit-right.json")
	d := newDocument(b, "Tables", 9)
	const tables = 20
	for n := range tables {
		d.AddPage()
		d.SetY(pageEnd - float64(n)*d.line())
		row := func(k int) []string {
			return []string{"", fmt.Sprintf("R%d.%d", n, k), "10 µF", strings.Repeat("Fresh solder on both leads. ", 12), ""}
		}
		d.table(fmt.Sprintf("Table %d of all", n), "What it is about.", removalColumns, [][]string{row(1), row(2), row(3)})
	}
	pdf, err := d.bytes()
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for page := range strings.SplitSeq(printed(t, pdf), "\f") {
		for n := range tables {
			switch {
			case strings.Contains(page, fmt.Sprintf("Table %d of all", n)):
				if seen++; !strings.Contains(page, fmt.Sprintf("R%d.1", n)) {
					t.Errorf("the heading of table %d stands alone", n)
				}
				fallthrough
			case strings.Contains(page, fmt.Sprintf("R%d.", n)):
				if !strings.Contains(page, "Found, measured") {
					t.Errorf("rows of table %d stand below no heads", n)
				}
			}
		}
	}
	if seen != tables {
		t.Errorf("%d of %d tables", seen, tables)
	}
}
