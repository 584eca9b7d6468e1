package api

import (
	"bytes"
	"errors"
	"io"
	"mime"
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"boardlore/domain/finding"
	"boardlore/schema"
	"boardlore/store"
)

// size is how many bytes a body may have.
type size int64

// Sizes of bodies. MaxBody is the most that anything but a photograph has.
const (
	noBody   size = 0
	small    size = 256 << 10
	document size = MaxBody
	picture  size = 20 << 20

	MaxBody = 4 << 20
)

// unit is how many bytes of a body cost as much as a request: what a body makes
// the server do goes with its length.
const unit = 32 << 10

// firstRoom is how much room a body has before any of it has come.
const firstRoom = 64 << 10

// Body reads a request's body of at most so many bytes, all of it, before
// anything is done about it: a slow sender holds no core, and of the room, of
// which each caller has a share, about as much as has come. Its length is charged
// to the caller.
func (g *Gate) Body(c echo.Context, a store.Actor, b Budget, most int64) error {
	if err := limitBody(c, most); err != nil {
		return err
	}
	r := c.Request()
	if r.ContentLength == 0 {
		return nil
	}
	length := most
	if r.ContentLength > 0 {
		length = r.ContentLength
	}
	var data bytes.Buffer
	if _, err := data.ReadFrom(&arriving{from: r.Body, length: length, room: g.room(c, a)}); err != nil {
		return bodyError(err)
	}
	r.Body = &heldBody{bytes.NewReader(data.Bytes()), data.Bytes()}
	if n := data.Len() / unit; n > 0 {
		return g.charge(c, a, b, n)
	}
	return nil
}

// arriving is a body that takes room as it comes, twice as much each time: who says
// that much will come, and sends nothing, keeps nobody out.
type arriving struct {
	from            io.Reader
	length, arrived int64
	room            *room
}

func (b *arriving) Read(p []byte) (int, error) {
	if b.room.held < b.length {
		if b.arrived == b.room.held {
			if err := b.room.reach(min(b.length, max(firstRoom, 2*b.arrived))); err != nil {
				return 0, err
			}
		}
		p = p[:min(int64(len(p)), b.room.held-b.arrived)]
	}
	n, err := b.from.Read(p)
	b.arrived += int64(n)
	return n, err
}

// heldBody is a body that has been read.
type heldBody struct {
	*bytes.Reader
	whole []byte
}

func (*heldBody) Close() error { return nil }

// wholeBody is the body of a request, without copying one that has been read.
func wholeBody(r *http.Request) ([]byte, error) {
	if held, ok := r.Body.(*heldBody); ok {
		return held.whole, nil
	}
	data, err := io.ReadAll(r.Body)
	if err != nil {
		return nil, bodyError(err)
	}
	return data, nil
}

// limitBody refuses a body that says that it is too large, and cuts off one
// that turns out to be.
func limitBody(c echo.Context, most int64) error {
	r := c.Request()
	if r.ContentLength > most {
		return bodyTooLarge(most)
	}
	if enc := r.Header.Get("Content-Encoding"); enc != "" && !strings.EqualFold(enc, "identity") {
		c.Response().Header().Set("Accept-Encoding", "identity")
		return refuse("unsupported-media-type", "api.unsupported-media-type")
	}
	r.Body = http.MaxBytesReader(c.Response(), r.Body, most)
	return nil
}

func bodyTooLarge(most int64) error {
	return refuse("too-large", "api.too-large", most)
}

// readBody reads a body of one of the given media types and returns which.
func readBody(c echo.Context, media ...string) ([]byte, string, error) {
	got, err := bodyType(c, media...)
	if err != nil {
		return nil, "", err
	}
	data, err := wholeBody(c.Request())
	return data, got, err
}

func bodyError(err error) error {
	var p *Problem
	if errors.As(err, &p) {
		return p // there was no room for it
	}
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return bodyTooLarge(large.Limit)
	}
	p = refuse("malformed", "api.body-broke-off-not")
	p.cause = err
	return p
}

// bodyType holds the Content-Type to one of the given media types.
func bodyType(c echo.Context, media ...string) (string, error) {
	got, params, err := mime.ParseMediaType(c.Request().Header.Get("Content-Type"))
	charset := strings.ToLower(params["charset"])
	for _, m := range media {
		if err == nil && got == m && (charset == "" || charset == "utf-8" || charset == "us-ascii") {
			return m, nil
		}
	}
	list := strings.Join(media, " or ")
	c.Response().Header().Set("Accept", strings.Join(media, ", "))
	return "", refuse("unsupported-media-type", "api.unsupported-media-type-send", list)
}

// readJSON reads a JSON body, holds it to the named schema and decodes it.
func readJSON(c echo.Context, name string, into any) ([]byte, error) {
	data, _, err := readBody(c, "application/json")
	if err != nil {
		return nil, err
	}
	return data, decode(name, data, into)
}

// decode holds data to the named schema, then decodes it. Every fault that the
// schema finds is told at once.
func decode(name string, data []byte, into any) error {
	return requestRefused(schema.Decode(name, data, into))
}

// requestRefused is schema.Refusal under the name that requests have for it.
func requestRefused(fs []finding.Finding) error {
	err := schema.Refusal(fs)
	if err == nil {
		return nil
	}
	p := problemOf(err)
	if p.Code == "document-refused" {
		t := problemIndex["request-refused"]
		p.Code, p.Type, p.Title = t.Name, "/problems/"+t.Name, t.title()
	}
	return p
}
