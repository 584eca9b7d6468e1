package kit

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"boardlore/domain/list"
)

// Parts lists of real boards in the manners of assembly tools; the figures are
// those of their description.
func TestReadListFiles(t *testing.T) {
	for _, c := range []struct {
		file               string
		lines, designators int
		probes             map[string]string
	}{
		{"05_bom_grouped.csv", 24, 68, map[string]string{
			"1N4148": "D2 D3 D4 D5 D6 D7 D8 D9", "CONN_2": "P1 P2 P3 P4 P5 P6", "220K": "R4 R12 R14 R22 R26 R28",
			"1K": "R8 R9 R18 R19 R23 R24"}},
		{"06_bom_latin1_semicolon.csv", 11, 25, map[string]string{
			"100 ±5%": "R1 R6 R7 R8 R9 R10 R11 R12 R13 R14", "100pF": "C2 C3 C4 C5", "BAT46": "D1 D2",
			"74LS125": "U1 U2"}},
	} {
		t.Run(c.file, func(t *testing.T) {
			data, err := os.ReadFile("testdata/lists/" + c.file)
			if err != nil {
				t.Fatal(err)
			}
			k, _ := ReadList(data)
			quantity, designators := 0, 0
			for _, l := range k.Lines {
				quantity, designators = quantity+l.Quantity, designators+len(l.Designators)
				if want, ok := c.probes[l.Text]; ok && want != strings.Join(l.Designators, " ") {
					t.Errorf("%s: %v", l.Text, l.Designators)
				} else if ok {
					delete(c.probes, l.Text)
				}
			}
			if len(k.Lines) != c.lines || designators != c.designators || quantity != c.designators ||
				len(c.probes) != 0 {
				t.Errorf("%d lines, %d designators, quantity %d; not found %v", len(k.Lines), designators, quantity,
					c.probes)
			}
		})
	}
}

