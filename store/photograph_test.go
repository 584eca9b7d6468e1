package store_test

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"strings"
	"testing"

	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/fault"
	"boardlore/domain/review"
	"boardlore/store"
)

// picture is a small picture that differs from those of other n.
func picture(t testing.TB, n int) []byte {
	t.Helper()
	i := image.NewGray16(image.Rect(0, 0, 2, 1))
	i.SetGray16(0, 0, color.Gray16{Y: uint16(n)})
	var b bytes.Buffer
	if err := png.Encode(&b, i); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func (d *desk) keep(t testing.TB, who store.Actor, n int) *store.Photograph {
	t.Helper()
	p, _, err := d.PutPhotograph(ctx, who, picture(t, n))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// TestPhotographQuota: what no proposal names is bounded for each account;
// naming one makes room, and so does time.
func TestPhotographQuota(t *testing.T) {
	d := newDesk(t)
	first := d.keep(t, d.ann, 0)
	const fill = `INSERT INTO photographs (sha256, type, width, height, data, by, at, asked_at)
		SELECT sha256($1 || n::text::bytea), 'image/png', 1, 1, '\x00', $2, now(), now() - make_interval(days => $4) FROM generate_series(1, $3::int) n`
	if c := raw(t, d.dsn, fill, []byte("ann"), d.ann.ID, 99, 0); c != "" {
		t.Fatal(c)
	}
	_, _, err := d.PutPhotograph(ctx, d.ann, picture(t, 1))
	refused(t, err, fault.Conflict, "photograph-quota")
	d.keep(t, d.ann, 0) // the same again is no more
	d.keep(t, d.abe, 1) // nor is another account's room any less

	in := d.submission(t, 0, newMap("tarn-a"))
	in.Evidence = jsontext.Value(`[{"text":"seen","photographs":["` + first.SHA256 + `"]}]`)
	if _, err := d.Submit(ctx, d.ann, in); err != nil {
		t.Fatal(err)
	}
	d.keep(t, d.ann, 2)
	_, _, err = d.PutPhotograph(ctx, d.ann, picture(t, 3))
	refused(t, err, fault.Conflict, "photograph-quota")

	if c := raw(t, d.dsn, `UPDATE photographs SET asked_at = now() - interval '31 days' WHERE by = $1`,
		d.ann.ID); c != "" {
		t.Fatal(c)
	}
	d.keep(t, d.ann, 3)
	if _, err := d.Photograph(ctx, first.SHA256); err != nil {
		t.Errorf("one that a proposal names is gone: %v", err)
	}
}

// TestUnnamedAreCleared: what nobody names goes after its time, what was
// brought again meanwhile does not, and evidence must not rest on what is gone.
func TestUnnamedAreCleared(t *testing.T) {
	d := newDesk(t)
	gone, kept := d.keep(t, d.ann, 1), d.keep(t, d.ann, 2)
	if c := raw(t, d.dsn, `UPDATE photographs SET asked_at = now() - interval '31 days'`); c != "" {
		t.Fatal(c)
	}
	if c := raw(t, d.dsn, `UPDATE photographs SET asked_at = now() WHERE sha256 = decode($1, 'hex')`,
		kept.SHA256); c != "" {
		t.Fatal(c)
	}
	d.keep(t, d.abe, 3)
	_, err := d.Photograph(ctx, gone.SHA256)
	refused(t, err, fault.NotFound, "photograph-unknown")
	if _, err := d.Photograph(ctx, kept.SHA256); err != nil {
		t.Error(err)
	}
	in := d.submission(t, 0, newMap("tarn-a"))
	in.Evidence = jsontext.Value(`[{"text":"seen","photographs":["` + gone.SHA256 + `"]}]`)
	_, err = d.Submit(ctx, d.ann, in)
	if f := refused(t, err, fault.Invalid, "submission-invalid"); f.Findings[0].Pointer != "/evidence/0/photographs/0" {
		t.Errorf("%+v", f.Findings)
	}
}

// TestPhotographsOfOneProposal: evidence that nobody could look through is refused.
func TestPhotographsOfOneProposal(t *testing.T) {
	d := newDesk(t)
	var items []string
	sum := d.keep(t, d.ann, 1).SHA256
	for i := range 4 {
		items = append(items, fmt.Sprintf(`{"text":"%d","photographs":[%s]}`, i,
			strings.TrimSuffix(strings.Repeat(`"`+sum+`",`, review.MaxPhotographs), ",")))
	}
	in := d.submission(t, 0, newMap("tarn-a"))
	in.Evidence = jsontext.Value("[" + strings.Join(items, ",") + "]")
	_, err := d.Submit(ctx, d.ann, in)
	if f := refused(t, err, fault.Invalid, "submission-invalid"); f.Findings[0].Pointer != "/evidence" {
		t.Errorf("%+v", f.Findings)
	}
}
