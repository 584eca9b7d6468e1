package part

import "strings"

// denied is what a text says that the part is not: "not" and the word behind it,
// as reading keeps it.
type denied struct {
	traits traits
	words  []string // in lower case, with hyphens
}

// deniedIn takes what a text denies off it.
func deniedIn(text string) (d denied, rest string) {
	if !strings.Contains(text, "not ") {
		return d, text
	}
	words, kept := strings.Fields(text), []string{}
	for i := 0; i < len(words); i++ {
		if words[i] != "not" || i+1 == len(words) {
			kept = append(kept, words[i])
			continue
		}
		if i++; i+1 < len(words) && (words[i] == "a" || words[i] == "an") {
			i++
		}
		word := strings.Trim(strings.ToLower(words[i]), ",;.")
		d.traits |= findTraits(strings.ReplaceAll(word, "-", " "))
		if word == "low-esr" {
			d.traits |= lowESR
		}
		d.words = append(d.words, word)
	}
	return d, strings.Join(kept, " ")
}

// denial holds what either part is said not to be to what the other is.
func (j *judgement) denial() {
	if j.o.denied.words == nil && j.w.denied.words == nil {
		return // as nearly always
	}
	if j.o.denied.of(j.w) || j.w.denied.of(j.o) {
		j.hit(askedDenied)
	}
}

// of reports whether a part is what is denied.
func (d *denied) of(c *Candidate) bool {
	if d.traits&c.traits != 0 {
		return true
	}
	for _, w := range d.words {
		for _, is := range [...]string{string(c.Construction), c.Dielectric, c.Chemistry, c.FuseSpeed} {
			if is != "" && (strings.EqualFold(is, w) || strings.HasSuffix(is, "-"+w)) {
				return true
			}
		}
		if c.Text != "" && saysWord(c.Text, w) {
			return true
		}
	}
	return false
}

// saysWord reports whether a word stands in a text.
func saysWord(text, word string) bool {
	for w := range strings.FieldsSeq(text) {
		if strings.EqualFold(strings.Trim(w, ",;."), word) {
			return true
		}
	}
	return false
}
