package part

// safety is a set of IEC 60384-14 subclasses; one part may carry several, such
// as X1/Y2.
type safety uint8

const (
	x1 safety = 1 << iota
	x2
	x3
	y1
	y2
	y3
	y4
)

const yClasses = y1 | y2 | y3 | y4

// takes gives, for the class that a position wants, the classes that may stand
// there: IEC 60384-14 by way of the impulse voltages that makers print (a Y
// part survives more than an X part, an X part never guards against shock).
var takes = [...]struct{ wanted, any safety }{
	{x1, x1 | y1},
	{x2, x1 | x2 | y1 | y2},
	{x3, x1 | x2 | x3 | y1 | y2},
	{y1, y1},
	{y2, y1 | y2},
	{y3, y1 | y2 | y3},
	{y4, y1 | y2 | y4},
}

// safetyOf reads the classes out of a member such as "X2" or "X1/Y2"; what is
// no class adds nothing.
func safetyOf(s string) (set safety) {
	for i := 0; i+1 < len(s); i++ {
		base, top := safety(0), byte('3')
		switch s[i] {
		case 'X', 'x':
			base = x1
		case 'Y', 'y':
			base, top = y1, '4'
		}
		if d := s[i+1]; base != 0 && d >= '1' && d <= top {
			set |= base << (d - '1')
		}
	}
	return set
}

// mayReplace reports whether a part of the classes in s may stand where the
// classes in wanted are asked for: each of them must be met.
func (s safety) mayReplace(wanted safety) bool {
	if wanted == 0 {
		return true
	}
	for _, t := range takes {
		if wanted&t.wanted != 0 && s&t.any == 0 {
			return false
		}
	}
	return s != 0
}
