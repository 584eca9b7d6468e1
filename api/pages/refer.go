package pages

import (
	"boardlore/domain/message"
	"slices"
	"strings"
	"unicode"

	"github.com/go-json-experiment/json"
)

// What a map says of a position elsewhere (failure points, checks, builds) goes
// along when the position gets another name, and goes with it when it is taken
// away; the page says so.

func (d *draft) designators() []string {
	out := make([]string, len(d.positions()))
	for i := range out {
		if object(d.positions(), i) != nil {
			out[i] = d.cell(i, "designator")
		}
	}
	return out
}

// renamed carries the references of positions along that have another name than
// before: row by row, and as the script tells it, in pairs of old and new.
func (d *draft) renamed(before []string, told []string) (said []message.Message) {
	names := map[string]string{}
	for i, now := range d.designators() {
		if was := before[i]; was != "" && now != "" && was != now {
			names[was] = now
		}
	}
	for _, s := range told {
		var pairs [][2]string
		_ = json.Unmarshal([]byte(s), &pairs) // what can't be read renames nothing
		for _, p := range pairs {
			names[p[0]] = p[1]
		}
	}
	places := 0
	d.references(func(name string) (string, bool) {
		if to, ok := names[name]; ok {
			places++
			return to, true
		}
		return name, true
	})
	if places > 0 {
		said = append(said, t("draft.renamed", places))
	}
	return said
}

// forget takes the references to positions away that are there no more.
func (d *draft) forget(gone []string) (said []message.Message) {
	still := set(d.designators())
	gone = slices.DeleteFunc(gone, func(n string) bool { return n == "" || still[n] })
	if len(gone) == 0 {
		return nil
	}
	places, away := 0, set(gone)
	d.references(func(name string) (string, bool) {
		if away[name] {
			places++
			return "", false
		}
		return name, true
	})
	if places > 0 {
		said = append(said, t("draft.forgotten", message.Commas(gone), places))
	}
	return said
}

// references gives every reference to a position to change, which gives the
// name that stands there then, and whether it stays at all.
func (d *draft) references(change func(string) (string, bool)) {
	for _, f := range asList(d.tree[ofFailure]) {
		if o, ok := f.(map[string]any); ok && o["positions"] != nil {
			o["positions"] = each(asList(o["positions"]), change)
		}
	}
	for _, c := range asList(d.tree[ofCheck]) {
		if o, ok := c.(map[string]any); ok && o["between"] != nil {
			o["between"] = each(asList(o["between"]), func(s string) (string, bool) {
				n := strings.IndexFunc(s, func(r rune) bool {
					return !unicode.IsLetter(r) && !unicode.IsDigit(r) &&
						r != '_'
				})
				if n < 0 {
					n = len(s)
				}
				to, stays := change(s[:n]) // C4+, R2.1: the lead goes along
				return to + s[n:], stays
			})
		}
	}
	for _, v := range asList(d.tree[ofVariant]) {
		o, _ := v.(map[string]any)
		if changes := asList(o["changes"]); changes != nil {
			o["changes"] = slices.DeleteFunc(changes, func(x any) bool { return !referring(x, change) })
		}
	}
}

func referring(x any, change func(string) (string, bool)) bool {
	c, _ := x.(map[string]any)
	for _, k := range []string{"designator", "omit"} {
		if s, ok := c[k].(string); ok {
			to, stays := change(s)
			if !stays {
				return false
			}
			c[k] = to
		}
	}
	return true
}

func each(list []any, change func(string) (string, bool)) []any {
	out := make([]any, 0, len(list))
	for _, x := range list {
		s, ok := x.(string)
		if !ok {
			out = append(out, x)
			continue
		}
		if to, stays := change(s); stays {
			out = append(out, to)
		}
	}
	return out
}
