package schema

import (
	"fmt"
	"slices"
	"testing"

	"github.com/go-json-experiment/json"

	"boardlore/domain/part"
	"boardlore/domain/part/parttest"
)

// TestPartSchemaHasEveryMember: the schema of parts and the table of their
// members say the same, and every member is read and kept.
func TestPartSchemaHasEveryMember(t *testing.T) {
	tree, err := Tree("part")
	if err != nil {
		t.Fatal(err)
	}
	properties := object(tree["properties"])
	if len(properties) != len(part.Members) {
		t.Errorf("the schema has %d members, the table %d", len(properties), len(part.Members))
	}
	for i := range part.Members {
		m := &part.Members[i]
		choices := []string{}
		for _, w := range list(object(properties[m.Name])["enum"]) {
			choices = append(choices, text(w))
		}
		if properties[m.Name] == nil || !slices.Equal(choices, append([]string{}, m.Choices...)) {
			t.Errorf("%s: the schema has %v and the table %v", m.Name, choices, m.Choices)
		}
		_, want, _, _ := parttest.Pair(m)
		doc, err := json.Marshal(&want)
		if err != nil {
			t.Fatal(err)
		}
		k, fs := ReadKit([]byte(fmt.Sprintf(`{"title":"t","lines":[{"line":1,"quantity":1,"part":%s}]}`, doc)))
		if k == nil || !k.Lines[0].Part.Same(&want) || len(fs) > 0 {
			t.Errorf("%s: %s is read with %q", m.Name, doc, codesAt(fs))
		}
	}
}

// TestEveryQuantityIsNormalised: what people write in any member that holds a
// quantity is stored in the canonical spelling, and nonsense is refused there.
func TestEveryQuantityIsNormalised(t *testing.T) {
	for i := range part.Members {
		m := &part.Members[i]
		if m.Holds != part.Measure && m.Holds != part.Deviation && m.Holds != part.Capacity {
			continue
		}
		_, p, _, _ := parttest.Pair(m)
		kit := func(value string) []byte {
			return []byte(fmt.Sprintf(`{"title":"t","lines":[{"line":1,"quantity":1,"part":{"class":%q,%q:%q}}]}`,
				p.Class, m.Name, value))
		}
		if k, fs := ReadKit(kit(" " + m.Text(&p) + " ")); k == nil || m.Text(k.Lines[0].Part) != m.Text(&p) {
			t.Errorf("%s: %q", m.Name, codesAt(fs))
		}
		if k, fs := ReadKit(kit("much")); k != nil || !slices.Contains(codesAt(fs), "stop /lines/0/part/"+m.Name+
			" quantity-unreadable") {
			t.Errorf("%s: %q", m.Name, codesAt(fs))
		}
	}
}
