package kit

import (
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"boardlore/domain/board"
	"boardlore/domain/fault"
)

// What is dear to read is refused before it is read, with the limit told.
func TestDearLists(t *testing.T) {
	wide := strings.Repeat("47uF 16V,", 79_999) + "47uF 16V\n"
	for name, text := range map[string]string{
		"4 MiB of one line":            strings.Repeat("C1 ", 4<<20/3),
		"4 MiB of lines":               strings.Repeat("C1 C1 C1\n", 4<<20/9),
		"4 MiB in long lines":          strings.Repeat(strings.Repeat("C1 ", 20_000)+"\n", 69),
		"a row of 80,000 columns":      wide + wide[:100],
		"80,000 columns by semicolons": strings.ReplaceAll(wide, ",", ";"),
		"100 rows of C1-C5000":         "Ref,Value\n" + strings.Repeat("C1-C5000,47uF 16V\n", 100),
		"100 lines of C1-C5000":        strings.Repeat("C1-C5000: 47uF 16V\n", 100),
		"500 rows of 200 columns": strings.Repeat("h,", 199) + "Qty\n" +
			strings.Repeat(strings.Repeat("47uF 16V 105°C,", 199)+"1\n", 499),
		"4 MiB of quotes":                strings.Repeat("\"a", 2<<20),
		"4 MiB of NUL":                   strings.Repeat("\x00", 4<<20),
		"longer than may be":             strings.Repeat("a", 4<<20+1),
		"500 lines of what reads n ways": strings.Repeat("4 x 104 C1 to C2 for D8 L12 (X2) 16/25V or not\n", 500),
		"500 lines of digits and blanks": strings.Repeat(strings.Repeat("1 ", 240)+"\n", 500),
		"500 lines of brackets":          strings.Repeat(strings.Repeat("(", 240)+strings.Repeat("C1 ", 80)+"\n", 500),
	} {
		t.Run(name, func(t *testing.T) {
			var o Opened
			var err error
			start := processor(t) // the machine may be busy with something else
			o, err = Open([]byte(text), "text/plain")
			if took := processor(t) - start; took > time.Second {
				t.Errorf("took %v", took)
			}
			if err != nil {
				if f, ok := fault.As(err); !ok || f.Code != "kit-refused" || len(f.Findings) == 0 {
					t.Errorf("%v", err)
				}
			} else if len(o.Kit.Lines) > MaxLines {
				t.Errorf("%d lines", len(o.Kit.Lines))
			}
		})
	}
}

// Labels of a document, and a scope, are as bounded as those of a list.
func TestDearLabels(t *testing.T) {
	m := load[board.Map](t, "kits/board.json")
	many := slices.Repeat([]string{"C1-C5000"}, 5000)
	k := &Kit{}
	for i := range MaxLines {
		k.Lines = append(k.Lines, Line{Number: i + 1, Quantity: 1, Text: "47uF 16V (for C1-C5000)", Designators: many})
	}
	start := processor(t)
	if _, err := Reconcile(Request{Map: m, Kit: k}); !fault.Is(err, fault.Invalid) {
		t.Errorf("%v", err)
	}
	if _, err := Reconcile(Request{Map: m, Kit: bag(t, "1 47 µF"), Scope: Scope{Designators: many}}); !fault.Is(err,
		fault.Invalid) {
		t.Errorf("%v", err)
	}
	if took := processor(t) - start; took > time.Second {
		t.Errorf("took %v", took)
	}
}

// processor is the processor time that this process has taken.
func processor(t *testing.T) time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		t.Skip(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// One place decides whether a body is a document or a list.
func TestOpen(t *testing.T) {
	for name, c := range map[string]struct {
		body, media string
		document    bool
	}{
		"a document":                 {`{"title":"T"}`, "application/json", true},
		"a document, not said":       {" \n{\"title\":\"T\"}", "", true},
		"a document after a mark":    {"\ufeff{}", "", true},
		"a document sent as text":    {`{"title":"T"}`, "text/plain; charset=utf-8", true},
		"a list":                     {"4 x 47uF 16V\n", "text/plain", false},
		"a list, not said":           {"4 x 47uF 16V\n", "", false},
		"a list after a mark":        {"\ufeffQty,Value\n4,47uF 16V\n", "text/csv", false},
		"a table may begin with one": {"{a};b\n4;47uF 16V\n", "text/csv", false},
		"JSON in UTF-16 is a list's encoding, not a document's": {"\xff\xfeQ\x00t\x00y\x00,\x00V\x00a\x00l\x00u\x00e\x00\n\x004\x00,\x004\x007\x00u\x00F\x00", "", false},
	} {
		o, err := Open([]byte(c.body), c.media)
		if err != nil || (o.Document != nil) != c.document || (o.Kit != nil) == c.document {
			t.Errorf("%s: %+v, %v", name, o, err)
		}
	}
	if _, err := Open([]byte("hello world"), "text/plain"); !fault.Is(err, fault.Invalid) {
		t.Errorf("%v", err)
	}
}

func FuzzOpen(f *testing.F) {
	for _, s := range []string{"{", "4 x 47uF", "\ufeffQty;Value\n1;2", "| a | b |\n|---|---|\n",
		"1. 4 x 47uF\n2. 3 x 10k\n", "47uF ×9個 (for C1 and C2)", "C55/56 10uF 16V tant (backordered)"} {
		f.Add([]byte(s), "")
		f.Add([]byte(s), "text/csv")
	}
	f.Fuzz(func(t *testing.T, body []byte, media string) {
		o, err := Open(body, media)
		if (err == nil) == (o.Document == nil && o.Kit == nil) {
			t.Fatalf("%+v, %v", o, err)
		}
		if o.Kit != nil && (len(o.Kit.Lines) == 0 || len(o.Kit.Lines) > MaxLines) {
			t.Fatalf("%d lines", len(o.Kit.Lines))
		}
	})
}

func FuzzSplitLabels(f *testing.F) {
	for _, s := range []string{"47uF 16V (for C1)", "C1 bis C4: 10k", "c53+c54 10uF", "100nF X2 275V (X2)", "(C1)",
		"for C1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		rest, labels := splitLabels(text)
		if labels != "" && strings.TrimSpace(rest) == "" {
			t.Fatalf("%q leaves nothing beside %q", text, labels)
		}
	})
}
