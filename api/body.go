package api

import (
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"boardlore/domain/finding"
	"boardlore/schema"
)

// size is how many bytes a body may have.
type size int64

// Sizes of bodies.
const (
	noBody   size = 0
	small    size = 256 << 10
	document size = 4 << 20      // the limit of a document
	wrapped  size = 5 << 20      // a document with what goes along with it
	twoLists size = 8<<20 + 4096 // a placement list and a parts list
	picture  size = 8 << 20
)

// limitBody refuses a body that says that it is too large, and cuts off one
// that turns out to be.
func limitBody(c echo.Context, most int64) error {
	r := c.Request()
	if r.ContentLength > most {
		return bodyTooLarge(most)
	}
	if enc := r.Header.Get("Content-Encoding"); enc != "" && !strings.EqualFold(enc, "identity") {
		c.Response().Header().Set("Accept-Encoding", "identity")
		return refuse("unsupported-media-type", "Bodies are read as they are; send it without Content-Encoding.")
	}
	r.Body = http.MaxBytesReader(c.Response(), r.Body, most)
	return nil
}

func bodyTooLarge(most int64) error {
	return refuse("too-large", fmt.Sprintf("The body is larger than the %d bytes that this address reads.", most))
}

// readBody reads a body of one of the given media types and returns which.
func readBody(c echo.Context, media ...string) ([]byte, string, error) {
	got, err := bodyType(c, media...)
	if err != nil {
		return nil, "", err
	}
	data, err := io.ReadAll(c.Request().Body)
	if err != nil {
		return nil, "", bodyError(err)
	}
	return data, got, nil
}

func bodyError(err error) error {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return bodyTooLarge(large.Limit)
	}
	p := refuse("malformed", "The body broke off or is not framed as its headers say.")
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
	return "", refuse("unsupported-media-type", fmt.Sprintf("Send the body as %s in UTF-8, with that Content-Type.", list))
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
		p.Code, p.Type, p.Title = t.Name, "/problems/"+t.Name, t.Title
	}
	return p
}
