package board

import (
	"strings"

	"boardlore/domain/finding"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
	"boardlore/domain/reading"
)

// text finds words in a part's text that deny, offer a choice, or speak of another part: the text is kept as it is, and
// whoever reads it at the bench may take the part for what it is not.
func (c *checker) text(designator string, p *part.Part, w where, member string) {
	if p.Text == "" {
		return
	}
	key := [2]string{string(p.Class), p.Text}
	words, known := c.texts[key]
	if !known {
		if c.texts == nil {
			c.texts = map[[2]string]string{}
		}
		read, _ := reading.Part(p.Text, quantity.Context{Class: string(p.Class)}) // what can't be read has no such word
		words = strings.Join(read.Turned, ", ")
		c.texts[key] = words
	}
	if words != "" {
		c.add(finding.Finding{Code: "text-turns", Severity: finding.Caution, Pointer: w.pointer(member + "/text"),
			Found: p.Text, Basis: common,
			Sentence: message.Of("check.text-turns", designator, p.Text, words)})
	}
}
