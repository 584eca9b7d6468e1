package store

import (
	"bytes"
	"encoding/base64"
	"strconv"
	"unicode/utf8"

	"boardlore/domain/fault"
)

// Page sizes of lists.
const (
	defaultPage = 50
	maxPage     = 200
	maxKeyBytes = 400 // of what a cursor stands for
)

// Page asks for a part of a list.
type Page struct {
	After string // where the page before ended: its Next; empty for the first
	Limit int    // most items, up to 200; 0 for 50
}

// List is one page.
type List[T any] struct {
	Items []T
	Next  string // After of the next page; empty at the end
}

func (p Page) limit() int {
	if p.Limit <= 0 {
		return defaultPage
	}
	return min(p.Limit, maxPage)
}

// key opens the cursor: the key of the last item of the page before.
func (p Page) key() (string, error) {
	b, err := base64.RawURLEncoding.DecodeString(p.After)
	if err != nil || len(b) > maxKeyBytes || !utf8.Valid(b) ||
		bytes.IndexByte(b, 0) >= 0 { // the database takes neither
		return "", badCursor()
	}
	return string(b), nil
}

// number opens a cursor over numbers; from stands for the first page.
func (p Page) number(from int64) (int64, error) {
	if p.After == "" {
		return from, nil
	}
	k, err := p.key()
	if err != nil {
		return 0, err
	}
	n, err := strconv.ParseInt(k, 10, 64)
	if err != nil {
		return 0, badCursor()
	}
	return n, nil
}

func badCursor() error {
	return fault.New(fault.Malformed, "cursor-malformed", "store.page-marker")
}

// page cuts what was read with one item more than the limit.
func page[T any](items []T, limit int, key func(*T) string) List[T] {
	l := List[T]{Items: items}
	if len(items) > limit {
		l.Items = items[:limit:limit]
		l.Next = base64.RawURLEncoding.EncodeToString([]byte(key(&l.Items[limit-1])))
	}
	return l
}
