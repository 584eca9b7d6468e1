package review

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// e24 are the values of series E24, IEC 60063, as their first two digits.
var e24 = []int{10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91}

// Preferred reports whether a canonical quantity, such as "4.7 kΩ", has a value
// of series E24 or E96 of IEC 60063. Zero counts as preferred.
func Preferred(canonical string) bool {
	number, _, _ := strings.Cut(canonical, " ")
	digits := strings.TrimRight(strings.TrimLeft(strings.Replace(number, ".", "", 1), "0"), "0")
	if digits == "" {
		return true
	}
	if len(digits) > 3 {
		return false
	}
	n, err := strconv.Atoi((digits + "00")[:3])
	if err != nil {
		return false
	}
	if n%10 == 0 && slices.Contains(e24, n/10) {
		return true
	}
	for i := range 96 {
		if int(math.Round(100*math.Pow(10, float64(i)/96))) == n {
			return true
		}
	}
	return false
}
