package client

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"time"

	"github.com/go-json-experiment/json"
)

// cache keeps answers in a folder, each in a file of its own: a line that says
// what it is, and the body behind it. One that is damaged counts as not there.
type cache struct{ dir string }

// kept is an answer that was kept.
type kept struct {
	URL    string    `json:"url"`
	At     time.Time `json:"at"` // when the registry last said so
	Tag    string    `json:"etag"`
	Media  string    `json:"type"`
	Place  string    `json:"content_location"`
	SHA256 string    `json:"sha256"` // of the body
	body   []byte
}

func openCache(dir string) (*cache, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("cache: %w", err)
	}
	return &cache{dir}, nil
}

func keptOf(a *answer) *kept {
	return &kept{At: time.Now(), Tag: a.header.Get("ETag"), Media: a.header.Get("Content-Type"), Place: a.header.Get("Content-Location"), body: a.body}
}

func (k *kept) answer() *answer {
	h := http.Header{"Etag": {k.Tag}, "Content-Type": {k.Media}, "Content-Location": {k.Place}}
	return &answer{status: http.StatusOK, header: h, body: k.body}
}

// file is where the answer to a request lies.
func (c *cache) file(r request) string {
	sum := sha256.Sum256([]byte(r.accept + " " + r.path))
	return filepath.Join(c.dir, hex.EncodeToString(sum[:]))
}

// find is the answer that is kept; nil where there is none.
func (c *cache) find(r request) *kept {
	if c == nil {
		return nil
	}
	data, err := os.ReadFile(c.file(r))
	if err != nil {
		return nil
	}
	head, body, _ := bytes.Cut(data, []byte("\n"))
	var k kept
	if json.Unmarshal(head, &k) != nil || k.URL != r.path {
		return nil
	}
	if sum := sha256.Sum256(body); hex.EncodeToString(sum[:]) != k.SHA256 {
		return nil
	}
	k.body = body
	return &k
}

// keep puts an answer in place whole or not at all.
func (c *cache) keep(r request, k *kept) error {
	if c == nil {
		return nil
	}
	sum := sha256.Sum256(k.body)
	k.URL, k.SHA256 = r.path, hex.EncodeToString(sum[:])
	head, err := json.Marshal(k)
	if err != nil {
		return err
	}
	f, err := os.CreateTemp(c.dir, "new-")
	if err != nil {
		return fmt.Errorf("cache: %w", err)
	}
	defer os.Remove(f.Name()) // where it was not moved
	_, err = f.Write(append(append(head, '\n'), k.body...))
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		err = os.Rename(f.Name(), c.file(r))
	}
	if err != nil {
		return fmt.Errorf("cache: %w", err)
	}
	return nil
}
