package part

import "testing"

func TestZZ(t *testing.T) {
	for _, s := range substitutions(t) {
		got, sure, said := judgeTexts(t, &s)
		if s.verdict == "N" && !sure {
			t.Logf("unsure N: %s -> %s %s", s.text, got, brief(said))
		}
		if s.row > 620 {
			t.Logf("%s %v %s | %s", s.verdict, got, s.text, brief(said))
		}
	}
}
