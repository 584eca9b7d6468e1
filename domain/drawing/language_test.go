package drawing

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"

	"boardlore/domain/board"
	"boardlore/domain/message"
	"boardlore/domain/message/messagetest"
)

var twoLetters = regexp.MustCompile(`\p{L}{2,}`)

// said is all that a scene has in words.
func said(s *Scene) []string {
	texts := []string{s.Title, s.Desc}
	for i := range s.Items {
		texts = append(texts, s.Items[i].Text, s.Items[i].Title)
	}
	return texts
}

// TestLanguage: whatever a drawing says is in the language that was asked for,
// but for what the map itself says.
func TestLanguage(t *testing.T) {
	en, err := os.ReadFile("../message/en.txt")
	if err != nil {
		t.Fatal(err)
	}
	bracketed := messagetest.Bracketed(t, string(en))
	was, now := preamp(t), preamp(t)
	now.Name, now.Frame.Uncertainty = "Another name", ptr(0.25)
	now.Positions = append(now.Positions[2:], board.Position{Designator: "C99", Side: board.Top, X: 10, Y: 10})
	now.Positions[0].X += 5
	now.Positions[1].Part.Text = "as printed"
	d := board.Diff(was, now)
	data, err := json.Marshal([]*board.Map{was, now})
	if err != nil {
		t.Fatal(err)
	}
	own := string(data) + "mm CC0 9f86d081"
	signs := make([]Badge, 0, Lost)
	for g := Good; g <= Lost; g++ {
		signs = append(signs, Badge{now.Positions[g].Designator, g})
	}
	for _, basis := range []string{"measured", "design-data", "photograph"} {
		now.Frame.Basis = basis
		for _, side := range board.Sides {
			for _, revision := range []int{0, 3} {
				o := Options{Side: side, In: bracketed, Revision: revision, Marks: []string{"C5"}, Badges: signs,
					Zone: func(zone string, near int) string { return "#" + zone }}
				for what, s := range map[string]*Scene{"board": Layout(now, o), "comparison": LayoutCompare(was, now, d,
					o)} {
					for _, text := range said(s) {
						for _, w := range twoLetters.FindAllString(messagetest.Outside(text), -1) {
							if !strings.Contains(own, w) {
								t.Errorf("%s, %s: %q is said in no language: %s", what, side, w, text)
							}
						}
					}
				}
			}
		}
	}
}

// TestGerman: what is told with the picture and below it, and that English is
// what is spoken unless another language is asked for.
func TestGerman(t *testing.T) {
	m := preamp(t)
	german := Layout(m, Options{Side: board.Bottom, In: message.Named("de"), Marks: []string{"C5"}})
	if want := m.Name + " (" + m.Board + "), Unterseite, von links nach rechts umgedreht"; german.Title != want {
		t.Errorf("the title is %q, want %q", german.Title, want)
	}
	all := strings.Join(said(german), "\n")
	for _, want := range []string{"Maßstäbliche Zeichnung von 2 Positionen.", "ersetzen", "Polung nicht vermerkt",
		"GERÄT", "nicht freigegeben", "markiert"} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is not said:\n%s", want, all)
		}
	}
	o := Options{Side: board.Bottom}
	plain := string(Board(m, o))
	if o.In = message.English; string(Board(m, o)) != plain {
		t.Error("a drawing in no language is not the English one")
	}
}
