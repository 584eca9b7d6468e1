package kit

import (
	"encoding/binary"
	"os"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/message"
)

// written is a kit of testdata/kits/kits.txt: a list as people write it, and the
// outcome that a careful technician would sign.
type written struct {
	name     string
	outcomes []string // any of them will do; refused where there is no verdict
	why      string
	scope    string
	list     []byte
}

func writtenKits(t testing.TB) []written {
	data, err := os.ReadFile("testdata/kits/kits.txt")
	if err != nil {
		t.Fatal(err)
	}
	var out []written
	for _, block := range strings.Split(string(data), "\n## ")[1:] {
		w := written{}
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
func signed(t testing.TB, m *board.Map, w written) (string, Report) {
	k, problems := ReadList(w.list)
	r, err := Reconcile(Request{Map: m, Kit: k, Scope: ParseScope(w.scope), Problems: problems})
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
	m := load[board.Map](t, "kits/board.json")
	kits := writtenKits(t)
	if len(kits) < 60 {
		t.Fatalf("%d kits", len(kits))
	}
	for _, w := range kits {
		t.Run(w.name, func(t *testing.T) {
			if got, r := signed(t, m, w); !slices.Contains(w.outcomes, got) {
				t.Errorf("%s, want %s: %s\n%s", got, strings.Join(w.outcomes, " or "), w.why, r.Text(message.English, 140))
			}
		})
	}
}
