package photograph

import (
	"encoding/binary"
)

// Flags of WebP's extended header, RFC 9649, 2.7.1.
const (
	flagXMP  = 0x04
	flagExif = 0x08
)

// webpNeeded are the chunks that the picture's look hangs on.
var webpNeeded = map[string]bool{"VP8 ": true, "VP8L": true, "VP8X": true, "ALPH": true, "ANIM": true, "ANMF": true,
	"ICCP": true}

// readWebP copies the chunks that the picture needs and says so in its header.
func readWebP(data []byte) (Picture, error) {
	p := Picture{Type: "image/webp"}
	size := int64(binary.LittleEndian.Uint32(data[4:])) + 8
	if size > int64(len(data)) || size < 12 {
		return Picture{}, refuse(ErrBroken, "photograph.shorter")
	}
	out := make([]byte, 12, size)
	copy(out, data)
	extended := -1 // where the flags are
	var turned []byte
	for rest := data[12:size]; len(rest) > 0; {
		name, body, after, err := riff(rest)
		if err != nil {
			return Picture{}, err
		}
		rest = after
		if name == "EXIF" {
			if o := orientation(trimExif(body)); o != upright {
				p.held = o
				turned = tiffOf(o)
			}
		}
		if !webpNeeded[name] {
			continue
		}
		if p.Width == 0 {
			p.Width, p.Height = webpSize(name, body)
		}
		if name == "VP8X" && extended < 0 {
			extended = len(out) + 8
		}
		out = appendRIFF(out, name, body)
	}
	if extended >= 0 && extended < len(out) {
		out[extended] &^= flagXMP | flagExif
		if turned != nil {
			out[extended] |= flagExif
			out = appendRIFF(out, "EXIF", turned)
		}
	}
	binary.LittleEndian.PutUint32(out[4:], uint32(len(out)-8))
	p.Data = out
	return p, nil
}

// riff reads one chunk; chunks of odd length are padded.
func riff(b []byte) (name string, body, rest []byte, err error) {
	if len(b) < 8 {
		return "", nil, nil, refuse(ErrBroken, "photograph.chunk-cut")
	}
	n := int64(binary.LittleEndian.Uint32(b[4:]))
	end := 8 + n + n&1
	if end > int64(len(b)) {
		return "", nil, nil, refuse(ErrBroken, "photograph.chunk-cut")
	}
	return string(b[:4]), b[8 : 8+n], b[end:], nil
}

func appendRIFF(out []byte, name string, body []byte) []byte {
	out = append(out, name...)
	out = binary.LittleEndian.AppendUint32(out, uint32(len(body)))
	out = append(out, body...)
	if len(body)%2 == 1 {
		out = append(out, 0)
	}
	return out
}

// trimExif drops the mark that JPEG wants before Exif and some programs write
// here too.
func trimExif(b []byte) []byte {
	if len(b) >= len(exifMark) && string(b[:len(exifMark)]) == exifMark {
		return b[len(exifMark):]
	}
	return b
}

// webpSize reads the size from the first chunk: extended (RFC 9649, 2.7.1),
// lossy (RFC 6386, 9.1) or lossless (RFC 9649, 3.4); 0, 0 for any other.
func webpSize(name string, b []byte) (width, height int) {
	switch {
	case name == "VP8X" && len(b) >= 10:
		return 1 + (int(b[4]) | int(b[5])<<8 | int(b[6])<<16), 1 + (int(b[7]) | int(b[8])<<8 | int(b[9])<<16)
	case name == "VP8 " && len(b) >= 10 && string(b[3:6]) == "\x9d\x01\x2a":
		const bits14 = 1<<14 - 1
		return int(binary.LittleEndian.Uint16(b[6:])) & bits14, int(binary.LittleEndian.Uint16(b[8:])) & bits14
	case name == "VP8L" && len(b) >= 5 && b[0] == 0x2f:
		v := binary.LittleEndian.Uint32(b[1:])
		return 1 + int(v&0x3fff), 1 + int(v>>14&0x3fff)
	}
	return 0, 0
}
