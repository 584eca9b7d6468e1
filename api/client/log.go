package client

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"iter"
	"net/http"
	"net/url"
	"strconv"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"golang.org/x/mod/sumdb/tlog"

	"boardlore/domain/transparency"
)

// Log says who signs a registry's log.
type Log struct {
	Origin     string `json:"origin"`
	Key        string `json:"key"`           // a verifier key of C2SP signed-note
	Checkpoint string `json:"checkpoint"`    // address of the newest one
	Note       string `json:"note,omitzero"` // how the log came to this name or key, signed with the one before

	Successions []string `json:"successions,omitempty"` // all such words, oldest first
}

// Log asks who signs the log.
func (c *Client) Log(ctx context.Context) (Log, error) {
	a, err := own[Index](ctx, c, "/v1", nil)
	if err == nil && a.Value.Log.Key == "" {
		err = errors.New("this registry has no log")
	}
	return a.Value.Log, err
}

// Checkpoint is the log as it is now, signed, and the key that the registry
// says it is signed with. Whoever has the key from elsewhere uses that.
func (c *Client) Checkpoint(ctx context.Context) (signed []byte, key string, err error) {
	l, err := c.Log(ctx)
	if err != nil {
		return nil, "", err
	}
	a, err := c.raw(ctx, request{path: "/log/checkpoint"}, nil)
	return a.Value, l.Key, err
}

// Tile is one tile of the log.
func (c *Client) Tile(ctx context.Context, t tlog.Tile) ([]byte, error) {
	a, err := c.raw(ctx, request{path: "/log/tile/" + transparency.TilePath(t)}, nil)
	return a.Value, err
}

// ErrNoPhotograph says that a photograph is not to be had: it was withdrawn, or never there.
var ErrNoPhotograph = errors.New("the photograph is not to be had")

// Photograph is one photograph; ErrNoPhotograph where it was withdrawn.
func (c *Client) Photograph(ctx context.Context, sum string) ([]byte, error) {
	a, err := c.raw(ctx, request{path: pathOf("photographs", sum)}, nil)
	if r := Refused(err); r != nil && r.Status >= 400 && r.Status < 500 && r.Status != http.StatusTooManyRequests {
		return nil, ErrNoPhotograph
	}
	return a.Value, err
}

// Exported is one line of an export: an entry of the log, with the map of a
// release; or a photograph, a kit, a record or what became of one, beside the log.
type Exported struct {
	Index      int64          `json:"index"` // in the log
	Event      int64          `json:"event"` // of what stands beside the log
	Act        string         `json:"act"`   // release, withdrawal or move; photograph, kit, record, record-withdrawal, photograph-withdrawal or photograph-erasure
	Board      string         `json:"board"`
	Revision   int            `json:"revision"`
	Kit        string         `json:"kit"`
	Version    int            `json:"version"`    // of the kit
	Photograph string         `json:"photograph"` // SHA-256
	Digest     string         `json:"digest"`     // of Map or Document
	ReleasedAt time.Time      `json:"released_at"`
	KeptAt     time.Time      `json:"kept_at"` // of a record, also of one that is withdrawn
	At         time.Time      `json:"at"`      // of any other act
	Kind       string         `json:"kind"`    // of a withdrawal
	Moved      []string       `json:"moved"`   // of a move: IDs that lead to the board by now
	Map        jsontext.Value `json:"map"`     // RFC 8785 form; none of what was withdrawn
	Document   jsontext.Value `json:"document"`
	Data       []byte         `json:"data"` // of a photograph

	Line []byte `json:"-"` // as it came
}

// ExportFilter says what an export is to hold. The zero value is for all.
type ExportFilter struct {
	What       string   // log, or beside: what stands beside it
	From       int64    // index of the first entry of the log
	AfterEvent int64    // of what stands beside the log, what comes after an event
	Boards     []string // these alone
}

// Export gives the lines of an export as they come.
func (c *Client) Export(ctx context.Context, f ExportFilter) iter.Seq2[Exported, error] {
	return func(yield func(Exported, error) bool) {
		err := c.export(ctx, f, func(x Exported) bool { return yield(x, nil) })
		if err != nil {
			yield(Exported{}, err)
		}
	}
}

// longestLine bounds a line: a photograph in base64, or a map.
const longestLine = 32 << 20

// export streams, so that its time is bounded by ctx alone.
func (c *Client) export(ctx context.Context, f ExportFilter, each func(Exported) bool) error {
	q := url.Values{"board": f.Boards}
	if f.What != "" {
		q.Set("what", f.What)
	}
	if f.From > 0 {
		q.Set("after", strconv.FormatInt(f.From-1, 10))
	}
	if f.AfterEvent > 0 {
		q.Set("after_event", strconv.FormatInt(f.AfterEvent, 10))
	}
	patient := &http.Client{Transport: c.opt.HTTP.Transport}
	res, err := c.send(ctx, request{method: http.MethodGet, path: pathOf("export") + "?" + q.Encode()}, patient)
	if err != nil {
		return err
	}
	defer res.Body.Close()
	if res.StatusCode != http.StatusOK {
		body, _ := io.ReadAll(io.LimitReader(res.Body,
			maxAnswer)) // what is told of a refusal is told as far as it came
		return refusal(res, body)
	}
	lines := bufio.NewScanner(res.Body)
	lines.Buffer(make([]byte, 1<<16), longestLine)
	for lines.Scan() {
		x := Exported{Line: bytes.Clone(lines.Bytes())}
		if err := json.Unmarshal(x.Line, &x); err != nil {
			return fmt.Errorf("export: %w", err)
		}
		if !each(x) {
			return nil
		}
	}
	if err := lines.Err(); err != nil {
		return fmt.Errorf("export: %w", err)
	}
	return nil
}
