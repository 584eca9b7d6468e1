package schema

import "testing"

// Numbers of own members come back as they were (RFC 8785 writes IEEE 754
// doubles) or are told.
func TestInexact(t *testing.T) {
	for _, c := range []struct {
		name, document string
		at             []string
	}{
		{"no own member", `{"a":12345678901234567890}`, nil},
		{"a double holds it", `{"x-n":123456789012345,"x-m":0.1,"x-k":1e20}`, nil},
		{"more digits than it holds", `{"x-n":12345678901234567891}`, []string{"/x-n"}},
		{"too small and too large", `{"x-a":1e-999,"x-b":[1,1e999]}`, []string{"/x-a", "/x-b/1"}},
		{"within", `{"positions":[{"x-own":{"serial":9007199254740993}}]}`, []string{"/positions/0/x-own/serial"}},
		{"a name in escapes", `{"\u0078-n":9007199254740993}`, []string{"/x-n"}},
		{"digits in a text", `{"x-n":"9007199254740993"}`, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			fs := inexact([]byte(c.document))
			if len(fs) != len(c.at) {
				t.Fatalf("%d findings, want %d: %+v", len(fs), len(c.at), fs)
			}
			for i, f := range fs {
				if f.Pointer != c.at[i] || f.Code != "number-inexact" {
					t.Errorf("%s at %s, want %s", f.Code, f.Pointer, c.at[i])
				}
			}
		})
	}
}
