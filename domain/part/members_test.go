package part_test

import (
	"reflect"
	"strings"
	"testing"

	"boardlore/domain/part"
	"boardlore/domain/part/parttest"
)

// TestMembersAreAll: the table has every field of a part but the submitter's
// own, and each row leads to its own field.
func TestMembersAreAll(t *testing.T) {
	var p part.Part
	v := reflect.ValueOf(&p).Elem()
	rows := map[string]*part.Member{}
	for i := range part.Members {
		rows[part.Members[i].Name] = &part.Members[i]
	}
	for i := range v.NumField() {
		name, rest, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ",")
		if rest == "embed" {
			continue
		}
		m := rows[name]
		if m == nil {
			t.Errorf("%s has no row in Members", name)
			continue
		}
		if at := reflect.ValueOf(m.At(&p)); at.Pointer() != v.Field(i).Addr().Pointer() ||
			at.Type().Elem() != v.Field(i).Type() {
			t.Errorf("the row of %s leads to another field", name)
		}
		delete(rows, name)
	}
	for name := range rows {
		t.Errorf("the row of %s has no field in Part", name)
	}
}

// TestMembersTellApart: whatever looks at parts sees every member.
func TestMembersTellApart(t *testing.T) {
	for i := range part.Members {
		m := &part.Members[i]
		a, b, _, _ := parttest.Pair(m)
		if !m.Is(&a) || m.Text(&a) == "" || m.Same(&a, &b) || !m.Same(&a, &a) {
			t.Errorf("%s: %q and %q are not told apart", m.Name, m.Text(&a), m.Text(&b))
		}
		if a.Same(&b) || !a.Same(&a) {
			t.Errorf("%s: parts that differ in it are the same", m.Name)
		}
		if again := a; a.Key() == b.Key() || a.Key() != again.Key() {
			t.Errorf("%s: parts that differ in it have one key", m.Name)
		}
		if a.String() == b.String() || !strings.Contains(strings.ToLower(b.String()),
			strings.ToLower(strings.ReplaceAll(m.Text(&b), "-", " "))) && m.Name != "text" {
			t.Errorf("%s: %q and %q", m.Name, a.String(), b.String())
		}
		if m.Copy(&a, &b); !a.Same(&b) {
			t.Errorf("%s is not copied: %q", m.Name, a.String())
		}
		if blank := (part.Part{}); m.Is(&blank) || m.Text(&blank) != "" || !m.Said(&blank).IsZero() {
			t.Errorf("%s of a blank part is %q", m.Name, m.Text(&blank))
		}
	}
}
