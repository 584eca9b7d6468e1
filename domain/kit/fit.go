package kit

import (
	"cmp"

	"boardlore/domain/board"
	"boardlore/domain/part"
)

// PoorerThan tells that a kit fares worse by s than by o: it leaves more
// positions empty, else has more of them flagged, else suits them less.
func (s Summary) PoorerThan(o Summary) bool {
	return cmp.Or(cmp.Compare(s.Unfilled, o.Unfilled), cmp.Compare(s.Flagged, o.Flagged),
		cmp.Compare(s.Penalty, o.Penalty)) > 0
}

// CompareServed orders two boards by how well one kit serves them, the better
// first: by the share that the filled positions have in all positions to
// service and all parts of the kit together, so that neither a large board that
// takes up everything nor a small one that takes up little stands before the
// board that the kit was made for; then by penalty.
func CompareServed(a, b Summary) int {
	return cmp.Or(cmp.Compare(b.Filled*(a.Positions+a.Surplus), a.Filled*(b.Positions+b.Surplus)),
		cmp.Compare(a.Penalty, b.Penalty))
}

// nameLimit is how many characters a name to look a part up by has at most; a
// longer text is no type number.
const nameLimit = 200

// Key is what a part is looked up by when kits look for boards: its class and
// value; where a class has no value, the rating or the name that people choose
// it by, folded by fold to what makes names alike. False for a part that says
// too little to be looked for.
func Key(p *part.Part, fold func(string) string) (string, bool) {
	by := ""
	switch {
	case !p.Value.IsZero():
		by = p.Value.String()
	case p.Class == part.Fuse && !p.Current.IsZero():
		by = p.Current.String()
	default:
		by = fold(p.Text)
	}
	if by == "" || len(by) > nameLimit {
		return "", false
	}
	return string(p.Class) + " " + by, true
}

// Wants counts what a map wants to be fitted at service, by key.
func Wants(m *board.Map, fold func(string) string) (counts map[string]int, total int) {
	counts = map[string]int{}
	for i := range m.Positions {
		if p := &m.Positions[i]; p.Service == board.Replace {
			if key, ok := Key(p.Wanted(), fold); ok {
				counts[key]++
				total++
			}
		}
	}
	return counts, total
}

// Holds counts what a kit holds, by key. A line that reads several ways counts
// for each.
func Holds(k *Kit, fold func(string) string) (counts map[string]int, total int) {
	counts = map[string]int{}
	for _, l := range Lots(k) {
		total += l.Quantity
		seen := map[string]bool{}
		for i := range l.Parts {
			if key, ok := Key(&l.Parts[i], fold); ok && !seen[key] {
				seen[key] = true
				counts[key] += l.Quantity
			}
		}
	}
	return counts, total
}
