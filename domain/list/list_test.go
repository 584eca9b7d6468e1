package list

import (
	"encoding/binary"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"boardlore/domain/message"
)

// The files in testdata give facts of real boards in the manners of assembly
// tools; row counts are those of their description.
func TestReadFiles(t *testing.T) {
	for _, c := range []struct {
		file, encoding string
		delimiter      rune
		rows           int
		header, last   []string
	}{
		{"01_quoted_mm.csv", "utf-8", ',', 15, []string{"Ref", "Val", "Package", "PosX", "PosY", "Rot", "Side"}, nil},
		{"02_mil_crlf.csv", "utf-8", ',', 189, []string{"Designator", "Comment", "Layer", "Footprint", "Center-X(mil)",
			"Center-Y(mil)", "Rotation", "Description"}, nil},
		{"03_semicolon_decimal_comma_bommark.csv", "utf-8", ';', 89, []string{"Designator", "Mid X (mm)", "Mid Y (mm)",
			"Layer", "Rotation", "Comment"}, nil},
		{"04_tab_inch.txt", "utf-8", '\t', 24, []string{"RefDes", "X(in)", "Y(in)", "Rot", "Layer", "PartValue",
			"PartDecal"}, nil},
		{"05_bom_grouped.csv", "utf-8", ',', 24, []string{"Item", "Qty", "Reference(s)", "Value", "Footprint"},
			[]string{"24", "2", "U3,U4", "LM358N", "DIP-8_W7.62mm_LongPads"}},
		{"06_bom_latin1_semicolon.csv", "windows-1252", ';', 11, []string{"Menge", "Bezeichner", "Wert", "Gehäuse"},
			[]string{"2", "U1, U2", "74LS125", "DIP-14_W7.62mm_LongPads"}},
	} {
		t.Run(c.file, func(t *testing.T) {
			data, err := os.ReadFile("testdata/" + c.file)
			if err != nil {
				t.Fatal(err)
			}
			got := Read(data)
			if got.Encoding != c.encoding || got.Delimiter != c.delimiter || len(got.Rows) != c.rows ||
				len(got.Problems) > 0 || len(got.Skipped) > 0 {
				t.Errorf("%s %q, %d rows, problems %v, skipped %v; want %s %q, %d rows",
					got.Encoding, got.Delimiter, len(got.Rows), got.Problems, got.Skipped, c.encoding, c.delimiter,
					c.rows)
			}
			if d := cmp.Diff(c.header, got.Header); d != "" {
				t.Error(d)
			}
			if c.last != nil {
				if d := cmp.Diff(c.last, got.Rows[len(got.Rows)-1].Cells); d != "" {
					t.Error(d)
				}
			}
		})
	}
}

func TestRead(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		want Table
	}{
		"empty": {"", Table{}},
		"plain lines": {"4 x 47uF 6.3V SMD\r\n\r\n2x 100n, 50V\n", Table{Rows: []Row{
			{1, []string{"4 x 47uF 6.3V SMD"}}, {3, []string{"2x 100n, 50V"}}}}},
		"decimal commas are no columns": {"2 x 4,7uF 50V\n1 x 2,2uF 50V\n", Table{Rows: []Row{
			{1, []string{"2 x 4,7uF 50V"}}, {2, []string{"1 x 2,2uF 50V"}}}}},
		"no headings": {"4;4,7uF;C1\n1;10uF;C2\n", Table{Delimiter: ';', Rows: []Row{
			{1, []string{"4", "4,7uF", "C1"}}, {2, []string{"1", "10uF", "C2"}}}}},
		"one heading": {"Description\n4 x 47uF\n", Table{Header: []string{"Description"}, Line: 1, Rows: []Row{
			{2, []string{"4 x 47uF"}}}}},
		"remarks above": {"Kit for the mixer\n# made in spring\n\nMenge;Wert\n3;47µF\n#4;10µF\n", Table{
			Header: []string{"Menge", "Wert"}, Line: 4, Delimiter: ';', Rows: []Row{{5, []string{"3", "47µF"}}},
			Skipped: []Row{{1, []string{"Kit for the mixer"}}, {2, []string{"# made in spring"}},
				{6, []string{"#4", "10µF"}}}}},
		"quoted cell over two lines": {"Qty,Description\n2,\"47uF,\n6.3V\"\n1,x\n", Table{
			Header: []string{"Qty", "Description"}, Line: 1, Delimiter: ',', Rows: []Row{
				{2, []string{"2", "47uF,\n6.3V"}}, {4, []string{"1", "x"}}}}},
		"stray quote": {"Qty,Value,Note\n2,\"47uF,see\n1,10uF,ok\n", Table{
			Header: []string{"Qty", "Value", "Note"}, Line: 1, Delimiter: ',', Rows: []Row{
				{2, []string{"2", "\"47uF", "see"}}, {3, []string{"1", "10uF", "ok"}}},
			Problems: []Problem{{2, "2,\"47uF,see", message.Of("lists.quotes-open")}}}},
		"lined up by blanks": {"### positions\n# Ref   Val   PosX\nC1  10uF  1.0\nR2  1k    2.0\n## End\n", Table{
			Header: []string{"Ref", "Val", "PosX"}, Line: 2, Delimiter: ' ', Rows: []Row{
				{3, []string{"C1", "10uF", "1.0"}}, {4, []string{"R2", "1k", "2.0"}}},
			Skipped: []Row{{1, []string{"#positions"}}, {5, []string{"#End"}}}}},
	} {
		t.Run(name, func(t *testing.T) {
			c.want.Encoding = "utf-8"
			if d := cmp.Diff(c.want, Read([]byte(c.text)), cmpopts.EquateEmpty()); d != "" {
				t.Error(d)
			}
		})
	}
}

