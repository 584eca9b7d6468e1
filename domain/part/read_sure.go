package part

import (
	"slices"
	"strings"
	"unicode"
)

// turning are words that may turn what stands beside them into its opposite,
// into one of several, or into what was: negations, alternatives, former states
// and comparisons in the languages that lists are written in. Common practice.
var turning = func() map[string]bool {
	m := map[string]bool{}
	for w := range strings.FieldsSeq(`
		not no non without w/o never nor neither except excluding but or either and/or was were formerly former old replaces replaced replacing
		replacement substitute instead equivalent equiv like similar than below above under over less more min minimum maximum
		nicht kein keine keinen keiner keines ohne nie weder oder bzw ersetzt ersatz statt anstatt war früher ehemals ähnlich unter über außer
		pas sans aucun aucune ou sauf remplace remplacé ancien ancienne était équivalent comme
		sin ningún ninguna o u excepto reemplaza sustituye era antes equivalente
		senza nessun nessuna né oppure eccetto sostituisce ex simile
		niet geen zonder of behalve vervangt vervanger voorheen was gelijk
		nie bez lub albo oprócz zamiast zastępuje dawniej był zamiennik
		не без нет или либо кроме вместо замена заменяет был бывший аналог
		ではない なし 無し 非 または 或は 代わり 旧 相当 以外 不可`) {
		m[w] = true
	}
	return m
}()

// sure reports whether what was read may be taken as it stands: one reading,
// nothing doubted, and nothing left over that could turn it round.
func (t *Text) sure(text string) bool {
	if len(t.Readings) != 1 || len(t.Readings[0].Doubts) > 0 || turned(text) || pairOfRatings(text) {
		return false
	}
	p := &t.Readings[0].Part
	for _, w := range t.LeftOver {
		if strings.ContainsFunc(w, unicode.IsDigit) && !typeShaped(w) || p.delicate() {
			return false
		}
	}
	return true
}

// delicate reports whether a word that nobody knows could turn round what the
// part is: on safety parts, fuses and cells, and beside a yes-or-no term.
func (p *Part) delicate() bool {
	return p.SafetyClass != "" || p.Class == "fuse" || p.Class == "cell" || p.Polarised != nil || p.Rechargeable != nil || p.Text != "" || p.Construction == "fusible"
}

func turned(text string) bool {
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '/' // the u of 47u is no word
	})
	return slices.ContainsFunc(words, func(w string) bool { return turning[strings.Trim(w, "/")] || turning[w] })
}

// pairOfRatings recognises 400/450V and 16/25 V, of which one is not the rating.
func pairOfRatings(text string) bool {
	low := []byte(strings.ToLower(text))
	for k := range low {
		if low[k] != '/' || k == 0 || !isDigit(low[k-1]) {
			continue
		}
		rest := low[k+1:]
		n := 0
		for n < len(rest) && (isDigit(rest[n]) || rest[n] == '.' || rest[n] == ',') {
			n++
		}
		unit := strings.TrimLeft(string(rest[n:]), " ")
		if n > 0 && strings.HasPrefix(unit, "v") {
			return true
		}
	}
	return false
}

// typeShaped recognises a type or series number: letters and figures, or a row
// of them joined by hyphens, and no number with a unit.
func typeShaped(w string) bool {
	letters := 0
	for letters < len(w) && w[letters] >= 'A' && w[letters] <= 'Z' {
		letters++
	}
	return letters >= 2 && strings.IndexFunc(w, func(r rune) bool { return r > 'z' || r == '/' }) < 0
}
