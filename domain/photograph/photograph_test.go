package photograph_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"

	"boardlore/domain/message"
	"boardlore/domain/photograph"
	"golang.org/x/image/webp"
)

const secret = "53.5511 N 9.9937 E" // stands for a place that must not come out

func picture() image.Image {
	m := image.NewRGBA(image.Rect(0, 0, 24, 16))
	for x := range 24 {
		for y := range 16 {
			m.Set(x, y, color.RGBA{uint8(10 * x), uint8(15 * y), 128, 255})
		}
	}
	return m
}

// exif writes an Exif block with an orientation and the secret, in the given byte order.
func exif(order binary.AppendByteOrder, o uint16) []byte {
	b := []byte("MM\x00*")
	if order == binary.AppendByteOrder(binary.LittleEndian) {
		b = []byte("II*\x00")
	}
	b = order.AppendUint32(b, 8)
	b = order.AppendUint16(b, 2)
	b = order.AppendUint16(b, 0x010e) // description
	b = order.AppendUint16(b, 2)
	b = order.AppendUint32(b, uint32(len(secret)))
	b = order.AppendUint32(b, 38)
	b = order.AppendUint16(b, 0x0112)
	b = order.AppendUint16(b, 3)
	b = order.AppendUint32(b, 1)
	b = order.AppendUint16(b, o)
	b = append(b, 0, 0, 0, 0, 0, 0)
	return append(b, secret...)
}

func segment(mark byte, body string) []byte {
	return append(binary.BigEndian.AppendUint16([]byte{0xff, mark}, uint16(len(body)+2)), body...)
}

func jpegOf(t testing.TB, extra ...[]byte) []byte {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, picture(), nil); err != nil {
		t.Fatal(err)
	}
	out := append([]byte{}, b.Bytes()[:2]...)
	for _, e := range extra {
		out = append(out, e...)
	}
	return append(out, b.Bytes()[2:]...)
}

func chunk(name, body string) []byte {
	b := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	b = append(b, name+body...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:]))
}

func pngOf(t testing.TB, extra ...[]byte) []byte {
	var b bytes.Buffer
	if err := png.Encode(&b, picture()); err != nil {
		t.Fatal(err)
	}
	const header = 8 + 12 + 13
	out := append([]byte{}, b.Bytes()[:header]...)
	for _, e := range extra {
		out = append(out, e...)
	}
	return append(out, b.Bytes()[header:]...)
}

func riff(name, body string) []byte {
	b := binary.LittleEndian.AppendUint32([]byte(name), uint32(len(body)))
	b = append(b, body...)
	if len(body)%2 == 1 {
		b = append(b, 0)
	}
	return b
}

// lossless is a WebP picture of one green pixel, VP8L.
const lossless = "\x2f\x00\x00\x00\x10\x07\x10\x11\x11\x88\x88\x08\x07\x00"

func webpOf(chunks ...[]byte) []byte {
	body := []byte("WEBP")
	for _, c := range chunks {
		body = append(body, c...)
	}
	return append(binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(len(body))), body...)
}

func TestMetadataIsRemoved(t *testing.T) {
	vp8x := func(flags byte) []byte { return riff("VP8X", string([]byte{flags, 0, 0, 0, 0, 0, 0, 0, 0, 0})) }
	tests := []struct {
		name, kind string
		in, want   []byte
	}{
		{"jpeg", "image/jpeg", jpegOf(t,
			segment(0xe1, "Exif\x00\x00"+string(exif(binary.BigEndian, 1))),
			segment(0xe1, "http://ns.adobe.com/xap/1.0/\x00"+secret),
			segment(0xed, "Photoshop 3.0\x00"+secret), segment(0xfe, secret), segment(0xef, secret)), jpegOf(t)},
		{"jpeg, trailing", "image/jpeg", append(jpegOf(t), secret...), jpegOf(t)},
		{"jpeg, colour profile stays", "image/jpeg", jpegOf(t, segment(0xe2, "ICC_PROFILE\x00\x01\x01profile"),
			segment(0xe2, "MPF\x00"+secret)),
			jpegOf(t, segment(0xe2, "ICC_PROFILE\x00\x01\x01profile"))},
		{"png", "image/png", pngOf(t, chunk("eXIf", string(exif(binary.BigEndian, 1))), chunk("tEXt", "Location\x00"+
			secret),
			chunk("iTXt", "XML:com.adobe.xmp\x00\x00\x00\x00\x00"+secret), chunk("tIME", "1234567"),
			chunk("prVt", secret)), pngOf(t)},
		{"png, trailing", "image/png", append(pngOf(t), secret...), pngOf(t)},
		{"webp", "image/webp", webpOf(vp8x(0x0c), riff("VP8L", lossless),
			riff("EXIF", string(exif(binary.LittleEndian, 1))), riff("XMP ", secret), riff("oddX", secret)),
			webpOf(vp8x(0), riff("VP8L", lossless))},
		{"webp, trailing", "image/webp", append(webpOf(riff("VP8L", lossless)), secret...),
			webpOf(riff("VP8L", lossless))},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			p, err := photograph.Read(tt.in)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(p.Data, tt.want) || bytes.Contains(p.Data, []byte(secret)) || p.Type != tt.kind {
				t.Errorf("%s of %d bytes, want %s of %d", p.Type, len(p.Data), tt.kind, len(tt.want))
			}
		})
	}
}

