package client

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/go-json-experiment/json"
)

// cache keeps answers in a folder, each in a file of its own: a line that says
// what it is, and the body behind it. One that is damaged counts as not there.
// Several programs may use one folder.
type cache struct{ dir string }

// kept is an answer that was kept.
type kept struct {
	At     time.Time `json:"at"` // when the registry last said so
	Tag    string    `json:"etag"`
	Media  string    `json:"type"`
	Place  string    `json:"content_location"`
	SHA256 string    `json:"sha256"` // of the body
	body   []byte
}

// maxKept bounds the folder, in bytes: some ten thousand maps.
const maxKept = 256 << 20

func openCache(dir string) (*cache, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("cache: %w", err)
	}
	c := &cache{dir}
	return c, c.shrink(maxKept)
}

// shrink drops what was longest not confirmed, until so many bytes are left.
func (c *cache) shrink(most int64) error {
	entries, err := os.ReadDir(c.dir)
	if err != nil {
		return fmt.Errorf("cache: %w", err)
	}
	var files []fs.FileInfo
	total := int64(0)
	for _, e := range entries {
		info, err := e.Info()
		if err != nil || !info.Mode().IsRegular() {
			continue // another program dropped it meanwhile
		}
		files = append(files, info)
		total += info.Size()
	}
	slices.SortFunc(files, func(a, b fs.FileInfo) int {
		return cmp.Compare(a.ModTime().UnixNano(),
			b.ModTime().UnixNano())
	})
	for _, f := range files {
		if total <= most {
			return nil
		}
		if err := c.drop(filepath.Join(c.dir, f.Name())); err != nil {
			return err
		}
		total -= f.Size()
	}
	return nil
}

func keptOf(a *answer) *kept {
	return &kept{At: time.Now(), Tag: a.header.Get("ETag"), Media: a.header.Get("Content-Type"),
		Place: a.header.Get("Content-Location"), body: a.body}
}

func (k *kept) answer() *answer {
	h := http.Header{"Etag": {k.Tag}, "Content-Type": {k.Media}, "Content-Location": {k.Place}}
	return &answer{header: h, body: k.body}
}

// private says whether an answer is for whoever asked alone.
func private(h http.Header) bool {
	c := h.Get("Cache-Control")
	return strings.Contains(c, "private") || strings.Contains(c, "no-store")
}

// file is where the answer to a request lies: another for each registry,
// language and form.
func (c *cache) file(base *url.URL, language string, r request) string {
	sum := sha256.Sum256([]byte(strings.Join([]string{base.String(), language, r.accept, r.path}, "\n")))
	return filepath.Join(c.dir, hex.EncodeToString(sum[:]))
}

// find is the answer that is kept; nil where there is none.
func (c *cache) find(file string) *kept {
	data, err := os.ReadFile(file)
	if err != nil {
		return nil
	}
	head, body, _ := bytes.Cut(data, []byte("\n"))
	var k kept
	if json.Unmarshal(head, &k) != nil || k.At.After(time.Now().Add(time.Minute)) {
		return nil // of an answer that is not of the past nobody knows the age
	}
	if sum := sha256.Sum256(body); hex.EncodeToString(sum[:]) != k.SHA256 {
		return nil
	}
	k.body = body
	return &k
}

func (c *cache) drop(file string) error {
	if err := os.Remove(file); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("cache: %w", err)
	}
	return nil
}

// keep puts an answer in place whole or not at all.
func (c *cache) keep(file string, k *kept) error {
	sum := sha256.Sum256(k.body)
	k.SHA256 = hex.EncodeToString(sum[:])
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
		err = os.Rename(f.Name(), file)
	}
	if err != nil {
		return fmt.Errorf("cache: %w", err)
	}
	return nil
}
