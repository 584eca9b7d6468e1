package coded

import (
	"bytes"
	"math/rand/v2"
	"testing"
)

// A strong tag stands for the same bytes (RFC 9110, section 8.8.3): whatever a
// writer coded before, it codes the same body alike.
func TestSameBytes(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	words := []string{`"designator":"C`, `"x_mm":`, `"part":{"class":"capacitor","value":"47 µF"}`, `,`, "12", "3.5",
		"}"}
	text := func(n int) []byte {
		var b bytes.Buffer
		for b.Len() < n {
			b.WriteString(words[rng.IntN(len(words))])
		}
		return b.Bytes()
	}
	for f := Gzip; f < forms; f++ {
		for level := range int(levels) {
			for range 15 {
				body := text(rng.IntN(100_000))
				fresh := encoders[f][level].New().(encoder)
				first := codeWith(fresh, body)
				for range 3 {
					code(f, text(rng.IntN(200_000)), level)
					if again := code(f, body, level); !bytes.Equal(first, again) {
						t.Fatalf("%s, level %d: %d bytes by a new writer, %d by one that was used", f.Name(), level,
							len(first), len(again))
					}
				}
			}
		}
	}
}
