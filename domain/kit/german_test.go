package kit

import (
	"strings"
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/message"
)

// A German report names classes, constructions, polarity, and what several
// positions have in common, in German.
func TestGermanReport(t *testing.T) {
	m := load[board.Map](t, "kits/supply.json")
	k, problems := ReadList([]byte("film capacitor 220nF 630V\nF1: fuse T 6.3A 250V\n4 x 470uF 25V " +
		"electrolytic\nCR2032\n10uF 25V bipolar electrolytic\ntransistor BC547B\n"))
	text := reconcile(t, Request{Map: m, Kit: k, Problems: problems}).Text(message.Named("de"), 140)
	for _, want := range []string{"Kondensator Folie 220 nF", "Sicherung T 6.3 A", "Aluminium-Elko", "bipolar",
		"Zelle"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	for _, english := range []string{"capacitor", "aluminium electrolytic", " fuse ", " cell ", "polarised",
		"esr unknown"} {
		for line := range strings.Lines(text) {
			if strings.Contains(line, english) &&
				!strings.Contains(line, `"`) { // what stands in the kit's own words is quoted
				t.Errorf("%q in %s", english, line)
			}
		}
	}
}
