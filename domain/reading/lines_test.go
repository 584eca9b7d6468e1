package reading

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"boardlore/domain/quantity"
)

// line is a row of the corpus: what was written, and what a technician makes of it.
type line struct {
	text, want string
	context    quantity.Context
}

func corpus(t testing.TB, file string) (all []line) {
	data, err := os.ReadFile("../part/testdata/" + file)
	if err != nil {
		t.Fatal(err)
	}
	for row := range strings.Lines(string(data)) {
		row = strings.TrimRight(row, "\n")
		if row == "" || row[0] == '#' {
			continue
		}
		text, want, ok := strings.Cut(row, " => ")
		if !ok {
			t.Fatalf("%q has no reading", row)
		}
		l := line{text: text, want: want}
		if class, rest, ok := strings.Cut(text, "] "); ok && text[0] == '[' {
			l.context.Class, l.text = class[1:], rest
		}
		all = append(all, l)
	}
	return all
}

func TestLines(t *testing.T) {
	bad := 0
	for _, l := range corpus(t, "lines.txt") {
		if got := describe(l.text, l.context); got != l.want {
			bad++
			t.Errorf("%s\n got  %s\n want %s", l.text, got, l.want)
		}
	}
	t.Log(bad, "rows differ")
}

func describe(text string, c quantity.Context) string {
	t, err := Part(text, c)
	if err != nil {
		return "refused"
	}
	var ways []string
	for i := range t.Readings {
		ways = append(ways, describeReading(&t.Readings[i]))
	}
	s := strings.Join(ways, " OR ")
	if len(t.LeftOver) > 0 {
		s += " / " + strings.Join(t.LeftOver, " ")
	}
	return s
}

func describeReading(x *Reading) string {
	m := map[string]string{}
	for _, f := range x.Fields {
		m[f.Member] = f.Value
	}
	var w []string
	add := func(s string) {
		if s != "" {
			w = append(w, s)
		}
	}
	if q := m["quantity"]; q != "" {
		add(q + "x")
	}
	add(x.Class)
	for _, k := range []string{"construction", "value", "tolerance", "current", "voltage", "power", "temperature_max", "endurance"} {
		add(m[k])
	}
	for k, l := range map[string]string{"esr_max": "ESR "} {
		if m[k] != "" {
			add(l + m[k])
		}
	}
	if m["ripple"] != "" {
		add("ripple " + m["ripple"])
	}
	for _, k := range []string{"dielectric", "safety_class", "fuse_speed", "chemistry"} {
		add(m[k])
	}
	add(map[string]string{"true": "polarised", "false": "bipolar"}[m["polarised"]])
	add(map[string]string{"true": "rechargeable", "false": "primary"}[m["rechargeable"]])
	if x.Text != "" {
		add(`"` + x.Text + `"`)
	}
	var b []string
	for _, k := range []string{"mount", "shape"} {
		if v := m["body."+k]; v != "" {
			b = append(b, v)
		}
	}
	for _, k := range [][2]string{{"d", "diameter_mm"}, {"l", "length_mm"}, {"w", "width_mm"}, {"h", "height_mm"}, {"rm", "lead_pitch_mm"}} {
		if v := m["body."+k[1]]; v != "" {
			b = append(b, k[0]+strings.TrimSuffix(v, " mm"))
		}
	}
	if len(b) > 0 {
		add("{" + strings.Join(b, " ") + "}")
	}
	s := strings.Join(w, " ")
	if len(x.Doubts) > 0 {
		s += " ?"
	}
	return s
}

func TestPieces(t *testing.T) {
	for _, file := range []string{"part-lines.txt", "bench-lines.txt"} {
		rows, right, wrong := 0, 0, 0
		for _, l := range corpus(t, file) {
			rows++
			got, err := Part(l.text, l.context)
			ok, told := judge(got, err, l.want)
			switch {
			case ok || told && err == nil && !got.Sure:
				right++
			}
			if err == nil && got.Sure && !ok {
				wrong++
				t.Errorf("SURE AND WRONG: %s\n got  %s\n want %s", l.text, describe(l.text, l.context), l.want)
			} else if !ok {
				t.Logf("%s\n got  %s\n want %s", l.text, describe(l.text, l.context), l.want)
			}
		}
		t.Logf("%s: %d rows, %d right or told (%d %%), %d wrong with confidence", file, rows, right, 100*right/rows, wrong)
	}
}

// judge holds a reading against the pieces that are expected of it.
func judge(got Text, err error, want string) (ok, told bool) {
	pieces := strings.Split(want, "|")
	told = err != nil || len(got.Readings) > 1 || len(got.Readings) > 0 && len(got.Readings[0].Doubts) > 0 || !got.Sure
	if slices.Contains(pieces, "?") && told {
		return true, true
	}
	if err != nil {
		return false, true
	}
	for i := range got.Readings {
		s := " " + strings.NewReplacer(`"`, " ", "-", "-").Replace(describeReading(&got.Readings[i])) + " "
		fits := true
		for _, p := range pieces {
			not := strings.HasPrefix(p, "-")
			if p == "?" {
				continue
			}
			if !not && !strings.Contains(s, " "+p) {
				fits = false
			}
			if not && strings.Contains(s, strings.TrimPrefix(p, "-")) {
				fits = false
			}
		}
		if fits && !(slices.Contains(pieces, "?") && !told) {
			return true, told
		}
	}
	return false, told
}

var _ = fmt.Sprint
