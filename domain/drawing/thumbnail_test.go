package drawing

import (
	"strings"
	"testing"

	"boardlore/domain/board"
)

// TestThumbnail: small enough for a list of boards, within its view, and of the
// side that bears more parts.
func TestThumbnail(t *testing.T) {
	m := demo(t, "tarn-mx12-main.3.json")
	svg := string(Thumbnail(m))
	if n := len(svg); n > 6000 {
		t.Errorf("%d bytes for %d parts", n, len(m.Positions))
	}
	if strings.Contains(svg, "<text") || strings.Count(svg, "<path") != 4 {
		t.Errorf("outline and three kinds of parts are wanted, alone: %.200s", svg)
	}
	shapes, w, h := Silhouettes(m)
	for _, s := range shapes {
		for _, p := range s.Points {
			if p.X < -1 || p.Y < -1 || p.X > w+1 || p.Y > h+1 {
				t.Errorf("%v lies outside %v × %v", p, w, h)
			}
		}
	}
	under := preamp(t)
	for i := range under.Positions {
		under.Positions[i].Side = board.Bottom
	}
	if shapes, _, _ = Silhouettes(under); len(shapes) != 1+len(under.Positions) {
		t.Errorf("%d shapes of a board that bears its parts below", len(shapes))
	}
	if n := len(Thumbnail(crowd(board.MaxPositions))); n > 200_000 {
		t.Errorf("the largest board's picture has %d bytes", n)
	}
}