func TestOrientationStays(t *testing.T) {
	for _, order := range []binary.AppendByteOrder{binary.BigEndian, binary.LittleEndian} {
		e := exif(order, 6)
		for name, in := range map[string][]byte{
			"jpeg": jpegOf(t, segment(0xe1, "Exif\x00\x00"+string(e))),
			"png":  pngOf(t, chunk("eXIf", string(e))),
			"webp": webpOf(riff("VP8X", "\x08\x00\x00\x00\x00\x00\x00\x00\x00\x00"), riff("VP8L", lossless),
				riff("EXIF", string(e))),
		} {
			p, err := photograph.Read(in)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if bytes.Contains(p.Data, []byte(secret)) ||
				!bytes.Contains(p.Data, []byte("\x01\x12\x00\x03\x00\x00\x00\x01\x00\x06")) {
				t.Errorf("%s: orientation lost, or the secret kept", name)
			}
			again, err := photograph.Read(p.Data)
			if err != nil || !bytes.Equal(again.Data, p.Data) {
				t.Errorf("%s: read again it is not the same: %v", name, err)
			}
		}
	}
}

// The picture that is left shows what it showed.
func TestPixelsStay(t *testing.T) {
	decode := map[string]func([]byte) (image.Image, error){
		"jpeg": func(b []byte) (image.Image, error) { return jpeg.Decode(bytes.NewReader(b)) },
		"png":  func(b []byte) (image.Image, error) { return png.Decode(bytes.NewReader(b)) },
		"webp": func(b []byte) (image.Image, error) { return webp.Decode(bytes.NewReader(b)) },
	}
	for name, in := range map[string][]byte{"jpeg": jpegOf(t, segment(0xfe, secret)),
		"png":  pngOf(t, chunk("tEXt", "a\x00"+secret)),
		"webp": webpOf(riff("VP8L", lossless), riff("XMP ", secret))} {
		p, err := photograph.Read(in)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		want, err := decode[name](in)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		got, err := decode[name](p.Data)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		b := got.Bounds()
		if b != want.Bounds() || b.Dx() != p.Width || b.Dy() != p.Height {
			t.Fatalf("%s: %v, said %d × %d", name, b, p.Width, p.Height)
		}
		for x := b.Min.X; x < b.Max.X; x++ {
			for y := b.Min.Y; y < b.Max.Y; y++ {
				if got.At(x, y) != want.At(x, y) {
					t.Fatalf("%s: pixel %d, %d differs", name, x, y)
				}
			}
		}
	}
}

func TestRefused(t *testing.T) {
	whole := jpegOf(t)
	flat := pngOf(t)
	damaged := append([]byte{}, flat...)
	damaged[20] ^= 1
	wide := append([]byte(pngHead), chunk("IHDR", "\x7f\xff\xff\xff\x00\x00\x00\x10\x08\x06\x00\x00\x00")...)
	wide = append(wide, chunk("IEND", "")...)
	tests := []struct {
		name string
		in   []byte
		want error
	}{
		{"nothing", nil, photograph.ErrType},
		{"a page that says it is a picture", []byte("<html>GIF89a"), photograph.ErrType},
		{"gif", []byte("GIF89a\x01\x00\x01\x00"), photograph.ErrType},
		{"half a jpeg", whole[:len(whole)/2], photograph.ErrBroken},
		{"jpeg of nothing", []byte("\xff\xd8\xff\xd9"), photograph.ErrBroken},
		{"half a png", flat[:len(flat)/2], photograph.ErrBroken},
		{"damaged png", damaged, photograph.ErrBroken},
		{"half a webp", webpOf(riff("VP8L", lossless))[:20], photograph.ErrBroken},
		{"webp of nothing", webpOf(), photograph.ErrBroken},
		{"too wide", wide, photograph.ErrLarge},
		{"too many bytes", []byte("\xff\xd8\xff" + strings.Repeat("x", photograph.MaxBytes)), photograph.ErrLarge},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if p, err := photograph.Read(tt.in); !errors.Is(err, tt.want) || p.Data != nil {
				t.Errorf("got %v, want %v", err, tt.want)
			}
			var r *photograph.Refusal
			if _, err := photograph.Read(tt.in); !errors.As(err, &r) {
				t.Errorf("%v is no refusal", err)
			} else if de := message.Named("de").Speak(r.Say()); !strings.Contains(de, "ist") || de == r.Error() {
				t.Errorf("in German: %q", de)
			}
		})
	}
}

const pngHead = "\x89PNG\r\n\x1a\n"

// Whatever is read is smaller or equal but for an orientation, and reads as itself.
func FuzzRead(f *testing.F) {
	f.Add(jpegOf(f, segment(0xe1, "Exif\x00\x00"+string(exif(binary.LittleEndian, 8)))))
	f.Add(pngOf(f, chunk("eXIf", string(exif(binary.BigEndian, 3)))))
	f.Add(webpOf(riff("VP8X", "\x08\x00\x00\x00\x00\x00\x00\x00\x00\x00"), riff("VP8L", lossless),
		riff("EXIF", string(exif(binary.LittleEndian, 2)))))
	f.Fuzz(func(t *testing.T, in []byte) {
		p, err := photograph.Read(in)
		if err != nil {
			return
		}
		again, err := photograph.Read(p.Data)
		if err != nil || !bytes.Equal(again.Data, p.Data) || again.Type != p.Type || again.Width != p.Width ||
			again.Height != p.Height {
			t.Errorf("read again: %v", err)
		}
	})
}
