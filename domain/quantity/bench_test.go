package quantity

import "testing"

func BenchmarkRead(b *testing.B) {
	for _, bb := range []struct {
		name, text string
		kind       Kind
		context    Context
	}{
		{"canonical", "4.7 µF", Capacitance, Context{Class: "capacitor"}},
		{"letter", "4u7", Capacitance, Context{Class: "capacitor"}},
		{"unit", "0.0047uF", Capacitance, Context{Class: "capacitor"}},
		{"code", "104K", Capacitance, Context{Class: "capacitor", Construction: "ceramic", Found: "marking"}},
		{"compound", "10uF 25V 105C", Voltage, Context{Class: "capacitor"}},
		{"wide", "４７ｕＦ", Capacitance, Context{Class: "capacitor"}},
		{"refused", "1.2.3uF", Capacitance, Context{Class: "capacitor"}},
	} {
		b.Run(bb.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				readings, err := Read(bb.text, bb.kind, bb.context)
				if len(readings) == 0 && err == nil {
					b.Fatal("nothing")
				}
			}
		})
	}
}

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
