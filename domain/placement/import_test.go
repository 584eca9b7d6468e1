package placement_test

import (
	"encoding/binary"
	"fmt"
	"math"
	"strings"
	"testing"
	"unicode/utf16"

	"boardlore/domain/board"
	"boardlore/domain/list"
	"boardlore/domain/part"
	"boardlore/domain/placement"
)

func imported(placements, parts string, o placement.Options) placement.Result {
	return placement.Read(placement.Request{Board: "b", Name: "N", Equipment: board.Equipment{Maker: "M", Model: "O"},
		Placements: placements, Parts: parts, Options: o})
}

func positionOf(t *testing.T, r placement.Result, d string) *board.Position {
	t.Helper()
	if r.Map != nil {
		for i := range r.Map.Positions {
			if r.Map.Positions[i].Designator == d {
				return &r.Map.Positions[i]
			}
		}
	}
	t.Fatalf("no %s: %+v %+v", d, r.Problems, r.Questions)
	return nil
}

func asked(r placement.Result, code string) (n int) {
	for _, q := range r.Questions {
		if q.Code == code {
			n++
		}
	}
	return n
}

// TestUnitIsBelieved: what a remark or a cell says of the unit counts; what
// nothing says is judged by the size of the board, and asked. Expected by hand:
// 1000 mil are 25.4 mm.
func TestUnitIsBelieved(t *testing.T) {
	for name, c := range map[string]struct {
		list string
		x    float64
		asks int
	}{
		"remark in mils": {"# Units: mils\nRef,Value,X,Y,Rot,Side\nC1,10u,1000,500,0,top\nC2,1u,2000,500,0,top\n",
			25.4, 0},
		"remark, used":     {"### Unit used = mm / deg.\nRef,Value,X,Y,Rot,Side\nC1,10u,10,5,0,top\n", 10, 0},
		"remark in German": {"; Einheit: Zoll\nBezeichner,Wert,X,Y,Winkel,Seite\nC1,10u,1,0.5,0,oben\n", 25.4, 0},
		"exclamation marks": {"! placement\n! units are inches\nRef,Value,X,Y,Rot,Side\nC1,10u,1,0.5,0,top\n! end " +
			"of file\n", 25.4, 0},
		"cells":              {"Ref,Value,X,Y,Rot,Side\nC1,10u,1000mil,500mil,0,top\n", 25.4, 0},
		"nothing, mils":      {"Ref,Value,X,Y,Rot,Side\nC1,10u,1000,500,0,top\nC2,10u,9000,500,0,top\n", 25.4, 1},
		"nothing, mm":        {"Ref,Value,X,Y,Rot,Side\nC1,10u,10,5,0,top\n", 10, 1},
		"headings in remark": {"; Ref;Value;X;Y;Rot;Side\nC1;10u;10;5;0;top\n", 10, 1},
	} {
		t.Run(name, func(t *testing.T) {
			r := imported(c.list, "", placement.Options{})
			if p := positionOf(t, r, "C1"); math.Abs(p.X-c.x) > 1e-9 || asked(r, "unit") != c.asks {
				t.Errorf("x = %g, want %g; asked %d times, want %d: %+v", p.X, c.x, asked(r, "unit"), c.asks,
					r.Questions)
			}
		})
	}
}

// TestWideGerman: a list in UTF-16 with German headings and decimal commas.
func TestWideGerman(t *testing.T) {
	text := "\ufeffBezeichner\tWert\tX-Position\tY-Position\tDrehung\tSeite\nC1\t4,7 µF 35 V " +
		"bipolar\t12,5\t7,25\t90\tOben\nR1\t10 kΩ\t20,5\t7\t0\tUnten\n"
	var data []byte
	for _, u := range utf16.Encode([]rune(text)) {
		data = binary.LittleEndian.AppendUint16(data, u)
	}
	decoded, encoding := list.Decode(data)
	r := imported(decoded, "", placement.Options{Unit: "mm", Bottom: "seen-from-top"})
	p := positionOf(t, r, "C1")
	if encoding != "utf-16le" || p.X != 12.5 || p.Y != 7.25 || p.Rotation != 90 || p.Part.Value.String() != "4.7 µF" ||
		p.Part.Polarised == nil || *p.Part.Polarised {
		t.Errorf("%s: %+v %s", encoding, p, p.Part.String())
	}
	if q := positionOf(t, r, "R1"); q.Side != board.Bottom {
		t.Errorf("R1 is on the %s", q.Side)
	}
}