func TestReadList(t *testing.T) {
	for name, c := range map[string]struct {
		text     string
		want     []string // line quantity text | designators
		problems []string // line: beginning of the reason
	}{
		"pasted": {"4 x 47uF 6.3V SMD\r\n2x 100nF 50V\n\n10uF 16V\n", []string{"1 4 4 x 47uF 6.3V SMD |",
			"2 2 2x 100nF 50V |", "4 1 10uF 16V |"},
			[]string{"4: No quantity"}},
		"designators beside the part": {"4 x 10uF 25V bipolar C1 C4 C7 C10\n1 x 10uF 6.3V C1\n47uF 16V D8 L12 C2, " +
			"C3\nC5-C7 22uF 16V\n100nF X2 275V\nR1 4k7\n" +
			"2 x 47uF 16V D1\n10uF 50V C1,3,5\n47uF 16V 105C T3\n2 x CR2032 BT1 BT2\n1N4148 D3\nBC547 Q1 Q2\n",
			[]string{
				"1 4 4 x 10uF 25V bipolar | C1 C4 C7 C10", "2 1 1 x 10uF 6.3V | C1", "3 2 47uF 16V D8 L12 | C2 C3",
				"4 3 22uF 16V | C5 C6 C7", "5 1 100nF X2 275V |",
				"6 1 4k7 | R1", "7 2 2 x 47uF 16V D1 |", "8 3 10uF 50V | C1 C3 C5", "9 1 47uF 16V 105C T3 |",
				"10 2 2 x CR2032 | BT1 BT2", "11 1 1N4148 | D3", "12 2 BC547 | Q1 Q2"},
			[]string{"5: No quantity stands here; 1 was taken, as for row 9"}},
		"pasted with designators": {"C1-C3: 3 x 47uF 16V\n47uF 16V for C4, C5\n2 St. 100nF X2 275V\n", []string{
			"1 3 3 x 47uF 16V | C1 C2 C3", "2 2 47uF 16V | C4 C5", "3 2 2 St. 100nF X2 275V |"}, nil},
		"one that can't be read": {"4 x 47uF 6.3V\n3 x bag of odds\n", []string{"1 4 4 x 47uF 6.3V |",
			"2 3 3 x bag of odds |"}, []string{"2: Nothing in"}},
		"Spanish": {"Cantidad;Valor;Referencia\n4;47uF 16V;C1-C4\n",
			[]string{"2 4 47uF 16V | C1 C2 C3 C4"}, nil},
		"Italian": {"Quantità,Valore,Riferimento\n4,47uF 16V,C1-C4\n",
			[]string{"2 4 47uF 16V | C1 C2 C3 C4"}, nil},
		"Dutch": {"Omschrijving\tWaarde\tAantal\nelco 16V\t47uF\t4\n", []string{"2 4 47uF elco 16V |"},
			nil},
		"Swedish": {"Antal;Värde;Beteckning\n4;47uF 16V;C1-C4\n", []string{"2 4 47uF 16V | C1 C2 C3 C4"},
			nil},
		"Polish": {"Wartość;Ilość\n47uF 16V;4\n", []string{"2 4 47uF 16V |"}, nil},
		"unknown words": {"kpl,arvo,tunnus\n4,47uF 16V,C1-C4\n", []string{"2 4 47uF 16V | C1 C2 C3 C4"},
			[]string{"1: This was taken for headings"}},
		"several words": {"Pos;Qty per board;Part No;Rated voltage;Capacitance µF;Tol.;Price each\n1;4;X1;16 " +
			"V;47;20%;0,12\n2;1;X2;25V;100;10;0,30\n",
			[]string{"1 4 47 µF 16 V 20% |", "2 1 100 µF 25V 10 % |"}, nil},
		"a heading of its own": {"Menge;Kapazitätswert;Bauform\n4;47µF;radial 5x11\n",
			[]string{"2 4 47µF radial 5x11 |"}, nil},
		"a column left": {"qty;value;lot\n4;47uF 16V;summer\n", []string{"2 4 47uF 16V |"},
			[]string{"1: Nothing was made"}},
		"type numbers only": {"MPN;Qty\nEX072;4\n", []string{"2 4 EX072 |"}, nil},
		"totals": {"Ref;Qty;Value\nC1,C2;2;47uF 16V\nTotal;2;\n\nSum: 2;;\n",
			[]string{"2 2 47uF 16V | C1 C2"}, []string{"3: This was taken for a total",
				"5: This was taken for a total"}},
		"remarks": {"# bag 7\n4 x 47uF 16V\n// from the drawer\n", []string{"2 4 4 x 47uF 16V |"},
			[]string{"1: This stands above", "3: This stands above"}},
		"behind": {"47uF 16V (C1-C3)\n22uF 16V x 4\n10uF 16V 5 x 11\n",
			[]string{"1 3 47uF 16V | C1 C2 C3", "2 4 22uF 16V x 4 |", "3 1 10uF 16V 5 x 11 |"},
			[]string{"3: No quantity"}},
		"decimal commas": {"Menge;Wert\n4;4,7uF 50V\n2;0,1 µF 63V\n", []string{"2 4 4,7uF 50V |",
			"3 2 0,1 µF 63V |"}, nil},
		"quoted": {"value,qty\n\"47uF, 16V \"\"low\"\"\nESR\",4\n100nF,2\n",
			[]string{"2 4 47uF, 16V \"low\" ESR |", "4 2 100nF |"}, nil},
		"no number at all": {"qty,value\nmany,47uF 16V\n-1,22uF 16V\n2.5,10uF 16V\n", []string{"2 0 47uF 16V |",
			"3 0 22uF 16V |", "4 0 10uF 16V |"},
			[]string{"2: This is no quantity", "3: This is no quantity", "4: This is no quantity"}},
		"a number that a value holds": {"qty,description,value\n4,4,47uF 16V\n", []string{"2 4 47uF 16V 4 |"}, nil},
		"any order": {"Value,Voltage,Designators,Qty\n47uF,16,\"C1,C2\",2\n",
			[]string{"2 2 47uF 16 V | C1 C2"}, nil},
		"German": {"Pos;Menge;Bezeichnung;Spannung (V);Wert (µF)\n10;2;Elko radial;16;4,7\n20;1;Folie;100;1\n",
			[]string{"10 2 4,7 µF 16 V Elko radial |", "20 1 1 µF 100 V Folie |"}, nil},
		"French": {"Quantité\tRepères\tDésignation\n3\tC1 C2 C3\t10 µF 25 V chimique\n",
			[]string{"2 3 10 µF 25 V chimique | C1 C2 C3"}, nil},
		"no headings": {"1;4;47uF 16V;C1-C4\n2;1;10uF 25V;C5\n",
			[]string{"1 4 47uF 16V | C1 C2 C3 C4", "2 1 10uF 25V | C5"}, nil},
		"no quantity column": {"Reference,Value\nC1 C2,47uF 16V\n", []string{"2 2 47uF 16V | C1 C2"}, nil},
		"bad quantity": {"Qty,Value\nmany,47uF 16V\n", []string{"2 0 47uF 16V |"},
			[]string{"2: This is no quantity"}},
		"counts differ": {"Qty,Value,Ref\n3,47uF 16V,C1-C2\n", []string{"2 3 47uF 16V | C1 C2"},
			[]string{"2: The line counts 3"}},
		"bad designators": {"Qty,Value,Ref\n1,47uF 16V,\"C1, ?\"\n", []string{"2 1 47uF 16V | C1"},
			[]string{"2: These are not all"}},
		"no part": {"Qty,Value,Ref\n1,,C1\n", []string{"2 1 1 C1 | C1"},
			[]string{"2: No part stands"}},
		"title above": {"Kit of spring;;\nMenge;Wert;Bezeichner\n2 Stk;47µF 16V;C1, C2\n",
			[]string{"3 2 47µF 16V | C1 C2"}, []string{"1: This stands above"}},
		"description repeats the value": {"Qty;Value;Description\n2;47uF;Capacitor 47uF 16V radial\n",
			[]string{"2 2 Capacitor 47uF 16V radial |"}, nil},
		"empty": {"", nil, nil},
	} {
		t.Run(name, func(t *testing.T) {
			k, problems := ReadList([]byte(c.text))
			var got []string
			for _, l := range k.Lines {
				got = append(got, strings.TrimRight(fmt.Sprintf("%d %d %s | %s", l.Number, l.Quantity, l.Text,
					strings.Join(l.Designators, " ")), " "))
			}
			if d := cmp.Diff(c.want, got); d != "" {
				t.Error(d)
			}
			if len(problems) != len(c.problems) {
				t.Fatalf("problems %v", problems)
			}
			for i, p := range problems {
				if !strings.HasPrefix(fmt.Sprintf("%d: %s", p.Line, p.Reason), c.problems[i]) {
					t.Errorf("problem %v, want %s", p, c.problems[i])
				}
			}
		})
	}
}

