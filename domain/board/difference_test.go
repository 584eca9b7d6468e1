package board_test

import (
	"testing"

	jsonpatch "github.com/evanphx/json-patch/v5"
	"github.com/go-json-experiment/json"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/message"
)

func bytesOf(t interface{ Fatal(...any) }, m *board.Map) string {
	b, err := m.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// apply(diff(a, b), a) = b, from nothing but the difference's JSON; empty
// exactly when the digests are equal; the patch applied by another author's
// library gives b.
func TestDifferenceLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := boardtest.Random(t)
		b := boardtest.Edit(t, a)
		before := bytesOf(t, a)
		d := board.Diff(a, b)
		if (len(d.Changes) == 0) != (bytesOf(t, a) == bytesOf(t, b)) {
			t.Fatalf("%d changes, equal digests: %v", len(d.Changes), bytesOf(t, a) == bytesOf(t, b))
		}
		if n := len(board.Diff(b, b).Changes); n > 0 {
			t.Fatalf("%d changes between a map and itself", n)
		}
		text, err := json.Marshal(d)
		if err != nil {
			t.Fatal(err)
		}
		var again board.Difference
		if err := json.Unmarshal(text, &again); err != nil {
			t.Fatal(err)
		}
		got, err := board.Apply(a, again)
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if diff := cmp.Diff(bytesOf(t, b), bytesOf(t, got)); diff != "" {
			t.Fatalf("applied (-want +got):\n%s\n%s", diff, text)
		}
		if bytesOf(t, a) != before {
			t.Fatal("the older map was changed")
		}
		patchLaw(t, a, b)
	})
}

func patchLaw(t *rapid.T, a, b *board.Map) {
	ops, err := board.Patch(a, b)
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(ops)
	if err != nil {
		t.Fatal(err)
	}
	patch, err := jsonpatch.DecodePatch(text)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := patch.Apply([]byte(bytesOf(t, a)))
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	got := new(board.Map)
	if err := json.Unmarshal(doc, got); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(bytesOf(t, b), bytesOf(t, got)); diff != "" {
		t.Fatalf("patched (-want +got):\n%s\n%s", diff, text)
	}
}

func BenchmarkDiff(b *testing.B) {
	from := boardtest.Big(2000)
	for name, to := range map[string]*board.Map{"scattered": boardtest.Scatter(2000), "same": boardtest.Big(2000),
		"shifted": shifted(2000)} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				board.Diff(from, to)
			}
		})
	}
}

func shifted(n int) *board.Map {
	m := boardtest.Big(n)
	for i := range m.Positions {
		m.Positions[i].Y -= 0.25
	}
	return m
}

func TestShiftedFrameIsOneChange(t *testing.T) {
	d := board.Diff(boardtest.Big(300), shifted(300))
	if len(d.Changes) != 1 || d.Changes[0].Kind != board.FrameChanged || d.Changes[0].Transform.Shift != [2]float64{0,
		-0.25} {
		t.Errorf("got %s, want one frame change by (0, -0.25)", d.Text(message.English))
	}
}

// Two cautions of one text, and another order: what is which can't be told by
// the text alone.
func TestApplyToTwins(t *testing.T) {
	a := boardtest.Big(5)
	a.Cautions = []board.Caution{{Text: "Wait."}, {Text: "Wait.", When: "after"}, {Text: "Measure first."}}
	b := boardtest.Clone(a)
	b.Cautions = []board.Caution{{Text: "Measure first."}, {Text: "Wait.", When: "while-working"}, {Text: "Wait."}}
	got, err := board.Apply(a, board.Diff(a, b))
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(bytesOf(t, b), bytesOf(t, got)); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}
