package store_test

import (
	"bytes"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/record"
	"boardlore/store"
)

// busyDesk is a registry with all that an export tells of: a map with a
// photograph, a kit in two versions, and records of three units, of which two
// have the same mark.
func busyDesk(t *testing.T) (d *desk, picture string) {
	d = newDesk(t)
	p := d.keep(t, d.ann, 7)
	m := workshop()
	m.Photographs = []board.Photograph{{SHA256: p.SHA256, Side: "top", Points: []board.PhotographPoint{
		{Pixel: [2]float64{0, 0}, MM: [2]float64{0, 80}}, {Pixel: [2]float64{2, 0}, MM: [2]float64{100, 80}},
		{Pixel: [2]float64{2, 1}, MM: [2]float64{100, 0}}, {Pixel: [2]float64{0, 1}, MM: [2]float64{0, 0}}}}}
	d.released(t, 0, m)
	for _, title := range []string{"Capacitors", "Capacitors, all"} {
		doc := fmt.Sprintf(`{"kit":"shop-caps","title":%q,"for":["shop"],"lines":[{"line":1,"quantity":4,"text":"47 µF 25 V"}]}`, title)
		if _, _, err := d.PutKit(ctx, d.ann, store.KitPut{Kit: "shop-caps", Document: []byte(doc)}); err != nil {
			t.Fatal(err)
		}
	}
	for _, r := range []struct {
		who store.Actor
		serviced
	}{
		{d.ann, serviced{unit: "shelf 1", on: "2024-01-02", build: record.Base, found: map[string]string{"C1": "open",
			"C2": "good"}, symptoms: []string{"Hum"}}},
		{d.abe, serviced{unit: "shelf 1", on: "2024-01-02", build: record.Base,
			found: map[string]string{"C1": "leaking"}}},
		{d.ann, serviced{unit: "shelf 1", on: "2024-01-01", build: record.Base, found: map[string]string{"C1": "good",
			"C3": "open"}}},
		{d.ann, serviced{unit: "shelf 2", on: "2024-01-03", build: "late", found: map[string]string{"C1": "missing",
			"C4": "open"}, symptoms: []string{"Clock lost"}}},
	} {
		doc := strings.Replace(r.document("shop"), `"outcome"`,
			`"kit":{"kit":"shop-caps","left_over":[1],"missing":["C4"]},"outcome"`, 1)
		if _, err := d.KeepRecord(ctx, r.who, "shop", []byte(doc), today, store.Once{}); err != nil {
			t.Fatal(err)
		}
	}
	return d, p.SHA256
}

// sameExperience holds what the records of two registries amount to to each other.
func sameExperience(t *testing.T, a, b *desk) {
	t.Helper()
	for _, build := range []string{"", record.Base, "late"} {
		want, err := a.Experience(ctx, "shop", build)
		if err != nil {
			t.Fatal(err)
		}
		got, err := b.Experience(ctx, "shop", build)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, got, cmp.Exporter(func(reflect.Type) bool { return true })); diff != "" {
			t.Errorf("build %q (-first +second):\n%s", build, diff)
		}
	}
}

// lines are an export as it is written; documents are the digests in it.
func lines(t *testing.T, all []store.Exported) (text []byte, documents []string) {
	t.Helper()
	for i := range all {
		line, err := all[i].Line("")
		if err != nil {
			t.Fatal(err)
		}
		text = append(append(text, line...), '\n')
		if all[i].Document != nil {
			documents = append(documents, all[i].Act+" "+all[i].Digest)
		}
		back, _, err := store.ReadLine(line)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(all[i], back, cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("a line is read as something else (-written +read):\n%s", diff)
		}
	}
	return text, documents
}

