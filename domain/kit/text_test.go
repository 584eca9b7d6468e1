package kit

import (
	"encoding/csv"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"boardlore/domain/board"
)

func TestTextKeepsTheWidth(t *testing.T) {
	m := effective(t, load[board.Map](t, "board.json"), "")
	for _, kit := range []string{"right", "short", "swapped", "dangerous"} {
		r := reconcile(t, Request{Map: m, Kit: load[Kit](t, "kit-"+kit+".json")})
		for _, width := range []int{0, 1, 72, 90, 200} {
			for _, l := range strings.Split(r.Text(width), "\n") {
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
	rows, err := csv.NewReader(strings.NewReader(string(r.CSV()))).ReadAll()
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
		if c.Text == "" || c.Severity.Rank() == 0 {
			t.Errorf("%+v", c)
		}
	}
	for _, code := range []string{"map-caution", "bars-power-up", "unplug", "mains", "stored-charge", "local-codes"} {
		if !have[code] {
			t.Errorf("no caution %s among %v", code, r.Cautions)
		}
	}
	m.Cautions = append(m.Cautions, board.Caution{Text: "Said at no moment."}, board.Caution{Text: "Said last.", When: "after"})
	all := reconcile(t, Request{Map: m, Kit: &Kit{}, Scope: Scope{Name: ScopeAll}})
	text := strings.Join(strings.Fields(all.Text(100)), " ")
	for i, c := range all.Cautions {
		if !strings.Contains(text, c.Text) {
			t.Errorf("the text leaves out: %s", c.Text)
		}
		if i > 0 && (turn(c) < turn(all.Cautions[i-1]) || turn(c) == turn(all.Cautions[i-1]) && c.Severity.Rank() > all.Cautions[i-1].Severity.Rank()) {
			t.Errorf("%s comes after %s", c.Code, all.Cautions[i-1].Code)
		}
	}
}

// The limits of a harmless charge: 50 V, or 0.35 J (C·U²/2).
func TestHoldsCharge(t *testing.T) {
	for _, c := range []struct {
		value, voltage, working string
		want                    bool
	}{
		{"100 nF", "63 V", "49.9 V", false},
		{"100 nF", "63 V", "50 V", true},
		{"100 nF", "63 V", "", true}, // rated voltage where the working one is not known
		{"7000 µF", "16 V", "10 V", true},
		{"6999 µF", "16 V", "10 V", false},
		{"160 µF", "450 V", "", true}, // 16.2 J: OpenStax, College Physics 21.6
		{"1 F", "5.5 V", "800 mV", false},
		{"1 F", "5.5 V", "3 V", true},
		{"47 µF", "", "", false},
		{"", "16 V", "", false},
	} {
		p := board.Position{}
		p.Part.Class = "capacitor"
		if c.value != "" {
			p.Part.Value = q(t, c.value)
		}
		if c.voltage != "" {
			p.Part.Voltage = q(t, c.voltage)
		}
		if c.working != "" {
			p.WorkingVoltage = q(t, c.working)
		}
		if got := holdsCharge(&p); got != c.want {
			t.Errorf("%s %s at %s: %v", c.value, c.voltage, c.working, got)
		}
	}
}
