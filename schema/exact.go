package schema

import (
	"bytes"
	"math/big"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/finding"
	"boardlore/domain/message"
)

// manyDigits finds what could be a number of more digits than a double holds:
// sixteen digits and points in a row, since fifteen always come back as they
// were (IEEE 754, DBL_DIG), or an exponent of two digits. A regular expression
// that says the same took half of the time in which a map is read.
func manyDigits(data []byte) bool {
	row := 0
	for i, c := range data {
		switch {
		case digit(c) || c == '.':
			if row++; row > 15 {
				return true
			}
			continue
		case c == 'e' || c == 'E':
			rest := data[i+1:]
			if len(rest) > 0 && (rest[0] == '-' || rest[0] == '+') {
				rest = rest[1:]
			}
			if len(rest) > 1 && digit(rest[0]) && digit(rest[1]) {
				return true
			}
		}
		row = 0
	}
	return false
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

// inexact finds the numbers in a submitter's own members that the stored form
// (RFC 8785, which knows doubles alone) would give back as others: nobody can
// say what they mean, so they are refused rather than rounded.
func inexact(data []byte) (fs []finding.Finding) {
	own := bytes.Contains(data, []byte(`"x-`)) ||
		bytes.Contains(data, []byte(`\u`)) // or a name that is written with escapes
	if !own || !manyDigits(data) {
		return nil
	}
	d := jsontext.NewDecoder(bytes.NewReader(data))
	for {
		if d.PeekKind() != '0' {
			if _, err := d.ReadToken(); err != nil {
				return capped(fs) // the end, or a fault that the parser has told
			}
			continue
		}
		v, err := d.ReadValue()
		if err != nil {
			return capped(fs)
		}
		at := string(d.StackPointer())
		if s := string(v); strings.Contains(at, "/x-") && !kept(s) {
			fs = append(fs, finding.Finding{Code: "number-inexact", Severity: finding.Stop, Pointer: at,
				Found: clipped(s), Basis: message.Text("RFC 8785, IEEE 754"),
				Sentence: message.Of("schema.number-inexact", clipped(s))})
		}
	}
}

func clipped(s string) string { return s[:min(len(s), 60)] }

// kept tells that a number comes back as it was.
func kept(s string) bool {
	if len(s) > 400 {
		return false
	}
	f, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return false
	}
	was, ok := new(big.Rat).SetString(s)
	again, also := new(big.Rat).SetString(strconv.FormatFloat(f, 'g', -1, 64))
	return ok && also && was.Cmp(again) == 0
}