// TestLibraryNames: a name of a library is read where it is sure, and kept where
// it is not; marks of the board are no parts, and no cells.
func TestLibraryNames(t *testing.T) {
	r := imported("Ref,Value,Package,X (mm),Y (mm),Rot,Side\nC1,CC1206_10UF_25V_10%_X7R,,10,5,0,top\nR1,RC0603_10K_1%,,12,5,0,top\nC2,whatsit_99,,14,5,0,top\n"+
		"FID1,Fiducial,,1,1,0,top\nH1,MountingHole_3.2mm,,2,2,0,top\nB1,Fiducial_1mm,,3,3,0,top\n", "",
		placement.Options{})
	if got := positionOf(t, r, "C1").Part; got.Value.String() != "10 µF" || got.Voltage.String() != "25 V" ||
		got.Dielectric != "X7R" || got.Text != "" {
		t.Errorf("C1 is %s", got.String())
	}
	if got := positionOf(t, r, "R1").Part; got.Value.String() != "10 kΩ" {
		t.Errorf("R1 is %s", got.String())
	}
	if got := positionOf(t, r, "C2").Part; got.Text != "whatsit_99" || !got.Value.IsZero() {
		t.Errorf("C2 is %s", got.String())
	}
	for _, d := range []string{"FID1", "H1", "B1"} {
		if got := positionOf(t, r, d).Part; got.Class != part.Other {
			t.Errorf("%s is a %s", d, got.Class)
		}
	}
}

// TestPartsListAlone: without places the parts are there, and that they have none
// is asked once.
func TestPartsListAlone(t *testing.T) {
	r := imported("", "Qty;Bauteile;Wert\n3;C1-C3;47 µF 25 V\n1;R1;10k\n", placement.Options{})
	if p := positionOf(t, r, "C3"); p.Part.Voltage.String() != "25 V" || p.X != 0 || asked(r, "places") != 1 ||
		len(r.Map.Positions) != 4 {
		t.Errorf("%+v %+v", p, r.Questions)
	}
}

// Large is the placement list of a board of 1,495 parts as an older layout tool
// writes it: the unit in a remark, library names for values.
func large() string {
	var b strings.Builder
	b.WriteString("# Placement report\n# Units: mils\nRefDes,Value,Package,X,Y,Rotation,Layer\n")
	for i := range 1495 {
		side := []string{"Top", "Bottom"}[i%5/4]
		name, value := "", ""
		switch i % 13 {
		case 0, 1, 2, 3:
			name, value = "C", []string{"CC1206_10UF_25V_10%_X7R", "CC0603_100NF_50V_10%_X7R", "CAP_CUSTOM_A7",
				"100nF"}[i%13]
		case 4, 5, 6, 7, 8:
			name, value = "R", []string{"RC0603_10K_1%", "RES_SEE_NOTE", "4k7", "RC1206_0R_5%", "100R"}[i%13-4]
		case 9:
			name, value = "U", "XQ7741-BN"
		case 10:
			name, value = "L", "CHOKE_SPECIAL"
		case 11:
			name, value = "FID", "Fiducial"
		default:
			name, value = "D", "BAS16"
		}
		fmt.Fprintf(&b, "%s%d,%s,,%d,%d,%d,%s\n", name, i+1, value, 200+i%40*250, 200+i/40*200, i%4*90, side)
	}
	return b.String()
}

// TestLargeList: no row is lost, like questions are one, and what is read is
// read right.
func TestLargeList(t *testing.T) {
	r := imported(large(), "", placement.Options{})
	if r.Rows.Read != 1495 || r.Rows.Used != 1495 || r.Map == nil || len(r.Map.Positions) != 1495 ||
		len(r.Problems) > 0 {
		t.Fatalf("%+v, problems %v", r.Rows, r.Problems)
	}
	if len(r.Questions) > 10 {
		t.Errorf("%d questions", len(r.Questions))
	}
	for _, q := range r.Questions {
		t.Logf("%s: %.120s", q.Code, q.Text)
	}
	if p := positionOf(t, r, "C1"); p.Part.Value.String() != "10 µF" || math.Abs(p.X-200*0.0254) > 1e-4 {
		t.Errorf("C1 is %s at %g", p.Part.String(), p.X)
	}
}
