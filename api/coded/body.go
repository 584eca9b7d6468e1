package coded

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"io"
	"strings"
	"sync"

	"github.com/andybalholm/brotli"
	"github.com/klauspost/compress/gzip"
	"github.com/klauspost/compress/zstd"
	"github.com/maypok86/otter/v2"
)

// Body is a body in some form.
type Body struct {
	Form   Form
	Bytes  []byte
	Digest string // as Repr-Digest has it (RFC 9530); empty where it was not kept
}

const (
	keptBytes = 64 << 20 // memory for coded bodies
	keptCost  = 256      // bytes that one takes beside its own
)

type key struct {
	sum  string
	form Form
}

// kept are coded bodies by the SHA-256 of what they hold, so that servers may
// share them: the same bytes have the same coded form.
var kept = otter.Must(&otter.Options[key, *Body]{
	MaximumWeight: keptBytes,
	Weigher:       func(k key, b *Body) uint32 { return uint32(len(b.Bytes) + len(k.sum) + keptCost) },
})

// making sees to it that one body is coded by one at a time.
var making sync.Map // key → *sync.Mutex

// Keep is the body whose SHA-256 is sum, as the client wants it, made once.
func Keep(a Asked, media, sum string, plain []byte) Body {
	f, ok := choose(a, media, plain)
	if !ok {
		return Body{Bytes: plain}
	}
	k := key{sum, f}
	if b, ok := kept.GetIfPresent(k); ok {
		return orPlain(a, *b, plain)
	}
	lock, _ := making.LoadOrStore(k, new(sync.Mutex))
	lock.(*sync.Mutex).Lock()
	defer func() {
		making.Delete(k)
		lock.(*sync.Mutex).Unlock()
	}()
	b, ok := kept.GetIfPresent(k)
	if !ok {
		b = &Body{Form: f, Bytes: code(f, plain, thorough)}
		b.Digest = ReprDigest(sha256.Sum256(b.Bytes))
		kept.Set(k, b)
	}
	return orPlain(a, *b, plain)
}

// Once is a body that won't come again, as the client wants it.
func Once(a Asked, media string, plain []byte) Body {
	f, ok := choose(a, media, plain)
	if !ok {
		return Body{Bytes: plain}
	}
	return orPlain(a, Body{Form: f, Bytes: code(f, plain, quick)}, plain)
}

// choose is the form to send, or not ok for the plain one.
func choose(a Asked, media string, plain []byte) (Form, bool) {
	if a.Plain && dense(media) {
		return Plain, false
	}
	return a.Best, a.Best != Plain
}

// orPlain gives up a form that is no shorter, where the client lets it.
func orPlain(a Asked, b Body, plain []byte) Body {
	if a.Plain && len(b.Bytes) >= len(plain) {
		return Body{Bytes: plain}
	}
	return b
}

// Varies says whether a body of this type comes in several forms.
func Varies(media string) bool { return !dense(media) }

// dense tells what has been compressed already, or can't be: pictures, PDF,
// hashes.
func dense(media string) bool {
	return strings.HasPrefix(media, "image/") && !strings.HasPrefix(media, "image/svg") ||
		strings.HasPrefix(media, "application/pdf") || strings.HasPrefix(media, "application/octet-stream")
}

// ReprDigest writes a SHA-256 as a Repr-Digest header (RFC 9530).
func ReprDigest(sum [sha256.Size]byte) string {
	return "sha-256=:" + base64.StdEncoding.EncodeToString(sum[:]) + ":"
}

// How hard a coding tries: hard for what is kept. Each level is one at which 4
// MiB of a map take a tenth of a second or less.
const (
	quick = iota
	thorough
	levels
)

// encoder is what the libraries' writers have in common.
type encoder interface {
	io.WriteCloser
	Reset(io.Writer)
	Flush() error
}

var encoders [forms][levels]sync.Pool

func init() {
	for level, l := range [levels]struct {
		gzip, brotli int
		zstd         zstd.EncoderLevel
	}{{gzip.BestSpeed, 2, zstd.SpeedFastest}, {gzip.DefaultCompression, 5, zstd.SpeedDefault}} {
		encoders[Gzip][level].New = func() any {
			w, _ := gzip.NewWriterLevel(nil, l.gzip) // fails for a level that there is not
			return w
		}
		encoders[Brotli][level].New = func() any { return brotli.NewWriterLevel(nil, l.brotli) }
		encoders[Zstd][level].New = func() any {
			// One block after the other, so that the same body has the same bytes; within
			// the window that any client has (RFC 9659).
			w, _ := zstd.NewWriter(nil, zstd.WithEncoderLevel(l.zstd), zstd.WithEncoderConcurrency(1),
				zstd.WithWindowSize(1<<20))
			return w
		}
	}
}

func code(f Form, plain []byte, level int) []byte {
	e := encoders[f][level].Get().(encoder)
	defer encoders[f][level].Put(e)
	return codeWith(e, plain)
}

func codeWith(e encoder, plain []byte) []byte {
	var b bytes.Buffer
	b.Grow(len(plain)/4 + 64)
	e.Reset(&b)
	_, _ = e.Write(plain) // a buffer takes all
	_ = e.Close()
	return b.Bytes()
}

// Stream codes what is written to it as it comes. It is to be closed.
type Stream struct {
	encoder
	form Form
}

// NewStream makes a stream into w.
func NewStream(w io.Writer, f Form) *Stream {
	if f == Plain {
		return &Stream{encoder: &through{w}}
	}
	e := encoders[f][quick].Get().(encoder)
	e.Reset(w)
	return &Stream{e, f}
}

// Close ends the stream; what it wrote to stays open.
func (s *Stream) Close() error {
	err := s.encoder.Close()
	if s.form != Plain {
		encoders[s.form][quick].Put(s.encoder)
	}
	return err
}

// through is no coding.
type through struct{ io.Writer }

func (t *through) Reset(w io.Writer) { t.Writer = w }
func (t *through) Flush() error      { return nil }
func (t *through) Close() error      { return nil }
