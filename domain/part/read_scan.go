package part

import (
	"unicode"
	"unicode/utf8"
)

// scan cuts the text into words and folds the look-alikes of signs.
func (r *reader) scan() {
	var w word
	open := false
	point := int32(0)
	for at := 0; at < len(r.text); {
		c, size := rune(r.text[at]), 1
		if c >= utf8.RuneSelf {
			c, size = utf8.DecodeRuneInString(r.text[at:])
		}
		if c == '"' && !open {
			if n, end := r.quote(at, point); n > 0 {
				at, point = end, point+n
				continue
			}
		}
		folded := foldSign(c)
		if folded == ' ' || folded == ',' && !r.decimal(at, w.at, open) {
			if open {
				r.endWord(&w, at, point)
				open = false
			}
		} else {
			if !open {
				w = word{lo: int32(len(r.raw)), at: int32(at), from: point}
				open = true
			}
			r.add(folded)
		}
		at += size
		point++
	}
	if open {
		r.endWord(&w, len(r.text), point)
	}
}

// add appends a folded sign to raw and, in lower case, to low.
func (r *reader) add(c rune) {
	if c < utf8.RuneSelf {
		r.raw = append(r.raw, byte(c))
		if c >= 'A' && c <= 'Z' {
			c += 'a' - 'A'
		}
		r.low = append(r.low, byte(c))
		return
	}
	n := len(r.raw)
	r.raw = utf8.AppendRune(r.raw, c)
	if l := unicode.ToLower(c); utf8.RuneLen(l) == len(r.raw)-n {
		c = l
	}
	r.low = utf8.AppendRune(r.low, c)
}

// foldSign maps look-alikes to one sign, and what only parts words to a blank.
func foldSign(c rune) rune {
	if c < utf8.RuneSelf {
		switch c {
		case '\t', '\n', '\v', '\f', '\r', '(', ')', '[', ']', '{', '}', '|', ';', '\'', '"', '=', ':', '@', '<', '>':
			return ' '
		case '*':
			return 'x'
		}
		return c
	}
	switch {
	case c >= '！' && c <= '～':
		return foldSign(c - '！' + '!')
	case unicode.IsSpace(c) || c == '\u200b' || c == '\ufeff' || c == '\u2007':
		return ' '
	}
	switch c {
	case 'μ':
		return 'µ'
	case '\u2126':
		return 'Ω'
	case '−', '–', '—', '‐', '‑', '‒':
		return '-'
	case '×', '✕':
		return 'x'
	case 'º', '˚':
		return '°'
	case '∅', '⌀', 'Ø':
		return 'ø'
	case '≤', '≥', '≈', '„', '“', '”', '«', '»', '’', '·', '•':
		return ' '
	case '…':
		return '~'
	}
	return c
}

// decimal reports whether the comma at a byte of the text stands within a
// number.
func (r *reader) decimal(at int, start int32, open bool) bool {
	if at+1 >= len(r.text) || !isDigit(r.text[at+1]) {
		return false
	}
	return !open || int(start) < at && isDigit(r.text[at-1])
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

func isLetter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= utf8.RuneSelf }

// quote takes a text in double quotes, in which a doubled one stands for
// itself; it gives the code points taken and the byte after them, 0 where the
// quotes don't close before a blank or the end.
func (r *reader) quote(at int, point int32) (points int32, end int) {
	i := at + 1
	for i < len(r.text) {
		if r.text[i] != '"' {
			i++
			continue
		}
		if i+1 < len(r.text) && r.text[i+1] == '"' {
			i += 2
			continue
		}
		break
	}
	if i >= len(r.text) || i == at+1 || i+1 < len(r.text) && r.text[i+1] != ' ' {
		return 0, 0
	}
	points = int32(utf8.RuneCountInString(r.text[at : i+1]))
	n := int32(len(r.raw))
	r.words = append(r.words, word{lo: n, hi: n, at: int32(at), end: int32(i + 1), from: point, to: point + points, kind: quoted})
	return points, i + 1
}

// endWord closes the word that ends before a byte and code point of the text,
// and cuts it at its strokes: 22µ/16V says two things, but a fraction (1/4W), a
// pair of classes (X1/Y2) and a range (-20/+80%) say one.
func (r *reader) endWord(w *word, end int, point int32) {
	w.hi, w.end, w.to = int32(len(r.raw)), int32(end), point
	r.unhyphen(w)
	low := r.low[w.lo:w.hi]
	if low[0] == '+' || low[0] == '-' || low[0] == 0xC2 { // the sign ± begins so
		r.words = append(r.words, *w)
		return
	}
	r.cut(*w)
}

// cut appends a word, at its first parting stroke as two.
func (r *reader) cut(w word) {
	low := r.low[w.lo:w.hi]
	for k := 1; k+1 < len(low); k++ {
		if low[k] == '/' && parts2(low[:k], low[k+1:]) {
			head, tail := w, w
			head.hi = w.lo + int32(k)
			head.end, head.to = r.locate(&w, k)
			tail.lo, tail.joined = head.hi+1, true
			tail.at, tail.from = r.locate(&w, k+1)
			r.words = append(r.words, head)
			r.cut(tail)
			return
		}
	}
	r.words = append(r.words, w)
}

// locate finds the byte and code point of the text that byte k of a word's
// folded form came from.
func (r *reader) locate(w *word, k int) (at, point int32) {
	at, point = w.at, w.from
	for n := 0; n < k; {
		c, size := utf8.DecodeRuneInString(r.text[at:])
		n += utf8.RuneLen(foldSign(c))
		at += int32(size)
		point++
	}
	return at, point
}

// parts2 says whether the stroke between two texts parts two things.
func parts2(left, right []byte) bool {
	if fraction(left, right) || right[0] == '+' || right[0] == '-' || len(left) < 2 && isLetter(left[0]) {
		return false
	}
	if len(left) == 2 && len(right) >= 2 && (left[0] == 'x' || left[0] == 'y') && (right[0] == 'x' || right[0] == 'y') {
		return false
	}
	return string(left) != "li" && string(left) != "zn"
}

// fraction recognises the halves of 1/4W, 1/2, 1/8 watt.
func fraction(left, right []byte) bool {
	if string(left) != "1" {
		return false
	}
	n := 0
	for n < len(right) && isDigit(right[n]) {
		n++
	}
	switch string(right[:n]) {
	case "2", "3", "4", "8", "10", "16":
		return n == len(right) || right[n] == 'w' || right[n] == 'a'
	}
	return false
}

// unhyphen turns hyphens between letters of the folded word into blanks, so
// that low-ESR and low ESR are one phrase.
func (r *reader) unhyphen(w *word) {
	low := r.low[w.lo:w.hi]
	for k := 1; k+1 < len(low); k++ {
		if low[k] == '-' && isLetter(low[k-1]) && isLetter(low[k+1]) {
			low[k] = ' '
		}
	}
}
