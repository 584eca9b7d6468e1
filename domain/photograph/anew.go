package photograph

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"

	"golang.org/x/image/webp"
)

const (
	// MaxPixels bounds what is decoded: what any camera takes that a board is
	// photographed with, and a bomb does not.
	MaxPixels = 40_000_000
	// MaxKept is the most bytes of a picture as it is kept.
	MaxKept = 8 << 20
)

// qualities of JPEG to try in turn until a picture is small enough. Common
// practice: at 90 and above nobody sees the difference.
var qualities = []int{90, 80, 65, 50, 30}

// Anew reads a picture, decodes its pixels and writes them again: upright, as
// JPEG or PNG, and with nothing but the pixels in it. What travelled in the
// picture unseen, whatever it was, is gone. Equal pictures give equal bytes.
// Errors are those of Read.
//
// Colour profiles are not heeded, so that a picture in a wide one comes out
// paler.
func Anew(data []byte) (Picture, error) {
	p, err := Read(data)
	if err != nil {
		return Picture{}, err
	}
	if int64(p.Width)*int64(p.Height) > MaxPixels {
		return Picture{}, refuse(ErrLarge, "photograph.pixels", p.Width, p.Height, MaxPixels/1_000_000)
	}
	img, err := decode(&p)
	if err != nil {
		return Picture{}, &Refusal{Way: ErrBroken, cause: err}
	}
	if b := img.Bounds(); b.Dx() != p.Width || b.Dy() != p.Height {
		return Picture{}, refuse(ErrBroken, "photograph.other-size", b.Dx(), b.Dy(), p.Width, p.Height)
	}
	return encode(turn(img, p.held))
}

func decode(p *Picture) (image.Image, error) {
	r := bytes.NewReader(p.Data)
	switch p.Type {
	case "image/jpeg":
		return jpeg.Decode(r)
	case "image/png":
		return png.Decode(r)
	}
	return webp.Decode(r)
}

// encode writes as JPEG what came with a camera's colours, as PNG what came
// without loss, unless that is too large.
func encode(img image.Image) (Picture, error) {
	p := Picture{Width: img.Bounds().Dx(), Height: img.Bounds().Dy()}
	var b bytes.Buffer
	switch img.(type) {
	case *image.YCbCr, *image.CMYK:
	default:
		if err := png.Encode(&b, img); err != nil {
			return Picture{}, &Refusal{Way: ErrBroken, cause: err}
		}
		if b.Len() <= MaxKept {
			p.Type, p.Data = "image/png", b.Bytes()
			return p, nil
		}
		img = onWhite(img)
	}
	for _, q := range qualities {
		b.Reset()
		if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: q}); err != nil {
			return Picture{}, &Refusal{Way: ErrBroken, cause: err}
		}
		if b.Len() <= MaxKept {
			p.Type, p.Data = "image/jpeg", b.Bytes()
			return p, nil
		}
	}
	return Picture{}, refuse(ErrLarge, "photograph.not-small")
}

// onWhite lays what may be transparent on paper.
func onWhite(img image.Image) image.Image {
	out := image.NewRGBA(image.Rect(0, 0, img.Bounds().Dx(), img.Bounds().Dy()))
	draw.Draw(out, out.Rect, image.NewUniform(color.White), image.Point{}, draw.Src)
	draw.Draw(out, out.Rect, img, img.Bounds().Min, draw.Over)
	return out
}

// origin is where the pixel at x, y of the upright picture lies in one of w × h
// pixels that was taken as held says (Exif 2.32, tag 0x0112).
func origin(held uint16, w, h, x, y int) (int, int) {
	switch held {
	case 2:
		return w - 1 - x, y
	case 3:
		return w - 1 - x, h - 1 - y
	case 4:
		return x, h - 1 - y
	case 5:
		return y, x
	case 6:
		return y, h - 1 - x
	case 7:
		return w - 1 - y, h - 1 - x
	case 8:
		return w - 1 - y, x
	}
	return x, y
}

// swapped are the ratios of chroma samples once a picture stands on its side;
// what is not there has none.
var swapped = map[image.YCbCrSubsampleRatio]image.YCbCrSubsampleRatio{
	image.YCbCrSubsampleRatio444: image.YCbCrSubsampleRatio444,
	image.YCbCrSubsampleRatio420: image.YCbCrSubsampleRatio420,
	image.YCbCrSubsampleRatio422: image.YCbCrSubsampleRatio440,
	image.YCbCrSubsampleRatio440: image.YCbCrSubsampleRatio422,
}

// turn makes a picture upright.
func turn(img image.Image, held uint16) image.Image {
	if held <= upright || held > 8 {
		return img
	}
	b := img.Bounds()
	w, h := b.Dx(), b.Dy()
	tw, th := w, h
	if held >= 5 {
		tw, th = h, w
	}
	if c, ok := img.(*image.YCbCr); ok {
		ratio := c.SubsampleRatio
		if held >= 5 {
			ratio, ok = swapped[ratio]
		}
		if ok {
			return turnPlanes(c, held, image.NewYCbCr(image.Rect(0, 0, tw, th), ratio))
		}
	}
	out := image.NewNRGBA(image.Rect(0, 0, tw, th))
	for y := range th {
		for x := range tw {
			sx, sy := origin(held, w, h, x, y)
			out.Set(x, y, img.At(b.Min.X+sx, b.Min.Y+sy))
		}
	}
	return out
}

func turnPlanes(from *image.YCbCr, held uint16, to *image.YCbCr) image.Image {
	turnPlane(from.Y, from.YStride, to.Y, to.YStride, held)
	turnPlane(from.Cb, from.CStride, to.Cb, to.CStride, held)
	turnPlane(from.Cr, from.CStride, to.Cr, to.CStride, held)
	return to
}

// turnPlane turns one plane. A decoder's plane may be wider and higher than the
// picture, up to whole blocks; what lies beyond is at its right and lower edge.
func turnPlane(from []byte, fromStride int, to []byte, toStride int, held uint16) {
	tw, th := toStride, len(to)/toStride
	w, h := tw, th
	if held >= 5 {
		w, h = th, tw
	}
	for y := range th {
		for x := range tw {
			sx, sy := origin(held, w, h, x, y)
			to[y*toStride+x] = from[sy*fromStride+sx]
		}
	}
}
