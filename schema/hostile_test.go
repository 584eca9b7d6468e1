package schema

import (
	"fmt"
	"strings"
	"testing"

	"boardlore/domain/finding"
)

// hostile are documents of nearly the most bytes that anybody may send, each
// made to cost as much as it can in another place. The names say where.
func hostile() map[string][]byte {
	const most = 4 << 20
	head := `{"board":"a","equipment":{"maker":"M","model":"O"},"name":"N","frame":{"width_mm":100,"height_mm":100,"basis":"measured"},`
	whole := func(member, each string, n int, tail string) []byte {
		return []byte(head + `"` + member + `":[` + strings.TrimSuffix(strings.Repeat(each+",", n), ",") + `]` + tail +
			`}`)
	}
	each := func(member string, n int, one func(i int) string, tail string) []byte {
		var b strings.Builder
		b.WriteString(head + `"` + member + `":[`)
		for i := range n {
			if b.Len()+len(tail)+600 > most {
				break
			}
			if i > 0 {
				b.WriteByte(',')
			}
			b.WriteString(one(i))
		}
		b.WriteString(`]` + tail + `}`)
		return []byte(b.String())
	}
	position := func(i int, more string) string {
		return fmt.Sprintf(`{"designator":"C%d","side":"top","x_mm":50,"y_mm":%d,"part":{"class":"capacitor"}%s}`, i,
			i%90, more)
	}
	odd := `"value":"oh %d","tolerance":"so %d","voltage":"we %d","current":"do %d","power":"be %d","temperature_max":"at %d","endurance":"it %d","esr_max":"up %d","ripple":"on %d"`
	bad := func(i int) string { return strings.ReplaceAll(odd, "%d", fmt.Sprint(i)) }
	good := func(i int) string {
		return fmt.Sprintf(`"value":"%du","tolerance":"+-%d.%03d%%","voltage":"%d,0V","current":"%d,0A","power":"%d,0W","temperature_max":"85C","endurance":"%dh","esr_max":"%dR","ripple":"%dmA"`,
			i%900+1, i%20, i, i+1, i+1, i+1, i+1, i+1, i+1)
	}
	part := func(s string) string { return `{"class":"capacitor","construction":"film",` + s + `}` }
	withParts := func(i int, s string) string {
		return fmt.Sprintf(`{"designator":"C%d","side":"top","x_mm":50,"y_mm":50,"part":%s,"replacement":{"part":%s,"reason":"r"}}`, i, part(s), part(s))
	}
	variants := func(changes func(v, i int) string) string {
		var b strings.Builder
		b.WriteString(`,"variants":[`)
		for v := range 64 {
			fmt.Fprintf(&b, `%s{"variant":"v%d","title":"t","identified_by":"i%d","changes":[`,
				map[bool]string{true: ","}[v > 0], v, v)
			for i := range 40 {
				b.WriteString(map[bool]string{true: ","}[i > 0] + changes(v, i))
			}
			b.WriteString(`]}`)
		}
		return b.String() + `]`
	}
	body := `,"body":{"mount":"through-hole","shape":"box","length_mm":90,"width_mm":1,"height_mm":1}`
	unknown := func(n int) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, `"p%06x":1,`, i)
		}
		return strings.TrimSuffix(b.String(), ",")
	}
	return map[string][]byte{
		"empty positions":       whole("positions", "{}", 80_000, ""),
		"empty positions, most": whole("positions", "{}", 1_300_000, ""),
		"empty positions, 5000": whole("positions", "{}", 5000, ""),
		"numbers as positions":  whole("positions", "1", 2_000_000, ""),
		"unknown members":       []byte(head + `"positions":[{` + unknown(300_000) + `}]}`),
		"unknown at the top":    []byte(`{` + unknown(330_000) + `}`),
		"faulty and large":      whole("positions", `{"x-a":"`+strings.Repeat("a", 700)+`"}`, 5000, ""),
		"one large text":        []byte(head + `"positions":[],"licence":"` + strings.Repeat("a\u00e9", 1<<20) + `"}`),
		"large names":           []byte(head + `"positions":[],"` + strings.Repeat("ab", 2<<20-200) + `":1}`),
		"nul everywhere":        []byte(`[` + strings.Repeat(`"\u0000",`, 400_000) + `1]`),
		"nul in names":          []byte(`{` + strings.ReplaceAll(unknown(200_000), `"p`, `"\u0000`) + `}`),
		"deep":                  []byte(strings.Repeat(`[`, 2<<20) + strings.Repeat(`]`, 2<<20)),
		"deep often": []byte(`[` + strings.Repeat(strings.Repeat(`[`, 40)+strings.Repeat(`]`, 40)+",",
			50_000) + `1]`),
		"unreadable quantities": each("positions", 5000, func(i int) string { return withParts(i, bad(i)) }, ""),
		"respelt quantities":    each("positions", 5000, func(i int) string { return withParts(i, good(i)) }, ""),
		"unreadable in changes": each("positions", 100, func(i int) string { return position(i, "") },
			variants(func(v, i int) string {
				return fmt.Sprintf(`{"designator":"C%d","set":{"part":{%s}}}`, i,
					bad(v*40+i))
			})),
		"a heap of bodies": each("positions", 5000, func(i int) string { return position(i, body) }, ""),
		"heaps in variants": each("positions", 5000, func(i int) string { return position(i, body) },
			variants(func(_, i int) string { return fmt.Sprintf(`{"designator":"C%d","set":{"notes":"n"}}`, i) })),
		"variants of many": each("positions", 5000, func(i int) string { return position(i, "") },
			variants(func(_, i int) string { return fmt.Sprintf(`{"omit":"C%d"}`, i) })),
		"one designator": each("positions", 5000, func(int) string { return position(1, "") },
			variants(func(_, i int) string { return fmt.Sprintf(`{"fit":%s}`, position(1, "")) })),
		"missing references": each("positions", 1, func(i int) string { return position(i, "") },
			`,"failure_points":[`+
				strings.TrimSuffix(strings.Repeat(`{"id":"f","title":"t","mechanism":"m","severity":"hazard","positions":[`+
					strings.TrimSuffix(strings.Repeat(`"C9",`, 1000), ",")+`]},`, 500), ",")+`]`),
		"bad changes": each("positions", 1, func(i int) string { return position(i, "") },
			variants(func(_, i int) string {
				return strings.TrimSuffix(strings.Repeat(`{"set":{"part":{"class":1}}},`, 40), ",")
			})),
	}
}

// TestHostileDocuments: whatever a document of the largest size holds, what is
// said of it is short enough to be read, and says so where it is not all.
func TestHostileDocuments(t *testing.T) {
	for name, data := range hostile() {
		t.Run(name, func(t *testing.T) {
			if len(data) > 4<<20 {
				t.Fatalf("%d bytes", len(data))
			}
			_, fs := ReadMap(data)
			size := 0
			for _, f := range fs {
				size += len(f.Sentence.String()) + len(f.Found) + len(f.Expected) + len(f.Pointer) +
					len(f.Basis.String())
			}
			if len(fs) > maxFindings+1 || size > 2<<20 {
				t.Errorf("%d findings of %d bytes", len(fs), size)
			}
			if len(fs) > maxFindings && fs[len(fs)-1].Code != "findings-more" {
				t.Errorf("the last of %d findings is %v", len(fs), fs[len(fs)-1])
			}
			if finding.Worst(fs) == "" {
				t.Error("nothing is found")
			}
		})
	}
}

func BenchmarkHostileDocuments(b *testing.B) {
	for name, data := range hostile() {
		b.Run(strings.ReplaceAll(name, " ", "-"), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				ReadMap(data)
			}
		})
	}
}
