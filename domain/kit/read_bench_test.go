package kit

import (
	"fmt"
	"strings"
	"testing"
)

// everyday are lines of kits; %d makes each one different.
var everyday = []string{"%d x 47 µF 16 V 105 °C ±20%% radial 5x11mm", "%d x 22µ/16V 105° low ESR 5x11 RM2",
	"%d x 100n 50V X7R 0805",
	"%d x T630mA 250V 5x20", "%d x CR2032", "%d x 4k7 1/4W 1%% metal film", "%d x MKP 0,1µF 275V~ X2 RM15",
	"%d x Elko 470µF 25V stehend RM 5"}

// BenchmarkReadList reads the longest kit, pasted and as a table.
func BenchmarkReadList(b *testing.B) {
	var pasted, table strings.Builder
	table.WriteString("Designators;Qty;Part\n")
	for i := range MaxLines {
		line := fmt.Sprintf(everyday[i%len(everyday)], 1+i%9)
		_, part, _ := strings.Cut(line, " x ")
		pasted.WriteString(line + "\n")
		fmt.Fprintf(&table, "C%d;%d;%s\n", i+1, 1+i%9, part)
	}
	for name, text := range map[string]string{"pasted": pasted.String(), "table": table.String()} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			data := []byte(text)
			for b.Loop() {
				if k, _ := ReadList(data); len(k.Lines) != MaxLines {
					b.Fatalf("%d lines", len(k.Lines))
				}
			}
		})
	}
}
