package store_test

import (
	"testing"

	"boardlore/store"
)

// TestGrowth: the parts come to the whole, and what is left is told where there
// is a budget, and only there.
func TestGrowth(t *testing.T) {
	d := newDesk(t)
	d.keep(t, d.ann, 1)
	g, err := d.Growth(ctx)
	if err != nil {
		t.Fatal(err)
	}
	sum, at := int64(0), map[string]store.Part{}
	for _, p := range g.Parts {
		sum, at[p.Name] = sum+p.Bytes, p
	}
	if sum != g.Bytes || len(at) != 8 || at["photographs"].Bytes == 0 || at["log"].Bytes == 0 ||
		g.Parts[7].Name != "rest" {
		t.Errorf("%d of %d bytes: %+v", sum, g.Bytes, g.Parts)
	}
	if g.Room != (store.Disk{}) || g.Least != 0 {
		t.Errorf("room without a budget: %+v, %d", g.Room, g.Least)
	}
	s, err := store.Open(ctx, d.dsn, store.Options{Budget: 10 << 30})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	if g, err = s.Growth(ctx); err != nil || g.Room.Total != 10<<30 || g.Room.Free <= 9<<30 || g.Least != 512<<20 {
		t.Errorf("room of a budget: %+v, %d, %v", g.Room, g.Least, err)
	}
}
