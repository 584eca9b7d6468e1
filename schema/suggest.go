package schema

import (
	"slices"

	"github.com/agnivade/levenshtein"
	"github.com/go-json-experiment/json"

	"boardlore/domain/message"
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

const (
	maxSlips    = 2  // letters by which a name may differ from the one that is suggested
	longestName = 64 // bytes; what is longer is no slip, and dear to compare
)

// stranger says that a member is none, and which was perhaps meant: the nearest
// that is within maxSlips and has a letter in common.
func stranger(name string) message.Message {
	best, least := "", min(maxSlips+1, len(name))
	for _, n := range memberNames {
		if len(name) > longestName || max(len(name)-len(n), len(n)-len(name)) >= least {
			continue
		}
		if d := levenshtein.ComputeDistance(name, n); d < least {
			best, least = n, d
		}
	}
	if best == "" || best == name {
		return message.Of("schema.member-unknown", name)
	}
	return message.Of("schema.member-unknown-near", name, best)
}
