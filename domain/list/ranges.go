package list

import (
	"fmt"
	"strconv"
	"strings"
)

// Ranges spells designators as people do, three or more in a row as a range:
// C1, C3-C5. Designators reads the result back. The order is kept.
func Ranges(designators []string) string {
	var out []string
	for i := 0; i < len(designators); {
		n := run(designators[i:])
		if n < 3 {
			out = append(out, designators[i])
			i++
			continue
		}
		out = append(out, designators[i]+"-"+designators[i+n-1])
		i += n
	}
	return strings.Join(out, ", ")
}

// run is how many designators from the first on are numbered without a gap.
func run(ds []string) int {
	first, ok := parse(ds[0], "")
	from, err := strconv.Atoi(first.digits)
	if !ok || err != nil || first.suffix != "" {
		return 1
	}
	width := 0
	if strings.HasPrefix(first.digits, "0") {
		width = len(first.digits)
	}
	n := 1
	for n < len(ds) && ds[n] == fmt.Sprintf("%s%0*d", first.letters, width, from+n) {
		n++
	}
	return n
}
