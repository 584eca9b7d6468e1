package schema

import (
	"boardlore/domain/message"
	"slices"

	"github.com/go-json-experiment/json"
)

// memberNames are all the member names of the documents, in order.
var memberNames = collectNames()

func collectNames() []string {
	seen := map[string]bool{}
	for _, d := range documents {
		var tree any
		if err := json.Unmarshal(d.bundled, &tree); err != nil {
			panic(err)
		}
		gather(tree, seen)
	}
	names := make([]string, 0, len(seen))
	for n := range seen {
		names = append(names, n)
	}
	slices.Sort(names)
	return names
}

// gather adds the keys of every "properties" below tree to seen.
func gather(tree any, seen map[string]bool) {
	switch v := tree.(type) {
	case map[string]any:
		if props, ok := v["properties"].(map[string]any); ok {
			for n := range props {
				seen[n] = true
			}
		}
		for _, e := range v {
			gather(e, seen)
		}
	case []any:
		for _, e := range v {
			gather(e, seen)
		}
	}
}

// stranger says that a member is none, and which was perhaps meant: the one
// that is within two slips.
func stranger(name string) message.Message {
	best, least := "", 3
	for _, n := range memberNames {
		if d := distance(name, n, least); d < least {
			best, least = n, d
		}
	}
	if best == "" || best == name {
		return message.Of("schema.member-unknown", name)
	}
	return message.Of("schema.member-unknown-near", name, best)
}

// distance is the Levenshtein distance of a and b in bytes, or limit where it
// is at least that.
func distance(a, b string, limit int) int {
	if len(a) > 64 || len(a)-len(b) >= limit || len(b)-len(a) >= limit {
		return limit
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			diagonal, row[j+1] = row[j+1], min(row[j+1]+1, row[j]+1, diagonal+cost)
		}
	}
	return min(row[len(b)], limit)
}
