package photograph

import (
	"bytes"
	"encoding/binary"
)

// Markers of ITU-T T.81, table B.1.
const (
	markSOI  = 0xd8 // start of image
	markEOI  = 0xd9 // end of image
	markSOS  = 0xda // start of scan
	markTEM  = 0x01
	markRST0 = 0xd0
	markRST7 = 0xd7
	markAPP0 = 0xe0
	markCOM  = 0xfe
)

const exifMark = "Exif\x00\x00"

// readJPEG copies the segments that the picture needs.
func readJPEG(data []byte) (Picture, error) {
	p := Picture{Type: "image/jpeg"}
	out := make([]byte, 0, len(data))
	out = append(out, 0xff, markSOI)
	rest := data[2:]
	turned := false
	for {
		mark, body, after, err := segment(rest)
		if err != nil {
			return Picture{}, err
		}
		rest = after
		switch {
		case mark == markEOI:
			p.Data = append(out, 0xff, markEOI)
			return p, nil
		case mark == markAPP0+1 && !turned && bytes.HasPrefix(body, []byte(exifMark)):
			if o := orientation(body[len(exifMark):]); o != upright {
				turned, p.held = true, o
				out = appendSegment(out, mark, append([]byte(exifMark), tiffOf(o)...))
			}
			continue
		case mark == markCOM || mark >= markAPP0 && mark <= markAPP0+15 && !needed(mark, body):
			continue
		case frame(mark):
			if len(body) < 5 {
				return Picture{}, refuse(ErrBroken, "photograph.header-cut")
			}
			p.Height, p.Width = int(binary.BigEndian.Uint16(body[1:])), int(binary.BigEndian.Uint16(body[3:]))
		}
		out = appendSegment(out, mark, body)
		if mark == markSOS {
			n := scan(rest)
			out, rest = append(out, rest[:n]...), rest[n:]
		}
	}
}

// segment reads the next marker with its body; markers that stand alone have none.
func segment(b []byte) (mark byte, body, rest []byte, err error) {
	if len(b) < 2 || b[0] != 0xff {
		return 0, nil, nil, refuse(ErrBroken, "photograph.segment-start")
	}
	for len(b) > 2 && b[1] == 0xff { // fill bytes
		b = b[1:]
	}
	mark, b = b[1], b[2:]
	if mark == markEOI || mark == markTEM || mark >= markRST0 && mark <= markRST7 {
		return mark, nil, b, nil
	}
	if len(b) < 2 {
		return 0, nil, nil, refuse(ErrBroken, "photograph.segment-cut")
	}
	n := int(binary.BigEndian.Uint16(b))
	if n < 2 || n > len(b) {
		return 0, nil, nil, refuse(ErrBroken, "photograph.segment-cut")
	}
	return mark, b[2:n], b[n:], nil
}

func appendSegment(out []byte, mark byte, body []byte) []byte {
	out = append(out, 0xff, mark)
	if mark == markTEM || mark >= markRST0 && mark <= markRST7 {
		return out
	}
	out = binary.BigEndian.AppendUint16(out, uint16(len(body)+2))
	return append(out, body...)
}

// needed tells the application segments without which the picture looks
// different: JFIF's pixel shape, colour profiles, and how the colours were
// turned before compression. The thumbnail that JFIF allows is left to its
// marker (JFXX) and so dropped.
func needed(mark byte, body []byte) bool {
	switch mark {
	case markAPP0:
		return bytes.HasPrefix(body, []byte("JFIF\x00")) && len(body) == 14 // without a thumbnail
	case markAPP0 + 2:
		return bytes.HasPrefix(body, []byte("ICC_PROFILE\x00"))
	case markAPP0 + 14:
		return bytes.HasPrefix(body, []byte("Adobe"))
	}
	return false
}

// frame tells the start-of-frame markers: C0 to CF but for DHT, JPG and DAC.
func frame(mark byte) bool {
	return mark >= 0xc0 && mark <= 0xcf && mark != 0xc4 && mark != 0xc8 && mark != 0xcc
}

// scan is how far entropy-coded data go: to a marker that is neither a
// restart nor a stuffed byte.
func scan(b []byte) int {
	for i := 0; i+1 < len(b); i++ {
		if b[i] == 0xff && b[i+1] != 0 && b[i+1] != 0xff && (b[i+1] < markRST0 || b[i+1] > markRST7) {
			return i
		}
	}
	return len(b)
}
