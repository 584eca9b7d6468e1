package photograph_test

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"testing"

	"boardlore/domain/photograph"
)

// patches is the colour of each square of 10 mm × 10 mm of a made-up board, so
// that every place of it tells which one it is.
func patches(x, y float64) color.NRGBA {
	return color.NRGBA{uint8(40 + 10*math.Floor(x/10)), uint8(40 + 20*math.Floor(y/10)),
		uint8(60 + 120*(int(math.Floor(x/10)+math.Floor(y/10))&1)), 255}
}

// seen is what a camera takes of the board: each pixel by itself from the place
// that it shows, worked by Cramer's rule from the camera's own matrix, so that
// nothing of the code under test is in it.
func seen(c camera, w, h int) *image.NRGBA {
	img := image.NewNRGBA(image.Rect(0, 0, w, h))
	for v := range h {
		for u := range w {
			x, y := c.ground(float64(u)+0.5, float64(v)+0.5)
			if x < 0 || y < 0 || x >= 160 || y >= 90 {
				img.SetNRGBA(u, v, color.NRGBA{90, 60, 30, 255}) // the bench
				continue
			}
			img.SetNRGBA(u, v, patches(x, y))
		}
	}
	return img
}

// ground is the place that a pixel shows: the solution of x (h0 - u h6) + y (h1
// - u h7) = u h8 - h2, and the like for v.
func (c camera) ground(u, v float64) (x, y float64) {
	h := c.h
	a, b, r := h[0]-u*h[6], h[1]-u*h[7], u*h[8]-h[2]
	d, e, s := h[3]-v*h[6], h[4]-v*h[7], v*h[8]-h[5]
	det := a*e - b*d
	return (r*e - b*s) / det, (a*s - r*d) / det
}

func encoded(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A tilted picture, laid flat, shows every patch of the board where it belongs:
// from above for the top side, mirrored for the bottom side.
func TestFlatten(t *testing.T) {
	for _, bottom := range []bool{false, true} {
		t.Run(fmt.Sprint("bottom ", bottom), func(t *testing.T) {
			c := over(0.3, -0.2, 0.1, bottom)
			data := encoded(t, seen(c, 3000, 2000))
			p, _, err := photograph.Lie(c.points(corners...), bottom)
			if err != nil {
				t.Fatal(err)
			}
			s := photograph.SheetOf([2]float64{160, 90}, bottom, 640)
			flat, err := p.Flatten(data, s)
			if err != nil {
				t.Fatal(err)
			}
			img, err := jpeg.Decode(bytes.NewReader(flat))
			if err != nil || img.Bounds().Dx() != 640 || img.Bounds().Dy() != 360 {
				t.Fatalf("%v, %v", img.Bounds(), err)
			}
			for y := 5.0; y < 90; y += 10 {
				for x := 5.0; x < 160; x += 10 {
					at := x
					if bottom {
						at = 160 - x
					}
					near(t, img, int(at*4), int((90-y)*4), patches(x, y))
				}
			}
		})
	}
}

func near(t *testing.T, img image.Image, x, y int, want color.NRGBA) {
	t.Helper()
	r, g, b, _ := img.At(x, y).RGBA()
	const off = 12 // of 255: what JPEG leaves of a flat patch
	if math.Abs(float64(r>>8)-float64(want.R)) > off || math.Abs(float64(g>>8)-float64(want.G)) > off ||
		math.Abs(float64(b>>8)-float64(want.B)) > off {
		t.Errorf("at %d, %d: %d %d %d, want %v", x, y, r>>8, g>>8, b>>8, want)
	}
}

// Where the photograph ends there is paper in JPEG and nothing in PNG.
func TestFlattenBeyondTheEdge(t *testing.T) {
	c := over(0, 0, 0, false)
	img := seen(c, 3000, 2000).SubImage(image.Rect(0, 0, 1500, 2000)) // the right half of the board is not in it
	p, _, err := photograph.Lie(c.points(corners...), false)
	if err != nil {
		t.Fatal(err)
	}
	size := [2]float64{160, 90}
	flat, err := p.Flatten(encoded(t, img), photograph.SheetOf(size, false, 640))
	if err != nil {
		t.Fatal(err)
	}
	half := photograph.SheetOf(size, false, 320)
	narrow, err := photograph.Scale(flat, half)
	if err != nil {
		t.Fatal(err)
	}
	asJPEG, err := jpeg.Decode(bytes.NewReader(narrow))
	if err != nil || asJPEG.Bounds() != image.Rect(0, 0, 320, 180) {
		t.Fatal(asJPEG.Bounds(), err)
	}
	near(t, asJPEG, 240, 90, color.NRGBA{0xfa, 0xf9, 0xf4, 255})
	near(t, asJPEG, 10, 170, patches(5, 5))
	cut, err := p.ScaleCut(flat, half, 1500, 2000)
	if err != nil {
		t.Fatal(err)
	}
	asPNG, err := png.Decode(bytes.NewReader(cut))
	if err != nil || asPNG.Bounds() != image.Rect(0, 0, 320, 180) {
		t.Fatal(asPNG.Bounds(), err)
	}
	if _, _, _, a := asPNG.At(240, 90).RGBA(); a != 0 {
		t.Errorf("beyond the edge the alpha is %d", a)
	}
	if _, _, _, a := asPNG.At(80, 90).RGBA(); a != 0xffff {
		t.Errorf("within it is %d", a)
	}
	near(t, asPNG, 10, 170, patches(5, 5))
}

// However long a board, its sheet has pixels within bounds, and its shape.
func TestSheetIsBounded(t *testing.T) {
	for _, size := range [][2]float64{{1, 2000}, {20, 200}, {100, 100}, {160, 90}, {2000, 1}} {
		w := photograph.WidestFlat(size)
		s := photograph.SheetOf(size, false, w)
		if w < 1 || w > 2400 || s.Width != w || s.Height < 1 || s.Width*s.Height > 8_100_000 {
			t.Errorf("%v: %d × %d", size, s.Width, s.Height)
		}
		if want := float64(w) * size[1] / size[0]; math.Abs(float64(s.Height)-want) > 0.5 && s.Height != 1 {
			t.Errorf("%v: %d high for %d wide", size, s.Height, w)
		}
	}
	if w := photograph.WidestFlat([2]float64{160, 90}); w != 2400 {
		t.Errorf("a common board is %d wide at most", w)
	}
}

func BenchmarkFlatten(b *testing.B) {
	c := over(0.2, 0.1, 0.1, false)
	var j bytes.Buffer
	if err := jpeg.Encode(&j, seen(c, 4000, 3000), nil); err != nil {
		b.Fatal(err)
	}
	p, _, err := photograph.Lie(c.points(corners...), false)
	if err != nil {
		b.Fatal(err)
	}
	wide := photograph.SheetOf([2]float64{160, 90}, false, 2400)
	flat, err := p.Flatten(j.Bytes(), wide)
	if err != nil {
		b.Fatal(err)
	}
	b.Run("lay", func(b *testing.B) {
		for b.Loop() {
			if _, err := p.Flatten(j.Bytes(), wide); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("scale", func(b *testing.B) {
		for b.Loop() {
			if _, err := photograph.Scale(flat, photograph.SheetOf([2]float64{160, 90}, false, 1200)); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("cut", func(b *testing.B) {
		for b.Loop() {
			if _, err := p.ScaleCut(flat, wide, 4000, 3000); err != nil {
				b.Fatal(err)
			}
		}
	})
}
