// Package photograph looks at the bytes of an uploaded picture: what it really
// is, how large, and what travels in it unseen. A camera writes into each
// picture where it was taken and with what; whoever sends a picture of a board
// from their workshop has not meant to publish their address. To cut out what is
// known to tell would leave what is not known, a second file behind the first,
// or pixels that nobody can unpack; so a picture is decoded, within a budget of
// pixels, and written anew.
//
// JPEG: ITU-T T.81, with the application segments of JFIF, Exif and XMP. PNG:
// ISO/IEC 15948. WebP: RFC 9649.
//
// Not modelled: what the pixels show, and anything hidden in them.
package photograph

import (
	"bytes"
	"encoding/binary"

	"boardlore/domain/message"
)

// MaxBytes is the largest picture taken, in bytes.
const MaxBytes = 20 << 20

// MaxSide is the greatest width and height taken, in pixels.
const MaxSide = 20000

// Picture is a picture without its metadata.
type Picture struct {
	Type   string // image/jpeg, image/png or image/webp
	Width  int    // pixels, before any turning that the metadata asked for
	Height int    // pixels
	Data   []byte

	held uint16 // how the camera was held, by Exif
}

// reason is an error that is told to people: the key of its sentence.
type reason string

// Say is the reason as a clause.
func (r reason) Say() message.Message { return message.Of(string(r)) }
func (r reason) Error() string        { return r.Say().String() }

// The ways in which a picture is refused.
const (
	ErrType   = reason("photograph.no-picture")
	ErrBroken = reason("photograph.broken")
	ErrLarge  = reason("photograph.too-large")
)

// Refusal says why a picture is refused: in one of the ways, with more where
// more is known, and with what a decoder said, which only the log is told.
type Refusal struct {
	Way   reason
	more  message.Message
	cause error
}

func refuse(way reason, key string, values ...any) error {
	return &Refusal{Way: way, more: message.Of(key, values...)}
}

// Say is the refusal as a clause.
func (r *Refusal) Say() message.Message {
	if r.more.IsZero() {
		return r.Way.Say()
	}
	return message.Of("text.colon", r.Way, r.more)
}

func (r *Refusal) Error() string {
	if r.cause != nil {
		return r.Say().String() + ": " + r.cause.Error()
	}
	return r.Say().String()
}

// Unwrap gives the way, and what a decoder said.
func (r *Refusal) Unwrap() []error { return []error{r.Way, r.cause} }

// Read tells the type of a picture by its content and takes its metadata out:
// Exif (but for how the camera was held), XMP, IPTC, comments and texts, and
// whatever follows the picture's end. Colour profiles stay. What it gives, read
// again, is the same. An error is a *Refusal, and ErrType, ErrBroken or ErrLarge.
func Read(data []byte) (Picture, error) {
	if len(data) > MaxBytes {
		return Picture{}, refuse(ErrLarge, "photograph.bytes", len(data), MaxBytes)
	}
	var p Picture
	var err error
	switch {
	case bytes.HasPrefix(data, []byte("\xff\xd8\xff")):
		p, err = readJPEG(data)
	case bytes.HasPrefix(data, []byte(pngMark)):
		p, err = readPNG(data)
	case len(data) >= 12 && string(data[:4]) == "RIFF" && string(data[8:12]) == "WEBP":
		p, err = readWebP(data)
	default:
		return Picture{}, &Refusal{Way: ErrType}
	}
	if err != nil {
		return Picture{}, err
	}
	if p.Width < 1 || p.Height < 1 {
		return Picture{}, refuse(ErrBroken, "photograph.no-size")
	}
	if p.Width > MaxSide || p.Height > MaxSide {
		return Picture{}, refuse(ErrLarge, "photograph.sides", p.Width, p.Height, MaxSide)
	}
	return p, nil
}

// Orientation is how the camera was held, by Exif: 1 for upright, to 8. It is
// the one thing that a viewer needs to show the picture the right way round.
const upright = 1

// orientation reads the tag 0x0112 from a TIFF structure as Exif has it;
// upright where there is none.
func orientation(tiff []byte) uint16 {
	if len(tiff) < 8 {
		return upright
	}
	var order binary.ByteOrder
	switch string(tiff[:4]) {
	case "II*\x00":
		order = binary.LittleEndian
	case "MM\x00*":
		order = binary.BigEndian
	default:
		return upright
	}
	at := int64(order.Uint32(tiff[4:]))
	if at+2 > int64(len(tiff)) {
		return upright
	}
	entries := tiff[at:]
	n := int(order.Uint16(entries))
	for i := 0; i < n && 2+12*(i+1) <= len(entries); i++ {
		e := entries[2+12*i:]
		const tagOrientation, typeShort = 0x0112, 3
		if order.Uint16(e) != tagOrientation || order.Uint16(e[2:]) != typeShort {
			continue
		}
		if o := order.Uint16(e[8:]); o >= 1 && o <= 8 {
			return o
		}
		return upright
	}
	return upright
}

// tiffOf writes a TIFF structure that holds an orientation and nothing else.
func tiffOf(o uint16) []byte {
	b := []byte("MM\x00*\x00\x00\x00\x08" + "\x00\x01" + "\x01\x12\x00\x03\x00\x00\x00\x01")
	b = binary.BigEndian.AppendUint16(b, o)
	return append(b, 0, 0, 0, 0, 0, 0) // rest of the value, no further directory
}
