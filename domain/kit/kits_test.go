package kit

import (
	"encoding/binary"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/message"
)

// written is a kit of testdata/kits: a list as people write it, and the outcome
// that a careful technician would sign.
type written struct {
	m        *board.Map
	name     string
	outcomes []string // any of them will do; refused where there is no verdict
	why      string
	scope    string
	list     []byte
}

// writtenKits are the kits over the small board and over the mains supply.
func writtenKits(t testing.TB) (out []written) {
	for _, name := range []string{"board", "supply", "mixed"} {
		out = append(out, writtenOver(t, name)...)
	}
	return out
}

func writtenOver(t testing.TB, name string) []written {
	m := load[board.Map](t, "kits/"+name+".json")
	data, err := os.ReadFile("testdata/kits/" + name + ".txt")
	if err != nil {
		t.Fatal(err)
	}
	var out []written
	for _, block := range strings.Split(string(data), "\n## ")[1:] {
		w := written{m: m}
		encoding := ""
		var rest string
		w.name, rest, _ = strings.Cut(block, "\n")
		for w.outcomes == nil {
			var line string
			line, rest, _ = strings.Cut(rest, "\n")
			key, value, ok := strings.Cut(line, ": ")
			switch {
			case !ok:
				t.Fatalf("%s: %q", w.name, line)
			case key == "scope":
				w.scope = value
			case key == "encoding":
				encoding = value
			default:
				w.outcomes, w.why = strings.Split(key, " or "), value
			}
		}
		w.list = encoded(rest+"\n", encoding)
		out = append(out, w)
	}
	return out
}

func encoded(text, encoding string) []byte {
	switch encoding {
	case "bom":
		return []byte("\ufeff" + text)
	case "utf-16":
		out := []byte{0xff, 0xfe}
		for _, u := range utf16.Encode([]rune(text)) {
			out = binary.LittleEndian.AppendUint16(out, u)
		}
		return out
	}
	return []byte(text)
}

// signed is what a list comes to, with the report that says so.
func signed(t testing.TB, w written) (string, Report) {
	k, problems := ReadList(w.list)
	r, err := Reconcile(Request{Map: w.m, Kit: k, Scope: ParseScope(w.scope), Problems: problems})
	if f, ok := fault.As(err); ok && f.Code == "kit-refused" {
		return "refused", r
	}
	if err != nil {
		t.Fatal(err)
	}
	return r.Outcome, r
}

// Whole kits as people write them come to what a careful technician would sign.
func TestWrittenKits(t *testing.T) {
	kits := writtenKits(t)
	if len(kits) < 200 {
		t.Fatalf("%d kits", len(kits))
	}
	for _, w := range kits {
		t.Run(w.name, func(t *testing.T) {
			if got, r := signed(t, w); !slices.Contains(w.outcomes, got) {
				t.Errorf("%s, want %s: %s\n%s", got, strings.Join(w.outcomes, " or "), w.why,
					r.Text(message.English, 140))
			}
		})
	}
}

// stopped are the stops of a report, by what they are about.
func stopped(r *Report) map[string]bool {
	out := map[string]bool{}
	for _, f := range r.Flags {
		if f.Severity == finding.Stop {
			out[fmt.Sprintf("%s %s %d", f.Code, f.Designator, *f.Line)] = true
		}
	}
	return out
}

// No stop of a written kit vanishes by the order of its lines, by a line that is
// added, by a wider scope or by what else is said of a line.
func TestStopsOfWrittenKitsStay(t *testing.T) {
	for _, w := range writtenKits(t) {
		k, problems := ReadList(w.list)
		request := Request{Map: w.m, Kit: k, Scope: ParseScope(w.scope), Problems: problems}
		before, err := Reconcile(request)
		if err != nil {
			continue // refused, which TestWrittenKits looks at
		}
		most := 0
		for _, l := range k.Lines {
			most = max(most, l.Number)
		}
		turned := *k
		turned.Lines = slices.Clone(k.Lines)
		slices.Reverse(turned.Lines)
		longer := *k
		longer.Lines = append(slices.Clone(k.Lines), Line{Number: most + 1, Quantity: 1, Text: "connector DIN 5 pin"})
		worded := *k
		worded.Lines = slices.Clone(k.Lines)
		for i := range worded.Lines {
			if l := &worded.Lines[i]; l.Text != "" {
				l.Text += ", new"
			}
		}
		for change, r := range map[string]Request{
			"lines turned": {Map: w.m, Kit: &turned, Scope: request.Scope}, "a line more": {Map: w.m, Kit: &longer,
				Scope: request.Scope},
			"all positions": {Map: w.m, Kit: k, Scope: Scope{Name: ScopeAll}}, "a word more": {Map: w.m, Kit: &worded,
				Scope: request.Scope},
		} {
			after := reconcile(t, r)
			now := stopped(&after)
			for s := range stopped(&before) {
				if !now[s] {
					t.Errorf("%s: %s is lost by %s", w.name, s, change)
				}
			}
			if before.Outcome == Conflict && after.Outcome != Conflict {
				t.Errorf("%s: %s after %s", w.name, after.Outcome, change)
			}
		}
	}
}