// Whatever comes in, every row becomes a line that says something, and each
// problem names a line of the text.
func FuzzReadList(f *testing.F) {
	for _, s := range []string{"4 x 47uF 6.3V SMD\n", "Qty,Value,Ref\n2,47uF,C1-C2\n", "Menge;Wert\n2;4,7µF\n",
		"a\tb\n1\t2\n", "C1: x\n", "1;2\n3;4", "Cantidad;x\n4;47uF\n", "個数,値\n4,47uF\n", "# a\nTotal;3\n",
		"47uF 16V (C1-C3)\n\xb5\n", ":"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		k, problems := ReadList(data)
		for _, l := range k.Lines {
			if strings.TrimSpace(l.Text) == "" || l.Quantity < 0 || l.Number < 1 || !utf8.ValidString(l.Text) ||
				slices.Contains(l.Designators, "") {
				t.Fatalf("%+v", l)
			}
		}
		told := map[int]bool{}
		for _, p := range problems {
			if p.Line < 1 || p.Reason.IsZero() {
				t.Fatalf("%+v", p)
			}
			told[p.Line] = true
		}
		// Every row that is more than a rule of signs is a line of the kit, or told.
		if rows := slices.DeleteFunc(list.Read(data).Rows, ruled); len(rows) <= MaxLines && len(k.Lines)+
			len(told) < len(rows) {
			t.Fatalf("%d rows became %d lines and %d problems", len(rows), len(k.Lines), len(told))
		}
	})
}