// A registry that was exported and loaded counts the same units, has the same
// kits and photographs under the same digests, and knows no mark.
func TestExportBesideTheLog(t *testing.T) {
	d, picture := busyDesk(t)
	all := exportAll(t, d.Store, store.ExportFilter{After: -1})
	text, documents := lines(t, all)
	if bytes.Contains(text, []byte("shelf")) || bytes.Contains(text, []byte("ann")) {
		t.Errorf("a private mark or a name left:\n%s", text)
	}
	if all[0].Act != "photograph" || all[1].Act != "release" || len(documents) != 6 {
		t.Fatalf("%d lines, documents %v", len(all), documents)
	}
	other := anotherDesk(t)
	if n, err := load(t, other.Store, all); err != nil || n != (store.Loaded{Released: 1, Photographs: 1, Kits: 2,
		Records: 4}) {
		t.Fatalf("%+v, %v", n, err)
	}
	sameExperience(t, d, other)
	if p, err := other.Photograph(ctx, picture); err != nil || len(p.Data) == 0 {
		t.Errorf("%v", err)
	}
	if k, err := other.Kit(ctx, "shop-caps", 0); err != nil || k.Version != 2 || k.Title != "Capacitors, all" {
		t.Errorf("%+v, %v", k, err)
	}
	if c, err := other.CheckData(ctx, nil); err != nil || len(c.Faults) > 0 {
		t.Errorf("%v, %v", c.Faults, err)
	}
	_, again := lines(t, exportAll(t, other.Store, store.ExportFilter{After: -1}))
	if !slices.Equal(documents, again) {
		t.Errorf("digests went as %v and come as %v", documents, again)
	}
	for name, s := range map[string]*store.Store{"the other": other.Store, "the first": d.Store} {
		if n, err := load(t, s, all); err != nil || n != (store.Loaded{Had: 1}) {
			t.Errorf("loaded into %s once more: %+v, %v", name, n, err)
		}
	}
	sameExperience(t, d, other)
}

// What comes after an event, and of some boards alone; what is withdrawn or
// erased there is so here, too.
func TestExportGoesOn(t *testing.T) {
	d, picture := busyDesk(t)
	other := anotherDesk(t)
	all := exportAll(t, d.Store, store.ExportFilter{After: -1})
	if _, err := load(t, other.Store, all[:len(all)-2]); err != nil {
		t.Fatal(err)
	}
	seen := all[len(all)-3]
	rest := exportAll(t, d.Store, store.ExportFilter{Part: store.Beside, AfterEvent: seen.Event})
	if len(rest) != 2 || rest[0].Act != "record" {
		t.Fatalf("%d lines after event %d", len(rest), seen.Event)
	}
	if _, err := load(t, other.Store, rest); err != nil {
		t.Fatal(err)
	}
	sameExperience(t, d, other)
	list, err := d.Records(ctx, store.RecordFilter{Board: "shop"})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := d.WithdrawRecord(ctx, d.stew, list.Items[0].ID, store.Withdrawal{Reason: "Another board."},
		store.Once{}); err != nil {
		t.Fatal(err)
	}
	if _, err := d.ErasePhotograph(ctx, d.stew, picture, "A face."); err != nil {
		t.Fatal(err)
	}
	rest = exportAll(t, d.Store, store.ExportFilter{Part: store.Beside, AfterEvent: rest[1].Event})
	if text, _ := lines(t, rest); len(rest) != 2 || bytes.Contains(text, []byte("Another board")) ||
		bytes.Contains(text, []byte("A face")) {
		t.Errorf("%s", text)
	}
	if n, err := load(t, other.Store, rest); err != nil || n != (store.Loaded{Withdrawn: 2}) {
		t.Errorf("%+v, %v", n, err)
	}
	sameExperience(t, d, other)
	if _, err := other.Photograph(ctx, picture); !fault.Is(err, fault.Unlawful) {
		t.Errorf("%v", err)
	}
	if n := answered(t, other.dsn, `SELECT octet_length(data) FROM photographs`); n != "0" {
		t.Errorf("%s bytes of the photograph are kept", n)
	}
	if of := exportAll(t, d.Store, store.ExportFilter{After: -1, Boards: []string{"another"}}); len(of) != 1 ||
		of[0].Act != "photograph-erasure" {
		t.Errorf("of another board: %+v", of)
	}
	if of := exportAll(t, d.Store, store.ExportFilter{After: -1, Boards: []string{"shop"}}); len(of) != 1+2+3+2 {
		t.Errorf("%d lines of the board", len(of))
	}
}

// What was altered on the way is refused, whatever it is.
func TestLoadRefusesBeside(t *testing.T) {
	d, _ := busyDesk(t)
	other := anotherDesk(t)
	for _, x := range exportAll(t, d.Store, store.ExportFilter{After: -1}) {
		switch x.Act {
		case "photograph":
			x.Data = bytes.Clone(x.Data)
			x.Data[len(x.Data)-1]++
		case "kit", "record":
			x.Document = bytes.Replace(x.Document, []byte(`"quantity":4`), []byte(`"quantity":5`), 1)
			x.Document = bytes.Replace(x.Document, []byte(`"outcome":"working"`), []byte(`"outcome":"partly"`), 1)
		default:
			if _, err := load(t, other.Store, []store.Exported{x}); err != nil {
				t.Fatal(err)
			}
			continue
		}
		if _, err := load(t, other.Store, []store.Exported{x}); err == nil {
			t.Errorf("an altered %s was loaded", x.Act)
		} else {
			refused(t, err, fault.Invalid, "load-refused")
		}
	}
}
