package api

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"
)

// halves is a picture of 400 × 320 pixels of sampleMap's board of 100 mm × 80
// mm, seen straight from above: four pixels a millimetre, the left half red.
// What the camera saw beside the board's right edge is cut off.
func halves(t *testing.T, width int) string {
	t.Helper()
	m := image.NewNRGBA(image.Rect(0, 0, width, 320))
	for y := range 320 {
		for x := range width {
			c := color.NRGBA{200, 20, 20, 255}
			if x >= 200 {
				c = color.NRGBA{20, 20, 200, 255}
			}
			m.SetNRGBA(x, y, c)
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// cornersOf are the board's corners in such a picture; the bottom side is seen mirrored.
func cornersOf(side string) string {
	at := [][4]int{{0, 320, 0, 0}, {400, 320, 100, 0}, {400, 0, 100, 80}, {0, 0, 0, 80}}
	var out []string
	for _, q := range at {
		if side == "bottom" {
			q[2] = 100 - q[2]
		}
		out = append(out, fmt.Sprintf(`{"pixel":[%d,%d],"mm":[%d,%d]}`, q[0], q[1], q[2], q[3]))
	}
	return strings.Join(out, ",")
}

// bring uploads a picture as ada and gives its name.
func (f *fixture) bring(t *testing.T, picture string) string {
	t.Helper()
	a := f.ask(t, "ada", "POST", "/v1/photographs", picture, "Content-Type", "image/png")
	if a.status != 201 && a.status != 200 {
		t.Fatalf("upload: %d %s", a.status, a.body)
	}
	return a.doc["sha256"].(string)
}

// photographedMap is sampleMap with a photograph.
func photographedMap(sha256, side, points string) string {
	return strings.TrimSuffix(sampleMap, "}") + `,"photographs":[{"sha256":"` + sha256 + `","side":"` + side +
		`","points":[` + points + `]}]}`
}

// TestFlatPhotograph: the photograph of a side comes as the frame's rectangle,
// in the width and the form that are asked for, and is told to be the same.
func TestFlatPhotograph(t *testing.T) {
	f := serve(t)
	path := "/v1/boards/fen-rx2-main/photograph"
	f.ask(t, "", "GET", path, "").want(t, 404, "board-unknown")
	f.release1(t)
	f.ask(t, "", "GET", path, "").want(t, 404, "photograph-unknown")
	sum := f.bring(t, halves(t, 300))
	refused := f.ask(t, "ada", "POST", "/v1/proposals", submission1("1", photographedMap(strings.Repeat("ab", 32),
		"top", cornersOf("top")), "no such")).want(t, 422, "submission-invalid")
	if !bytes.Contains(refused.body, []byte(`"/map/photographs/0/sha256"`)) {
		t.Errorf("not pointed at: %s", refused.body)
	}
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("1", photographedMap(sum, "top", cornersOf("top")),
		"with a photograph")).want(t, 201, "")
	f.endorse(t, 2)

	a := f.ask(t, "", "GET", path, "").want(t, 200, "")
	img, err := jpeg.Decode(bytes.NewReader(a.body))
	if err != nil || a.header.Get("Content-Type") != "image/jpeg" || img.Bounds() != image.Rect(0, 0, 1200, 960) {
		t.Fatalf("%s, %v: %v", a.header.Get("Content-Type"), img, err)
	}
	dominant(t, img, 300, 480, "red")
	dominant(t, img, 750, 480, "blue")
	if r, g, b, _ := img.At(1100, 480).RGBA(); r>>8 < 230 || g>>8 < 230 || b>>8 < 230 {
		t.Errorf("beyond the photograph's edge is %d %d %d", r>>8, g>>8, b>>8)
	}
	tag := a.header.Get("ETag")
	f.ask(t, "", "GET", path+"?side=top&width=1200&revision=2", "", "If-None-Match", tag).want(t, 304, "")
	if again := f.ask(t, "", "GET", path, "").want(t, 200, ""); !bytes.Equal(again.body, a.body) {
		t.Error("asked again it has other bytes")
	}

	p := f.ask(t, "", "GET", path+"?width=500", "", "Accept", "image/jpeg;q=0.5, image/png").want(t, 200, "")
	cut, err := png.Decode(bytes.NewReader(p.body))
	if err != nil || p.header.Get("Content-Type") != "image/png" || cut.Bounds() != image.Rect(0, 0, 500, 400) ||
		p.header.Get("ETag") == tag {
		t.Fatalf("%v %v", p.header, err)
	}
	if _, _, _, alpha := cut.At(450, 200).RGBA(); alpha != 0 {
		t.Errorf("beyond the edge the alpha is %d", alpha)
	}
	dominant(t, cut, 100, 200, "red")
	if h := f.ask(t, "", "HEAD", path+"?width=2400", ""); h.status != 200 || h.header.Get("ETag") == tag {
		t.Errorf("HEAD: %d %v", h.status, h.header)
	}

	f.ask(t, "", "GET", path+"?side=bottom", "").want(t, 404, "photograph-unknown")
	f.ask(t, "", "GET", path+"?revision=1", "").want(t, 404, "photograph-unknown")
	f.ask(t, "", "GET", path+"?revision=9", "").want(t, 404, "revision-unknown")
	f.ask(t, "", "GET", path+"?side=left", "").want(t, 400, "parameter-invalid")
	for _, w := range []string{"0", "-1", "2401", "1e3", "wide"} {
		f.ask(t, "", "GET", path+"?width="+w, "").want(t, 422, "photograph-width")
	}
	f.ask(t, "", "GET", path, "", "Accept", "image/webp").want(t, 406, "not-acceptable")
}

// TestFlatBottom: the bottom is seen from the bottom, and a photograph that was
// taken out of use is shown flat no more.
func TestFlatBottom(t *testing.T) {
	f := serve(t)
	sum := f.bring(t, halves(t, 400))
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("0", photographedMap(sum, "bottom", cornersOf("bottom")),
		"both sides")).want(t, 201, "")
	f.endorse(t, 1)
	const path = "/v1/boards/fen-rx2-main/photograph?side=bottom"
	img, err := jpeg.Decode(bytes.NewReader(f.ask(t, "", "GET", path, "").want(t, 200, "").body))
	if err != nil {
		t.Fatal(err)
	}
	dominant(t, img, 300, 480, "red") // as in the photograph
	dominant(t, img, 900, 480, "blue")
	f.ask(t, "sue", "POST", "/v1/photographs/"+sum+"/withdrawal",
		`{"reason":"Shows a face.","kind":"mistaken"}`).want(t, 200, "")
	f.ask(t, "", "GET", path, "").want(t, 410, "withdrawn")
}

// TestFlatOpen: points in a line leave it open how the board lies.
func TestFlatOpen(t *testing.T) {
	f := serve(t)
	sum := f.bring(t, halves(t, 400))
	line := `{"pixel":[0,0],"mm":[0,80]},{"pixel":[40,0],"mm":[10,80]},{"pixel":[80,0],"mm":[20,80]},{"pixel":[120,0],"mm":[30,80]}`
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("0", photographedMap(sum, "top", line), "in a line")).want(t,
		201, "")
	f.endorse(t, 1)
	f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/photograph", "").want(t, 422, "points-open")
}

func dominant(t *testing.T, img image.Image, x, y int, want string) {
	t.Helper()
	r, _, b, _ := img.At(x, y).RGBA()
	if got := map[bool]string{true: "red", false: "blue"}[r > b]; got != want {
		t.Errorf("at %d, %d it is %s, want %s", x, y, got, want)
	}
}
