package quantity

import (
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// maxText is the most bytes of folded text that Read looks at; no quantity needs a tenth of it.
const maxText = 240

// The signs outside ASCII that folding keeps, one byte each. The micro signs become u, dashes a hyphen, multiplication
// signs x, quotation marks the ASCII ones.
const (
	signOhm      = 0x80
	signDegree   = 0x81
	signPlusOr   = 0x82 // ±
	signDiameter = 0x83
	signRange    = 0x84 // …
	signLetter   = 0x85 // any other letter
	signApprox   = 0x86 // ≈
)

// fold writes text to dst in the working alphabet: compatibility forms (full width, squared units, ohm sign) are
// resolved, every blank is a space, invisible signs are dropped. It reports the first sign that it does not know,
// and utf8.RuneError where the text is not UTF-8.
func fold(dst []byte, text string) ([]byte, rune) {
	for i := 0; i < len(text); {
		c := text[i]
		if c < utf8.RuneSelf {
			switch {
			case c == '\t' || c == '\n' || c == '\r':
				c = ' '
			case c < ' ' || c == 0x7f:
				return dst, rune(c)
			}
			dst = foldASCII(dst, c)
			i++
			continue
		}
		r, size := utf8.DecodeRuneInString(text[i:])
		if r == utf8.RuneError {
			return dst, r
		}
		if cyrillic(r) {
			n := cyrillicRun(text[i:])
			dst = foldCyrillic(dst, text[i:i+n])
			i += n
			continue
		}
		var ok bool
		if dst, ok = foldRune(dst, r); !ok {
			return dst, r
		}
		i += size
	}
	return dst, 0
}

func foldRune(dst []byte, r rune) ([]byte, bool) {
	if b, ok := foldSign(r); ok {
		return append(dst, b...), true
	}
	if r >= '\uff01' && r <= '\uff5e' { // full width
		return foldASCII(dst, byte(r-'\uff01'+'!')), true
	}
	plain := compatible(r)
	if plain == nil {
		return foldLetter(dst, r)
	}
	if !figureKept(r, plain) {
		return dst, false
	}
	if vulgarFraction(r) {
		dst = append(dst, ' ') // 1¼ is one and a quarter, not eleven quarters
	}
	for len(plain) > 0 {
		d, size := utf8.DecodeRune(plain)
		plain = plain[size:]
		if d < utf8.RuneSelf {
			dst = foldASCII(dst, byte(d))
		} else if b, ok := foldSign(d); ok {
			dst = append(dst, b...)
		} else if dst, ok = foldLetter(dst, d); !ok {
			return dst, false
		}
	}
	return dst, true
}

func foldASCII(dst []byte, c byte) []byte {
	if c == '*' {
		c = 'x' // a multiplication sign
	}
	return append(dst, c)
}

// compatible is what a compatibility form such as ㎌ stands for, nil for any other sign. It does not allocate, as
// normalising would.
func compatible(r rune) []byte {
	var src [utf8.UTFMax]byte
	n := utf8.EncodeRune(src[:], r)
	if d := norm.NFC.Properties(src[:n]).Decomposition(); utf8.RuneCount(d) > 1 {
		return nil // a letter with an accent
	}
	return norm.NFKC.Properties(src[:n]).Decomposition()
}

// figureKept reports whether a compatibility form may become plain figures. Raised, lowered and ringed figures may
// not: 10² is not 102.
func figureKept(r rune, plain []byte) bool {
	for _, c := range plain {
		if c >= '0' && c <= '9' {
			return r >= 0xFF10 && r <= 0xFF19 || r >= 0x1D7CE && r <= 0x1D7FF || vulgarFraction(r)
		}
	}
	return true
}

func vulgarFraction(r rune) bool { return r >= 0xBC && r <= 0xBE || r >= 0x2150 && r <= 0x215E }

func foldLetter(dst []byte, r rune) ([]byte, bool) {
	if unicode.IsLetter(r) || unicode.Is(unicode.Mn, r) {
		return append(dst, signLetter), true
	}
	return dst, false
}

// foldSign folds the signs that are looked for by name. NFKC would make a letter o of º and a blank of ˚.
func foldSign(r rune) (string, bool) {
	switch r {
	case '\u00b5', '\u03bc':
		return "u", true
	case '\u03a9', '\u2126', '\u03c9':
		return string([]byte{signOhm}), true
	case '°', 'º', '˚':
		return string([]byte{signDegree}), true
	case '±':
		return string([]byte{signPlusOr}), true
	case 'ø', 'Ø', '⌀', '∅':
		return string([]byte{signDiameter}), true
	case '…', '⋯', '÷':
		return string([]byte{signRange}), true
	case '≈', '≃', '≅':
		return string([]byte{signApprox}), true
	case '×', '✕', '⨯':
		return "x", true
	case '−', '–', '—', '‐', '‑', '‒', '―':
		return "-", true
	case '∼', '～', '〜':
		return "~", true
	case '’', '‘', 'ʼ', '′':
		return "'", true
	case '”', '“', '″', '„':
		return "\"", true
	case '⁄', '∕':
		return "/", true
	case '⎓':
		return "=", true
	case '≤':
		return "<", true
	case '≥':
		return ">", true
	case '\u200b', '\u200c', '\u200d', '\u2060', '\ufeff', '\u00ad', '\u200e', '\u200f':
		return "", true
	}
	if unicode.Is(unicode.Zs, r) || r == '\u2028' || r == '\u2029' || r == '\u0085' {
		return " ", true
	}
	return "", false
}
