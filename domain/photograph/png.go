package photograph

import (
	"encoding/binary"
	"hash/crc32"
)

const pngMark = "\x89PNG\r\n\x1a\n"

// pngNeeded are the chunks that the picture's look hangs on (ISO/IEC 15948
// and its animation extension). Texts, times, Exif and whatever is unknown go.
var pngNeeded = map[string]bool{
	"IHDR": true, "PLTE": true, "IDAT": true, "IEND": true, "tRNS": true, "cHRM": true, "gAMA": true, "iCCP": true,
	"sBIT": true, "sRGB": true, "cICP": true, "bKGD": true, "pHYs": true, "acTL": true, "fcTL": true, "fdAT": true,
}

// readPNG copies the chunks that the picture needs.
func readPNG(data []byte) (Picture, error) {
	p := Picture{Type: "image/png"}
	out := make([]byte, 0, len(data))
	out = append(out, pngMark...)
	for rest := data[len(pngMark):]; ; {
		if len(rest) < 12 {
			return Picture{}, refuse(ErrBroken, "photograph.chunk-cut")
		}
		n := int64(binary.BigEndian.Uint32(rest))
		if n > int64(len(rest)-12) {
			return Picture{}, refuse(ErrBroken, "photograph.chunk-cut")
		}
		name, body, whole := string(rest[4:8]), rest[8:8+n], rest[:12+n]
		rest = rest[12+n:]
		if crc32.ChecksumIEEE(whole[4:8+n]) != binary.BigEndian.Uint32(whole[8+n:]) {
			return Picture{}, refuse(ErrBroken, "photograph.checksum")
		}
		if p.Width == 0 {
			if name != "IHDR" || len(body) < 13 {
				return Picture{}, refuse(ErrBroken, "photograph.no-header")
			}
			p.Width, p.Height = side(body), side(body[4:])
		}
		if name == "eXIf" {
			if o := orientation(body); o != upright {
				p.held = o
				out = appendChunk(out, name, tiffOf(o))
			}
		}
		if pngNeeded[name] {
			out = append(out, whole...)
		}
		if name == "IEND" {
			p.Data = out
			return p, nil
		}
	}
}

// side reads a length that the format allows up to 2³¹-1; what is more counts
// as too large.
func side(b []byte) int { return int(min(binary.BigEndian.Uint32(b), MaxSide+1)) }

func appendChunk(out []byte, name string, body []byte) []byte {
	out = binary.BigEndian.AppendUint32(out, uint32(len(body)))
	start := len(out)
	out = append(append(out, name...), body...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[start:]))
}
