package quantity

import "testing"

func BenchmarkSpell(b *testing.B) {
	q, _ := New(47, -7, Farad)
	var dst [64]byte
	b.ReportAllocs()
	for b.Loop() {
		if len(q.AppendTo(dst[:0])) == 0 {
			b.Fatal("nothing")
		}
	}
}

func BenchmarkCompareScaled(b *testing.B) {
	p, _ := New(47, -7, Farad)
	q, _ := New(56, -7, Farad)
	b.ReportAllocs()
	for b.Loop() {
		if p.CompareScaled(q, 8, 10) < 0 {
			b.Fatal("order")
		}
	}
}
