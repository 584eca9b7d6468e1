package coded

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"math/rand/v2"
	"net/http"
	"strings"
	"sync"
	"testing"
)

// What RFC 9110, section 12.5.3, says of its own examples and rules; the rest is
// our choice among what it allows.
func TestAsk(t *testing.T) {
	for header, want := range map[string]struct {
		Asked
		ok bool
	}{
		"compress, gzip":                         {Asked{Gzip, true}, true}, // examples of the section
		"":                                       {Asked{Plain, true}, true},
		"*":                                      {Asked{Gzip, true}, true},
		"compress;q=0.5, gzip;q=1.0":             {Asked{Gzip, true}, true},
		"gzip;q=1.0, identity; q=0.5, *;q=0":     {Asked{Gzip, true}, true},
		"identity;q=0":                           {Asked{Plain, false}, false}, // rule 2
		"*;q=0":                                  {Asked{Plain, false}, false},
		"*;q=0, identity":                        {Asked{Plain, true}, true},
		"gzip;q=0":                               {Asked{Plain, true}, true}, // rule 3
		"gzip, deflate, br, zstd":                {Asked{Zstd, true}, true},
		"gzip, deflate, br":                      {Asked{Brotli, true}, true},
		"gzip;q=0.8, br;q=0.9, zstd;q=0.1":       {Asked{Brotli, true}, true},
		"identity, gzip;q=0.9":                   {Asked{Plain, true}, true},
		"identity, gzip":                         {Asked{Gzip, true}, true},
		"*, gzip;q=0":                            {Asked{Brotli, true}, true},
		"br, *":                                  {Asked{Brotli, true}, true},
		"*;q=0.5, br;q=0.1":                      {Asked{Gzip, true}, true},
		"X-GZIP ; Q=0.3":                         {Asked{Gzip, true}, true},
		"gzip;q=2":                               {Asked{Plain, true}, true},
		"gzip;q=x, br;level=5;q=0.2":             {Asked{Brotli, true}, true},
		",,;q=,=;":                               {Asked{Plain, true}, true},
		"deflate;q=1, identity;q=0":              {Asked{Plain, false}, false},
		strings.Repeat("gzip;q=0.1,", 1000):      {Asked{Gzip, true}, true},
		"identity;q=0, *;q=0, zstd;q=0.001":      {Asked{Zstd, false}, true},
		"identity;q=0.5, *;q=0.5, br;q=0.5":      {Asked{Brotli, true}, true},
		"gzip;q=0.000, br;q=0.000, zstd;q=0.000": {Asked{Plain, true}, true},
	} {
		if a, ok := Ask(http.Header{"Accept-Encoding": {header}}); a != want.Asked || ok != want.ok {
			t.Errorf("%.40q: %v %v, want %v", header, a, ok, want)
		}
	}
	if a, ok := Ask(http.Header{"Accept-Encoding": {"gzip;q=0.5", "br"}}); a.Best != Brotli || !ok {
		t.Errorf("two lines: %v %v", a, ok)
	}
	if a, ok := Ask(http.Header{}); a != (Asked{Plain, true}) || !ok {
		t.Errorf("no header: %v %v", a, ok)
	}
}

func TestTags(t *testing.T) {
	for f := range forms {
		if got := PlainTag(f.Tag("abc-def")); got != "abc-def" {
			t.Errorf("%s: %q", f.Name(), got)
		}
	}
}

// TestKeep: many who ask at once get the same bytes, however often they were
// made, and what can't be made shorter stays plain but for whoever takes no
// plain body.
func TestKeep(t *testing.T) {
	text := []byte(strings.Repeat(`{"designator":"C12","side":"top"},`, 200))
	sum := sha256.Sum256(text)
	for _, f := range named {
		var all sync.WaitGroup
		bodies := make([]Body, 20)
		for i := range bodies {
			all.Go(func() { bodies[i] = Keep(Asked{f, true}, "application/json", hex.EncodeToString(sum[:]), text) })
		}
		all.Wait()
		for _, b := range bodies {
			if b.Form != f || len(b.Bytes) > len(text)/10 || !bytes.Equal(b.Bytes, bodies[0].Bytes) ||
				b.Digest != ReprDigest(sha256.Sum256(b.Bytes)) {
				t.Errorf("%s: %s, %d bytes, %s", f.Name(), b.Form.Name(), len(b.Bytes), b.Digest)
			}
		}
	}
	noise := make([]byte, 5000)
	for i := range noise {
		noise[i] = byte(rand.Uint32())
	}
	for _, c := range []struct {
		plain bool
		media string
		body  []byte
		want  Form
	}{
		{true, "text/plain", noise, Plain}, {false, "text/plain", noise, Gzip}, {true, "text/plain", text[:20], Plain},
		{false, "text/plain", text[:20], Gzip},
		{true, "image/png", text, Plain}, {true, "image/svg+xml", text, Gzip}, {true, "application/pdf", text, Plain},
		{false, "application/pdf", text, Gzip},
	} {
		if b := Once(Asked{Gzip, c.plain}, c.media, c.body); b.Form != c.want {
			t.Errorf("%s, %d bytes: %s, want %s", c.media, len(c.body), b.Form.Name(), c.want.Name())
		}
	}
}

// TestKeepIsBounded: however many bodies come, what is kept has its bound.
func TestKeepIsBounded(t *testing.T) {
	body := make([]byte, 1<<20)
	for i := range 80 {
		for j := range body {
			body[j] = byte(rand.Uint32())
		}
		sum := sha256.Sum256(body)
		Keep(Asked{Gzip, false}, "text/plain", hex.EncodeToString(sum[:]), body)
		if i%20 == 0 {
			kept.CleanUp()
		}
	}
	kept.CleanUp()
	if n := kept.WeightedSize(); n > keptBytes {
		t.Errorf("%d bytes are kept, and at most %d should be", n, keptBytes)
	}
}
