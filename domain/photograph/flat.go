package photograph

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"

	"golang.org/x/image/draw"
)

const (
	// MaxFlat is how many pixels wide a flattened photograph is at most.
	MaxFlat = 2400
	// maxFlatPixels bounds what one flattened photograph has in all, so that
	// a strip of a board does not become a tower of pixels.
	maxFlatPixels = 8_000_000
	// finest is how many samples each way go into one pixel at most, where
	// the photograph is finer than what is made of it.
	finest = 3
)

// paper is what lies beyond the photograph's edge where nothing can be left
// transparent.
var paper = [3]int32{0xfa, 0xf9, 0xf4}

// Sheet is a board's rectangle in pixels, one side of it, seen from that side.
type Sheet struct {
	Width, Height int        // pixels
	Size          [2]float64 // mm
	Bottom        bool
}

// SheetOf is the sheet of a board that is so many pixels wide.
func SheetOf(size [2]float64, bottom bool, width int) Sheet {
	high := math.Round(float64(width) * size[1] / size[0])
	return Sheet{Width: width, Height: int(max(1, min(high, maxFlatPixels))), Size: size, Bottom: bottom}
}

// WidestFlat is how many pixels wide a sheet of a board is at most.
func WidestFlat(size [2]float64) int {
	return int(max(1, min(MaxFlat, math.Sqrt(maxFlatPixels*size[0]/size[1]))))
}

// Fine is the sheet of a board in the photograph's own fineness, or the widest
// that may be: more pixels would show no more.
func (p *Plane) Fine(size [2]float64, bottom bool) Sheet {
	const spare = 1.25 // since the near part of a tilted board is finer than its middle
	return SheetOf(size, bottom, int(max(1, min(float64(WidestFlat(size)), math.Ceil(spare*size[0]/p.Pixel)))))
}

// mm is the place in the map's frame that a spot of the sheet shows.
func (s Sheet) mm(x, y float64) [2]float64 {
	at := [2]float64{x / float64(s.Width) * s.Size[0], (1 - y/float64(s.Height)) * s.Size[1]}
	if s.Bottom {
		at[0] = s.Size[0] - at[0]
	}
	return at
}

// Flatten lays a kept photograph flat onto a sheet and gives it as JPEG.
// Beyond the photograph's edge is paper. Errors are those of Read.
func (p *Plane) Flatten(data []byte, s Sheet) ([]byte, error) {
	kept, err := Read(data)
	if err != nil {
		return nil, err
	}
	if int64(kept.Width)*int64(kept.Height) > MaxPixels {
		return nil, refuse(ErrLarge, "photograph.pixels", kept.Width, kept.Height, MaxPixels/1_000_000)
	}
	img, err := decode(&kept)
	if err != nil {
		return nil, &Refusal{Way: ErrBroken, cause: err}
	}
	return jpegOf(p.lay(img, s), 90)
}

// lay samples the photograph for every pixel of the sheet.
func (p *Plane) lay(img image.Image, s Sheet) *image.RGBA {
	out := image.NewRGBA(image.Rect(0, 0, s.Width, s.Height))
	b := img.Bounds()
	sample := samplerOf(img)
	n := p.fineness(s)
	for y := range s.Height {
		for x := range s.Width {
			var sum [3]int32
			for k := range n * n {
				at := s.mm(float64(x)+(float64(k%n)+0.5)/float64(n), float64(y)+(float64(k/n)+0.5)/float64(n))
				c := paper
				if q, ok := p.From(at); ok && within(q, b.Dx(), b.Dy()) {
					c = sample(q[0]-0.5, q[1]-0.5)
				}
				for i := range c {
					sum[i] += c[i]
				}
			}
			o, many := out.Pix[out.PixOffset(x, y):], int32(n*n)
			o[0], o[1], o[2], o[3] = uint8(sum[0]/many), uint8(sum[1]/many), uint8(sum[2]/many), 0xff
		}
	}
	return out
}

// fineness is how many pixels of the photograph go into one of the sheet, each way.
func (p *Plane) fineness(s Sheet) int {
	return int(max(1, min(finest, math.Ceil(s.Size[0]/float64(s.Width)/p.Pixel-0.5))))
}

func within(q [2]float64, w, h int) bool {
	return q[0] >= 0 && q[1] >= 0 && q[0] <= float64(w) && q[1] <= float64(h)
}

