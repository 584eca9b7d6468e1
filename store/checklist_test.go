package store_test

import (
	"strings"
	"testing"

	"github.com/go-json-experiment/json/jsontext"
	"github.com/google/go-cmp/cmp"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/schema"
	"boardlore/store"
)

func TestChecklist(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	if _, _, err := d.PutKit(ctx, d.ann, store.KitPut{Kit: "full-set", Document: []byte(kitText)}); err != nil {
		t.Fatal(err)
	}
	in := d.submission(t, 1, newMap("tarn-a", func(m *board.Map) {
		m.Positions[1].Part.Value = q("50 µF")
		m.Positions[2].Part.Voltage = q("63 V")
	}))
	in.Evidence = jsontext.Value(`[{"text":"read on the can","designators":["C3"]}]`)
	r, err := d.Submit(ctx, d.ann, in)
	if err != nil {
		t.Fatal(err)
	}
	c, err := d.Checklist(ctx, r.Proposal)
	if err != nil || len(c.Positions) != 2 {
		t.Fatalf("%+v, %v", c, err)
	}
	if p := c.Positions[0]; p.Designator != "C2" || p.Unusual != "50 µF" || len(p.Evidence) != 0 ||
		len(p.Changes) == 0 {
		t.Errorf("%+v", p)
	}
	if p := c.Positions[1]; p.Designator != "C3" || p.Unusual != "" || !cmp.Equal(p.Evidence, []int{0}) {
		t.Errorf("%+v", p)
	}
	if c.Evidenced != 1 || c.Breaks != 1 || c.Mends != 0 || len(c.Kits) != 1 || c.Kits[0].Kit != "full-set" {
		t.Errorf("%+v", c)
	}
	// Another release since: kits are tried on what a release today would make.
	d.released(t, 1, newMap("tarn-a", func(m *board.Map) { m.Positions[0].Part.Value = q("10 µF") }))
	c, err = d.Checklist(ctx, r.Proposal)
	if err != nil || len(c.Kits) != 1 || c.Kits[0].Before.Filled != 3 || c.Kits[0].After.Filled >= 3 {
		t.Errorf("%+v, %v", c, err)
	}
	_, err = d.Checklist(ctx, 999)
	refused(t, err, fault.NotFound, "proposal-unknown")
}

func TestKitBoards(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	d.released(t, 0, newMap("tarn-b", func(m *board.Map) { m.Positions = m.Positions[:2] }))
	d.released(t, 0, newMap("tarn-c", func(m *board.Map) {
		for i := range m.Positions {
			m.Positions[i].Part.Value = q("10 µF")
		}
	}))
	k, fs := schema.ReadKit([]byte(strings.Replace(kitText, `"quantity":4`, `"quantity":2`, 1)))
	if k == nil {
		t.Fatal(fs)
	}
	got, err := d.KitBoards(ctx, k, 10)
	if err != nil || len(got) != 2 || got[0].Board != "tarn-b" || got[0].Summary.Filled != 2 ||
		got[1].Board != "tarn-a" {
		t.Errorf("%+v, %v", got, err)
	}
	if got, err := d.KitBoards(ctx, k, 1); err != nil || len(got) != 1 {
		t.Errorf("limit: %+v, %v", got, err)
	}
}
