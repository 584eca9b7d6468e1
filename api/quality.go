package api

import (
	"strconv"
	"strings"
)

// quality splits one item of an Accept or Accept-Encoding header into its
// lower-case name and its weight from 0 to 1; a malformed weight counts as 0.
func quality(item string) (string, float64) {
	name, params, _ := strings.Cut(item, ";")
	q := 1.0
	for _, p := range strings.Split(params, ";") {
		k, v, ok := strings.Cut(p, "=")
		if !ok || !strings.EqualFold(strings.TrimSpace(k), "q") {
			continue
		}
		w, err := strconv.ParseFloat(strings.TrimSpace(v), 64)
		if err != nil || !(w >= 0 && w <= 1) {
			w = 0
		}
		q = w
	}
	return strings.ToLower(strings.TrimSpace(name)), q
}
