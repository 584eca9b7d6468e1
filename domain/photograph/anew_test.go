package photograph_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"strings"
	"testing"

	"boardlore/domain/photograph"
)

// quarters is 32 × 16 pixels: the upper left quarter red, the upper right green,
// the lower left blue, the lower right white.
func quarters() image.Image {
	m := image.NewNRGBA(image.Rect(0, 0, 32, 16))
	for y := range 16 {
		for x := range 32 {
			m.Set(x, y, []color.NRGBA{{255, 0, 0, 255}, {0, 255, 0, 255}, {0, 0, 255, 255}, {255, 255, 255, 255}}[x/16+
				y/8*2])
		}
	}
	return m
}

// TestUpright: how the camera was held is undone. Expected are the quarters,
// read from left to right and from top to bottom, after Exif 2.32, tag
// Orientation: which side of the picture row 0 and column 0 of the pixels are.
func TestUpright(t *testing.T) {
	for held, want := range map[uint16]string{1: "rgbw", 2: "grwb", 3: "wbgr", 4: "bwrg", 5: "rbgw", 6: "brwg",
		7: "wgbr", 8: "gwrb"} {
		for _, kind := range []string{"jpeg", "png"} {
			t.Run(fmt.Sprint(kind, held), func(t *testing.T) {
				var b bytes.Buffer
				var data []byte
				if kind == "png" {
					if err := png.Encode(&b, quarters()); err != nil {
						t.Fatal(err)
					}
					data = append(b.Bytes()[:33:33], append(chunk("eXIf", string(exif(binary.BigEndian, held))),
						b.Bytes()[33:]...)...) // after IHDR
				} else {
					if err := jpeg.Encode(&b, quarters(), nil); err != nil {
						t.Fatal(err)
					}
					data = append([]byte("\xff\xd8"),
						append(segment(0xe1, "Exif\x00\x00"+string(exif(binary.BigEndian, held))), b.Bytes()[2:]...)...)
				}
				p, err := photograph.Anew(data)
				if err != nil {
					t.Fatal(err)
				}
				m, _, err := image.Decode(bytes.NewReader(p.Data))
				if err != nil {
					t.Fatal(err)
				}
				w, h := m.Bounds().Dx(), m.Bounds().Dy()
				if (held >= 5) != (w == 16 && h == 32) || p.Width != w || p.Height != h {
					t.Errorf("%d × %d, told as %d × %d", w, h, p.Width, p.Height)
				}
				got := ""
				for i := range 4 {
					r, g, b, _ := m.At(w/4+i%2*w/2, h/4+i/2*h/2).RGBA()
					got += map[[3]bool]string{{true, false, false}: "r", {false, true, false}: "g",
						{false, false, true}: "b", {true, true, true}: "w"}[[3]bool{r > 1<<15, g > 1<<15, b > 1<<15}]
				}
				if got != want {
					t.Errorf("held as %d: %s, want %s", held, got, want)
				}
			})
		}
	}
}

// TestAnewHoldsPixelsAlone: nothing that is no pixel comes through, and the same
// picture gives the same bytes whatever came with it.
func TestAnewHoldsPixelsAlone(t *testing.T) {
	plain, err := photograph.Anew(jpegOf(t))
	if err != nil {
		t.Fatal(err)
	}
	secret := "51.4778N 0.0015W of my bench"
	loaded, err := photograph.Anew(append(jpegOf(t, segment(0xfe, secret), segment(0xe2, "ICC_PROFILE\x00\x01\x01"+
		secret), segment(0xed, secret)), "PK\x03\x04"+secret...))
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(loaded.Data, []byte(secret)) || !bytes.Equal(loaded.Data, plain.Data) {
		t.Error("something beside the pixels came through")
	}
}

// TestAnewIsBounded: what would take too much room is refused by what it says of
// itself, and what is no picture inside is broken.
func TestAnewIsBounded(t *testing.T) {
	bomb := pngOf(t)
	binary.BigEndian.PutUint32(bomb[16:], 20000)
	binary.BigEndian.PutUint32(bomb[20:], 20000)
	fixed := append(bytes.Clone(bomb[:8]), chunk("IHDR", string(bomb[16:29]))...)
	fixed = append(fixed, bomb[33:]...)
	if _, err := photograph.Anew(fixed); !errors.Is(err, photograph.ErrLarge) {
		t.Errorf("20000 × 20000: %v", err)
	}
	whole := jpegOf(t)
	scan := bytes.Index(whole, []byte("\xff\xda"))
	hollow := append(bytes.Clone(whole[:scan+14]), "\xff\xd9"...)
	if _, err := photograph.Anew(hollow); !errors.Is(err, photograph.ErrBroken) {
		t.Errorf("without pixels: %v", err)
	}
	noise := image.NewNRGBA(image.Rect(0, 0, 2000, 1500))
	r := rand.NewChaCha8([32]byte([]byte(strings.Repeat("x", 32))))
	_, _ = r.Read(noise.Pix)
	for i := 3; i < len(noise.Pix); i += 4 {
		noise.Pix[i] = 255
	}
	var b bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.NoCompression}).Encode(&b, noise); err != nil {
		t.Fatal(err)
	}
	p, err := photograph.Anew(b.Bytes())
	if err != nil || len(p.Data) > photograph.MaxKept || p.Type != "image/jpeg" || p.Width != 2000 {
		t.Errorf("noise of %d bytes: %d bytes of %s, %v", b.Len(), len(p.Data), p.Type, err)
	}
}
