package reading

import (
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

func isBlank(c rune) bool {
	switch c {
	case ' ', '\t', '\n', '\r', '\v', '\f', 0x85, 0xa0, 0x200b, 0x2060, 0xfeff, 0x200c, 0x200d, 0xad, 0x200e, 0x200f:
		return true
	}
	return c > utf8.RuneSelf && unicode.IsSpace(c)
}

func isDigit(c rune) bool { return c >= '0' && c <= '9' }

func isLetter(c rune) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= utf8.RuneSelf &&
		(unicode.IsLetter(c) || unicode.Is(unicode.Mn, c))
}

// foldSign maps look-alikes of signs to one; false where the rune is no sign that is looked for.
func foldSign(c rune) (rune, bool) {
	switch c {
	case '−', '–', '—', '‐', '‑', '‒', '―':
		return '-', true
	case '°', 'º', '˚':
		return '°', true
	case 'ø', 'Ø', '∅', '⌀', 'φ', 'Φ', 'ϕ':
		return 'ø', true
	case '…', '⋯', '÷':
		return '…', true
	case '∼', '～', '〜':
		return '~', true
	case '×', '✕', '✖', '∗', '⨯':
		return '×', true
	case '⁄', '∕':
		return '/', true
	case '’', '‘', 'ʼ', '′':
		return '\'', true
	case '”', '“', '″', '„', '«', '»':
		return '"', true
	case '≈', '≃', '≅':
		return '≈', true
	case '≤', '≥', '±', '€', '£', '¥':
		return c, true
	case '⎓':
		return '=', true
	case '、', '，', '·', '•', '・', '®', '™', '：', '；', '（', '）', '⏚', '。':
		return ',', true
	}
	return 0, false
}

// oddSign reports whether a sign is none of writing: what it says in a text is anybody's guess, and it may deny. A tick
// agrees.
func oddSign(c rune) bool {
	switch c {
	case '✓', '✔', '☑', '©':
		return false
	}
	return c >= utf8.RuneSelf && (unicode.IsSymbol(c) && !unicode.Is(unicode.Sc, c) || unicode.Is(unicode.Me, c))
}

// bullet reports whether a sign at the head of a line is a list's.
func bullet(c rune) bool { return c >= '■' && c <= '◿' || c == '➤' || c == '★' }

// strikesOut reports whether a mark is a stroke through its letter or figure.
func strikesOut(c rune) bool { return c >= 0x334 && c <= 0x338 || c >= 0x20d2 && c <= 0x20e5 }

func isSign(c rune) bool {
	if _, ok := foldSign(c); ok {
		return true
	}
	return !unicode.IsLetter(c) && !unicode.Is(unicode.Mn, c) && compatible(c) == nil
}

// compatible is what a compatibility form such as ㎌ or ½ stands for, nil for any other sign.
func compatible(c rune) []byte {
	if c < utf8.RuneSelf || c == utf8.RuneError || unicode.Is(unicode.Mn, c) {
		return nil
	}
	var src [utf8.UTFMax]byte
	n := utf8.EncodeRune(src[:], c)
	if d := norm.NFC.Properties(src[:n]).Decomposition(); utf8.RuneCount(d) > 1 {
		return nil // a letter with an accent
	}
	plain := norm.NFKC.Properties(src[:n]).Decomposition()
	if len(plain) > 0 && plain[0] == ' ' && unicode.IsLetter(c) {
		return nil // a letter that looks like the mark of one, such as ͺ, is no blank
	}
	for _, p := range plain {
		if p >= '0' && p <= '9' && !vulgarFraction(c) {
			return nil // 10² is not 102
		}
	}
	return plain
}

func vulgarFraction(c rune) bool { return c >= 0xbc && c <= 0xbe || c >= 0x2150 && c <= 0x215e }

// digitOf gives the figure that a digit of another script stands for. Unicode has every script's ten in their order, one
// set behind the other.
func digitOf(c rune) rune {
	for _, t := range unicode.Nd.R16 {
		if c <= rune(t.Hi) {
			return '0' + (c-rune(t.Lo))%10
		}
	}
	for _, t := range unicode.Nd.R32 {
		if c <= rune(t.Hi) {
			return '0' + (c-rune(t.Lo))%10
		}
	}
	return c
}