// samplerOf gives the colour between the pixels of a picture, by the share
// that the four around a spot have in it.
func samplerOf(img image.Image) func(u, v float64) [3]int32 {
	b := img.Bounds()
	pixel := pixelsOf(img)
	return func(u, v float64) (out [3]int32) {
		x, y := math.Floor(u), math.Floor(v)
		fx, fy := int32((u-x)*256), int32((v-y)*256)
		x0, y0 := clamp(int(x), b.Dx())+b.Min.X, clamp(int(y), b.Dy())+b.Min.Y
		x1, y1 := clamp(int(x)+1, b.Dx())+b.Min.X, clamp(int(y)+1, b.Dy())+b.Min.Y
		nw, ne, sw, se := pixel(x0, y0), pixel(x1, y0), pixel(x0, y1), pixel(x1, y1)
		for i := range out {
			top, low := nw[i]*(256-fx)+ne[i]*fx, sw[i]*(256-fx)+se[i]*fx
			out[i] = (top*(256-fy) + low*fy) >> 16
		}
		return out
	}
}

// pixelsOf gives the pixels of a picture: as the decoder left them where that
// is a camera's, so that a large one does not stand twice in memory.
func pixelsOf(img image.Image) func(x, y int) [3]int32 {
	if c, ok := img.(*image.YCbCr); ok {
		return func(x, y int) [3]int32 {
			k := c.COffset(x, y)
			r, g, b := color.YCbCrToRGB(c.Y[c.YOffset(x, y)], c.Cb[k], c.Cr[k])
			return [3]int32{int32(r), int32(g), int32(b)}
		}
	}
	c, ok := img.(*image.RGBA)
	if !ok || !c.Opaque() {
		c = image.NewRGBA(img.Bounds())
		draw.Draw(c, c.Rect, image.NewUniform(color.RGBA{uint8(paper[0]), uint8(paper[1]), uint8(paper[2]), 0xff}),
			image.Point{}, draw.Src)
		draw.Draw(c, c.Rect, img, img.Bounds().Min, draw.Over)
	}
	return func(x, y int) [3]int32 {
		o := c.Pix[c.PixOffset(x, y):]
		return [3]int32{int32(o[0]), int32(o[1]), int32(o[2])}
	}
}

func clamp(x, n int) int { return max(0, min(x, n-1)) }

// Scale makes a narrower sheet of a flattened photograph, as JPEG; the same
// where it is as wide.
func Scale(flat []byte, s Sheet) ([]byte, error) {
	img, err := jpeg.Decode(bytes.NewReader(flat))
	if err != nil {
		return nil, &Refusal{Way: ErrBroken, cause: err}
	}
	if img.Bounds().Dx() == s.Width {
		return flat, nil
	}
	return jpegOf(scaled(img, s), 85)
}

// ScaleCut makes a sheet of a flattened photograph as PNG, transparent where
// it lies beyond the edge of the photograph of so many pixels.
func (p *Plane) ScaleCut(flat []byte, s Sheet, width, height int) ([]byte, error) {
	img, err := jpeg.Decode(bytes.NewReader(flat))
	if err != nil {
		return nil, &Refusal{Way: ErrBroken, cause: err}
	}
	out := scaled(img, s)
	for y := range s.Height {
		for x := range s.Width {
			if q, ok := p.From(s.mm(float64(x)+0.5, float64(y)+0.5)); !ok || !within(q, width, height) {
				copy(out.Pix[out.PixOffset(x, y):], []byte{0, 0, 0, 0})
			}
		}
	}
	var b bytes.Buffer
	err = (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&b, out)
	return b.Bytes(), err
}

func scaled(img image.Image, s Sheet) *image.RGBA {
	out := image.NewRGBA(image.Rect(0, 0, s.Width, s.Height))
	if img.Bounds().Dx() == s.Width {
		draw.Draw(out, out.Rect, img, img.Bounds().Min, draw.Src)
		return out
	}
	draw.BiLinear.Scale(out, out.Rect, img, img.Bounds(), draw.Src, nil)
	return out
}

func jpegOf(img image.Image, quality int) ([]byte, error) {
	var b bytes.Buffer
	err := jpeg.Encode(&b, img, &jpeg.Options{Quality: quality})
	return b.Bytes(), err
}