func TestDecode(t *testing.T) {
	text := "Menge;Wert\n4;10 µF ±5 %\n"
	wide := func(order binary.AppendByteOrder, mark bool) []byte {
		var out []byte
		if mark {
			out = order.AppendUint16(out, 0xfeff)
		}
		for _, u := range utf16.Encode([]rune(text)) {
			out = order.AppendUint16(out, u)
		}
		return out
	}
	for name, c := range map[string]struct {
		data []byte
		enc  string
	}{
		"plain":            {[]byte(text), "utf-8"},
		"marked":           {[]byte("\ufeff" + text), "utf-8"},
		"crlf":             {[]byte(strings.ReplaceAll(text, "\n", "\r\n")), "utf-8"},
		"cr":               {[]byte(strings.ReplaceAll(text, "\n", "\r")), "utf-8"},
		"latin-1":          {[]byte(strings.NewReplacer("µ", "\xb5", "±", "\xb1").Replace(text)), "windows-1252"},
		"utf-16le":         {wide(binary.LittleEndian, true), "utf-16le"},
		"utf-16be":         {wide(binary.BigEndian, true), "utf-16be"},
		"utf-16le no mark": {wide(binary.LittleEndian, false), "utf-16le"},
		"utf-16be no mark": {wide(binary.BigEndian, false), "utf-16be"},
	} {
		if got, enc := Decode(c.data); got != text || enc != c.enc {
			t.Errorf("%s: %q in %s, want %q in %s", name, got, enc, text, c.enc)
		}
	}
}

func TestDesignators(t *testing.T) {
	for text, want := range map[string]string{
		"C5-C8, C11":      "C5 C6 C7 C8 C11",
		"C1…C3":           "C1 C2 C3",
		"C1...C3":         "C1 C2 C3",
		"C1 – 3":          "C1 C2 C3",
		"C1 to C3 and C9": "C1 C2 C3 C9",
		"C1 bis C3":       "C1 C2 C3",
		"C1,3,5":          "C1 C3 C5",
		"C1,3-5,R2,4":     "C1 C3 C4 C5 R2 R4",
		"C1 C2;C3":        "C1 C2 C3",
		"C1/C2":           "C1 C2",
		"C008-C011":       "C008 C009 C010 C011",
		"IC7A-IC7C":       "IC7A IC7B IC7C",
		"A1C5-A1C6":       "A1C5 A1C6",
		"C5A":             "C5A",
		"MK-1":            "MK-1",
		"C3, C3":          "C3 C3",
		"":                "",
	} {
		got, err := Designators(text)
		if err != nil || strings.Join(got, " ") != want {
			t.Errorf("%q: %v, %v; want %s", text, got, err, want)
		}
	}
	for text, part := range map[string]string{
		"C1, 47":                   "", // bare figures after C1 are C47
		"47, C1":                   "is no designator",
		"C8-C5":                    "does not count upwards",
		"C1-R5":                    "different letters",
		"C1-C999999":               "more than 5000",
		"C1-C99999999999999999999": "does not count upwards",
		"C1A-C5":                   "can't be counted",
		"C1, ?, C2":                "is no designator",
	} {
		_, err := Designators(text)
		if part == "" && err != nil || part != "" && (err == nil || !strings.Contains(err.Error(), part)) {
			t.Errorf("%q: %v, want %q", text, err, part)
		}
	}
	if got, _ := Designators("C1, ?, C2"); !slices.Equal(got, []string{"C1", "C2"}) {
		t.Errorf("beside a wrong piece: %v", got)
	}
}

func TestRangeLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.IntRange(0, 900).Draw(t, "from")
		n := rapid.IntRange(1, 200).Draw(t, "n")
		letters := rapid.SampledFrom([]string{"C", "R", "IC", "A2Q"}).Draw(t, "letters")
		dash := rapid.SampledFrom([]string{"-", " - ", "…", "–", " to "}).Draw(t, "dash")
		got, err := Designators(letters + strconv.Itoa(from) + dash + letters + strconv.Itoa(from+n-1))
		if err != nil || len(got) != n || got[n-1] != letters+strconv.Itoa(from+n-1) {
			t.Fatalf("%v, %v", got, err)
		}
	})
}

// Whatever comes in, every line that isn't blank stands in a row, among the
// skipped or as the headings.
func FuzzRead(f *testing.F) {
	for _, s := range []string{"Qty,Value\n2,47uF\n", "4 x 47uF 6.3V\n", "a;b\n\"c;d\ne;f", "# Ref Val\nC1 10u\n",
		"\xff\xfea\x00", "x\r\ry"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		got := Read(data)
		text, _ := Decode(data)
		seen := got.Header
		for _, r := range slices.Concat(got.Skipped, got.Rows) {
			if r.Line < 1 || len(r.Cells) == 0 {
				t.Fatalf("row %+v", r)
			}
			seen = append(seen, r.Cells...)
		}
		if have, want := letters(strings.Join(seen, "")), letters(text); have != want {
			t.Fatalf("%v became %v", want, have)
		}
	})
}

// letters counts each letter and digit of a text.
func letters(s string) [128]int {
	var n [128]int
	for _, r := range s {
		if r < 128 && (r >= '0' && r <= '9' || r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z') {
			n[r]++
		}
	}
	return n
}

func FuzzDesignators(f *testing.F) {
	f.Add("C5-C8, C11")
	f.Add("C1 bis 3; R2…R4")
	f.Fuzz(func(t *testing.T, text string) {
		got, _ := Designators(text)
		if len(got) > MaxDesignators {
			t.Fatal(len(got))
		}
		for _, d := range got {
			if d == "" || strings.ContainsAny(d, " ,;\n") {
				t.Fatalf("%q", d)
			}
		}
	})
}

func TestRanges(t *testing.T) {
	for want, in := range map[string][]string{
		"":                       nil,
		"C1":                     {"C1"},
		"C1, C2":                 {"C1", "C2"},
		"C1-C3":                  {"C1", "C2", "C3"},
		"C1, C3-C5, R6":          {"C1", "C3", "C4", "C5", "R6"},
		"C9-C11, C9":             {"C9", "C10", "C11", "C9"},
		"C08-C10":                {"C08", "C09", "C10"},
		"C7A, C7B, C7C":          {"C7A", "C7B", "C7C"},
		"IC1-IC3, BT1, X-1, X-2": {"IC1", "IC2", "IC3", "BT1", "X-1", "X-2"},
		"C8, C09, C10":           {"C8", "C09", "C10"},
	} {
		if got := Ranges(in); got != want {
			t.Errorf("%v is spelt %q, want %q", in, got, want)
		}
	}
}

// Ranges read back as what they were made of.
func TestRangesLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ds := rapid.SliceOf(rapid.Custom(func(t *rapid.T) string {
			return rapid.SampledFrom([]string{"C", "R", "IC", "c", "C0"}).Draw(t, "letters") +
				strconv.Itoa(rapid.IntRange(0, 12).Draw(t, "number"))
		})).Draw(t, "designators")
		if got, err := Designators(Ranges(ds)); err != nil || !slices.Equal(got, ds) {
			t.Fatalf("%v is spelt %q, which reads %v, %v", ds, Ranges(ds), got, err)
		}
	})
}
