package part

import (
	"slices"
	"strings"
)

// sameCircuit lists integrated circuits that several makers sell as one type,
// each under letters of its own: the figures in the middle, and the letters
// before them that mean that type. Common practice; makers' cross references.
var sameCircuit = func() map[string][]string {
	m := map[string][]string{
		"317": {"lm", "ua", "ka"}, "337": {"lm", "ua", "ka"}, "555": {"ne", "lm", "se", "sa", "ka", "ca"},
		"741": {"ua", "lm", "ca", "mc"},
		"358": {"lm", "ka", "ua", "ba"}, "324": {"lm", "ka", "ua", "ba"}, "393": {"lm", "ka", "ua"},
		"339":  {"lm", "ka", "ua"},
		"4558": {"rc", "jrc", "njm", "mc", "ba"}, "5532": {"ne", "sa", "se", "njm"}, "5534": {"ne", "sa", "se", "njm"},
	}
	for _, v := range []string{"05", "06", "08", "09", "10", "12", "15", "18", "24"} {
		for _, row := range []string{"78", "79"} {
			m[row+v] = []string{"", "l", "lm", "ua", "mc", "ka", "na", "njm", "upc", "ta", "an", "ts"}
		}
	}
	for n := range strings.FieldsSeq(`4001 4011 4012 4013 4015 4016 4017 4020 4023 4024 4025 4027 4028 4029 4030 4040 4042 4043 4044 4046 4047 4049 4050
		4051 4052 4053 4060 4066 4068 4069 4070 4071 4072 4073 4075 4077 4078 4081 4082 4093 4094`) {
		m[n] = []string{"", "cd", "hef", "hcf", "tc", "hcc", "mm", "cm", "scl"}
	}
	return m
}()

// logicMakers are the letters that makers of the 74 row put before it.
var logicMakers = []string{"", "sn", "dm", "mm", "mc", "hd", "cd", "tc", "m", "n", "pc", "t"}

// samePins are types that may stand in each other's holes and do other work:
// amplifiers of one pin-out with other noise, speed and input range. Source:
// makers' data sheets; two amplifiers in eight pins have one pin-out.
var samePins = [][]string{
	{"ne5532", "sa5532", "tl072", "tl082", "tl062", "lm358", "lm833", "rc4558", "jrc4558", "njm4558", "njm2068",
		"njm4580", "ba4558", "mc1458", "lf353", "opa2134", "opa2604", "ad827", "lm4562", "lm1458"},
	{"tl074", "tl084", "tl064", "lm324", "lf347", "mc3403", "lm348", "lm837", "mc33079"},
	{"tl071", "tl081", "lf351", "lf356", "ne5534", "ua741", "lm741", "op27", "op07"},
	{"lm393", "lm2903"},
	{"lm339", "lm2901"},
	{"ne555", "lm555", "tlc555", "icm7555", "lmc555"},
}

// circuitRelation compares the type numbers of two integrated circuits beyond
// their letters.
func circuitRelation(want, have string) typeRelation {
	var a, b typeText
	a.fold(want, false)
	b.fold(have, false)
	wl, wc, _ := a.core()
	hl, hc, _ := b.core()
	switch {
	case len(wc) == 0 || len(hc) == 0:
		return typeDiffers
	case string(wc) == string(hc):
		letters := sameCircuit[string(wc)]
		if len(wc) > 4 && string(wc[:2]) == "74" {
			letters = logicMakers
		}
		if listed(letters, wl) && listed(letters, hl) {
			return typeEquivalent
		}
	case logicAlike(wc, hc):
		return typePins
	}
	for _, group := range samePins {
		if listed(group, a.sign[:len(wl)+len(wc)]) && listed(group, b.sign[:len(hl)+len(hc)]) {
			return typePins
		}
	}
	return typeDiffers
}

func listed(all []string, one []byte) bool {
	return slices.ContainsFunc(all, func(s string) bool { return s == string(one) })
}

// core parts a type number into the letters before its first figure, what lies
// from there to its last figure, and the letters after.
func (t *typeText) core() (before, middle, after []byte) {
	first, last := t.n, -1
	for i := range t.n {
		if digit(t.sign[i]) {
			first, last = min(first, i), i
		}
	}
	if last < 0 {
		return t.sign[:t.n], nil, nil
	}
	return t.sign[:first], t.sign[first : last+1], t.sign[last+1 : t.n]
}

// logicAlike reports whether two cores are one function of the 74 row, once with
// inputs for HC and once for HCT levels: 74hc00 and 74hct00.
func logicAlike(a, b []byte) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	if len(a)+1 != len(b) {
		return false
	}
	for i := range b {
		if b[i] == 't' && i > 2 && b[i-1] == 'c' {
			return string(a[:i]) == string(b[:i]) && string(a[i:]) == string(b[i+1:])
		}
	}
	return false
}
