// Package backup saves a whole registry into one file and brings it back. A
// copy of the data folder would do for neither: it is whole only while nobody
// writes, and only the same version of PostgreSQL reads it. A dump alone says
// nothing of whether it is all there, and whether what it was taken of was sound.
//
// The file is a tar of three members: the dump in pg_dump's custom format, a
// manifest in JSON that says what it holds, and a seal, the SHA-256 of every
// byte before the seal's own header. All of it can be read with tar and
// pg_restore alone.
package backup

import (
	"archive/tar"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"os"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// Names of the members, in their order.
const (
	dumpName     = "database.dump"
	manifestName = "manifest.json"
	sealName     = "seal.sha256"
)

const block = 512 // of a tar

// Manifest says what a backup holds.
type Manifest struct {
	Format    int              `json:"format"` // 1
	Program   string           `json:"program"`
	Migration int64            `json:"migration"`
	Server    int              `json:"server"` // major version of PostgreSQL
	TakenAt   time.Time        `json:"taken_at"`
	Bytes     int64            `json:"bytes"` // of the dump
	Events    int64            `json:"events"`
	Counts    map[string]int64 `json:"counts"`
}

// ErrFile is in the chain for a file that is no backup, or not a whole one.
var ErrFile = errors.New("not a whole backup")

// writer writes the members and keeps their sum.
type writer struct {
	file *os.File
	at   int64
	size int64 // of the dump
}

// begin makes the file, for its owner alone, with room for the dump's header.
func begin(name string) (*writer, error) {
	f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return nil, err
	}
	if _, err := f.Write(make([]byte, block)); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return &writer{file: f, at: block}, nil
}

// Write adds to the dump.
func (w *writer) Write(p []byte) (int, error) {
	n, err := w.file.Write(p)
	w.size += int64(n)
	return n, err
}

// finish writes the header of the dump, the manifest and the seal, and has all
// of it on the disk.
func (w *writer) finish(m Manifest) error {
	if pad := -w.size & (block - 1); pad > 0 {
		if _, err := w.file.Write(make([]byte, pad)); err != nil {
			return err
		}
	}
	head, err := header(dumpName, w.size, m.TakenAt)
	if err != nil {
		return err
	}
	if _, err := w.file.WriteAt(head, 0); err != nil {
		return err
	}
	m.Bytes = w.size
	text, err := json.Marshal(m, json.Deterministic(true), jsontext.WithIndent("  "))
	if err != nil {
		return err
	}
	if err := w.member(manifestName, text, m.TakenAt); err != nil {
		return err
	}
	sum, err := sumOf(w.file)
	if err != nil {
		return err
	}
	if err := w.member(sealName, []byte(sum+"\n"), m.TakenAt); err != nil {
		return err
	}
	if _, err := w.file.Write(make([]byte, 2*block)); err != nil {
		return err
	}
	return w.file.Sync()
}

func (w *writer) member(name string, data []byte, at time.Time) error {
	head, err := header(name, int64(len(data)), at)
	if err != nil {
		return err
	}
	_, err = w.file.Write(append(append(head, data...), make([]byte, -len(data)&(block-1))...))
	return err
}

// header is one tar header, which takes one block.
func header(name string, size int64, at time.Time) ([]byte, error) {
	var b bytes.Buffer
	t := tar.NewWriter(&b)
	// GNU's form, in which sizes over 8 GiB take no second block.
	err := t.WriteHeader(&tar.Header{Name: name, Mode: 0o600, Size: size, ModTime: at.Truncate(time.Second),
		Format: tar.FormatGNU})
	if err != nil || b.Len() != block {
		return nil, fmt.Errorf("header of %s: %d bytes: %w", name, b.Len(), err)
	}
	return b.Bytes(), nil
}

// sumOf is the SHA-256 of all that a file holds so far.
func sumOf(f *os.File) (string, error) {
	h := sha256.New()
	if _, err := io.Copy(h, io.NewSectionReader(f, 0, 1<<62)); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// opened is a backup that has been found whole.
type opened struct {
	Manifest Manifest
	file     *os.File
}

func (o *opened) dump() io.Reader { return io.NewSectionReader(o.file, block, o.Manifest.Bytes) }

// open reads all of a backup and holds it to its seal: one that is cut short, or
// in which one byte is another, is ErrFile.
func open(name string) (_ *opened, err error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	o := &opened{file: f}
	if err := o.check(); err != nil {
		_ = f.Close()
		return nil, fmt.Errorf("%s: %w: %w", name, ErrFile, err)
	}
	return o, nil
}

func (o *opened) check() error {
	r := &summing{r: o.file, h: sha256.New()}
	size, err := r.expect(dumpName)
	if err != nil {
		return err
	}
	if err := r.skip(size); err != nil {
		return err
	}
	text, err := r.member(manifestName)
	if err != nil {
		return err
	}
	sum := hex.EncodeToString(r.h.Sum(nil))
	seal, err := r.member(sealName)
	if err != nil {
		return err
	}
	if string(seal) != sum+"\n" {
		return errors.New("its seal does not fit what it holds")
	}
	if end, err := io.ReadAll(io.LimitReader(r.r, 4*block)); err != nil || len(end) != 2*block ||
		len(bytes.Trim(end, "\x00")) > 0 {
		return errors.New("it does not end where it should")
	}
	if err := json.Unmarshal(text, &o.Manifest, json.RejectUnknownMembers(true)); err != nil {
		return err
	}
	if o.Manifest.Format != 1 || o.Manifest.Bytes != size {
		return errors.New("its manifest does not fit")
	}
	return nil
}

// summing reads members and sums what it reads.
type summing struct {
	r io.Reader
	h hash.Hash
}

func (s *summing) read(n int64) ([]byte, error) {
	b := make([]byte, n)
	if _, err := io.ReadFull(s.r, b); err != nil {
		return nil, errors.New("it is cut short")
	}
	_, _ = s.h.Write(b) // never fails, by its documentation
	return b, nil
}

// expect reads the header of the member that has to come now.
func (s *summing) expect(name string) (int64, error) {
	b, err := s.read(block)
	if err != nil {
		return 0, err
	}
	h, err := tar.NewReader(bytes.NewReader(append(b, make([]byte, 2*block)...))).Next()
	if err != nil || h.Name != name || h.Size < 0 {
		return 0, fmt.Errorf("it has no %s where one should be", name)
	}
	want, err := header(name, h.Size, h.ModTime)
	if err != nil || !bytes.Equal(b, want) {
		return 0, fmt.Errorf("the header of %s is not as it was written", name)
	}
	return h.Size, nil
}

func (s *summing) skip(size int64) error {
	n, err := io.CopyN(s.h, s.r, size+(-size&(block-1)))
	if err != nil {
		return fmt.Errorf("it is cut short after %d bytes", n)
	}
	return nil
}

const maxText = 1 << 20

func (s *summing) member(name string) ([]byte, error) {
	size, err := s.expect(name)
	if err != nil || size > maxText {
		return nil, errors.Join(err, fmt.Errorf("%s has %d bytes", name, size))
	}
	b, err := s.read(size + (-size & (block - 1)))
	if err != nil {
		return nil, err
	}
	if len(bytes.Trim(b[size:], "\x00")) > 0 {
		return nil, fmt.Errorf("there is something after %s", name)
	}
	return b[:size], nil
}
