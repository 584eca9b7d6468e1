package kit

import (
	"encoding/csv"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"boardlore/domain/board"
	"boardlore/domain/message"
	"boardlore/domain/part"
)

func TestTextKeepsTheWidth(t *testing.T) {
	m := effective(t, load[board.Map](t, "board.json"), "")
	for _, kit := range []string{"right", "short", "swapped", "dangerous"} {
		r := reconcile(t, Request{Map: m, Kit: load[Kit](t, "kit-"+kit+".json")})
		for _, width := range []int{0, 1, 72, 90, 200} {
			for _, l := range strings.Split(r.Text(message.English, width), "\n") {
				if n := utf8.RuneCountInString(l); n > max(width, 72) && width > 0 || n > 100 && width == 0 {
					t.Errorf("%s at %d: %d characters: %s", kit, width, n, l)
				}
			}
		}
	}
}

func TestCSV(t *testing.T) {
	m := effective(t, load[board.Map](t, "board.json"), "")
	m.Positions[0].Part.Text = "=1+1"
	r := reconcile(t, Request{Map: m, Kit: load[Kit](t, "kit-short.json")})
	rows, err := csv.NewReader(strings.NewReader(string(r.CSV(message.English)))).ReadAll()
	if err != nil || len(rows) <= len(r.Positions) {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	left := 0
	for _, l := range r.Lines {
		if l.Surplus > 0 || !l.Sure {
			left++
			if row := rows[len(r.Positions)+left]; row[0] != "" || row[2] != strconv.Itoa(l.Line) || row[4] == "" {
				t.Errorf("%v for %+v", row, l)
			}
		}
	}
	if len(rows) != 1+len(r.Positions)+left {
		t.Errorf("%d rows for %d positions and %d lines", len(rows), len(r.Positions), left)
	}
	for i, p := range r.Positions {
		row := rows[i+1]
		if row[0] != p.Designator || row[4] != p.Fit || (row[2] == "") != (p.Line == nil) {
			t.Errorf("%v for %+v", row, p)
		}
	}
}

// Nothing in a request takes a caution away: a scope of one harmless position
// still warns of mains, charge and what bars power-up.
func TestCautionsStay(t *testing.T) {
	m := effective(t, load[board.Map](t, "board.json"), "")
	r := reconcile(t, Request{Map: m, Kit: &Kit{}, Scope: Scope{Designators: []string{"R1"}}})
	have := map[string]bool{}
	for _, c := range r.Cautions {
		have[c.Code] = true
		if c.Text.IsZero() || c.Severity.Rank() == 0 {
			t.Errorf("%+v", c)
		}
	}
	for _, code := range []string{"map-caution", "bars-power-up", "unplug", "mains", "stored-charge", "local-codes"} {
		if !have[code] {
			t.Errorf("no caution %s among %v", code, r.Cautions)
		}
	}
	m.Cautions = append(m.Cautions, board.Caution{Text: "Said at no moment."}, board.Caution{Text: "Said last.",
		When: "after"})
	all := reconcile(t, Request{Map: m, Kit: &Kit{}, Scope: Scope{Name: ScopeAll}})
	text := strings.Join(strings.Fields(all.Text(message.English, 100)), " ")
	for i, c := range all.Cautions {
		if !strings.Contains(text, c.Text.String()) {
			t.Errorf("the text leaves out: %s", c.Text)
		}
		if i > 0 && (turn(c) < turn(all.Cautions[i-1]) || turn(c) == turn(all.Cautions[i-1]) &&
			c.Severity.Rank() > all.Cautions[i-1].Severity.Rank()) {
			t.Errorf("%s comes after %s", c.Code, all.Cautions[i-1].Code)
		}
	}
}

// A charge is told where it hurts: over 60 V and 1 mJ together, or 2 J at any
// voltage, parts in parallel on one rail together (E = ½CV²; the limits are
// common practice); and what the kit brings has its own caution.
func TestChargesAndWhatTheKitBrings(t *testing.T) {
	for name, c := range map[string]struct {
		parts string // value, voltage, rail
		told  string // positions of the caution, "" for none
	}{
		"a ceramic of 22 pF at 50 V":     {"22 pF|50 V|", ""},
		"a ceramic of 100 nF at 50 V":    {"100 nF|50 V|", ""},
		"1 nF at 400 V, 80 µJ":           {"1 nF|400 V|", ""},
		"1 µF at 63 V, 2 mJ":             {"1 µF|63 V|", "C1"},
		"150 µF at 400 V, 12 J":          {"150 µF|400 V|", "C1"},
		"1000 µF at 50 V, 1.25 J":        {"1000 µF|50 V|A", ""},
		"two of them on one rail, 2.5 J": {"1000 µF|50 V|A;1000 µF|50 V|A", "C1, C2"},
		"two of them on two rails":       {"1000 µF|50 V|A;1000 µF|50 V|B", ""},
	} {
		m := &board.Map{Board: "b"}
		for i, text := range strings.Split(c.parts, ";") {
			f := strings.Split(text, "|")
			m.Positions = append(m.Positions, board.Position{Designator: "C" + strconv.Itoa(i+1), Rail: f[2],
				Part: part.Part{Class: part.Capacitor, Value: q(t, f[0]), Voltage: q(t, f[1])}})
		}
		cs, err := Cautions(m, Scope{})
		if err != nil {
			t.Fatal(err)
		}
		i := slices.IndexFunc(cs, func(x Caution) bool { return x.Code == "stored-charge" })
		if (i >= 0) != (c.told != "") || i >= 0 && !strings.Contains(cs[i].Text.String(), "("+c.told+": ") {
			t.Errorf("%s: %+v", name, cs)
		}
	}
	m := load[board.Map](t, "kits/board.json")
	r := reconcile(t, Request{Map: m, Kit: &Kit{Lines: []Line{{Number: 1, Quantity: 1, Text: "CR2032"},
		{Number: 2, Quantity: 4, Text: "47uF 25V tantalum 125°C"}}}})
	codes := map[string]bool{}
	for _, c := range r.Cautions {
		codes[c.Code] = true
	}
	if !codes["lithium-in-kit"] || !codes["tantalum-in-kit"] || !codes["local-codes"] {
		t.Errorf("%+v", r.Cautions)
	}
}
