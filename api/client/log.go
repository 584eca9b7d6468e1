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

	"golang.org/x/mod/sumdb/tlog"

	"boardlore/domain/board"
	"boardlore/domain/transparency"
	"boardlore/store"
	"boardlore/store/bundle"
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

// Photograph is one photograph; bundle.ErrNoPhotograph where it was withdrawn.
func (c *Client) Photograph(ctx context.Context, sum string) ([]byte, error) {
	a, err := c.raw(ctx, request{path: at("photographs", sum)}, nil)
	if r := Refused(err); r != nil && r.Status >= 400 && r.Status < 500 && r.Status != http.StatusTooManyRequests {
		return nil, bundle.ErrNoPhotograph
	}
	return a.Value, err
}

// Export gives what the log says of some boards, with the maps.
func (c *Client) Export(ctx context.Context, boards []string) iter.Seq2[store.Exported, error] {
	return c.ExportAfter(ctx, -1, boards)
}

// ExportAfter goes on behind the entry of an index; of all boards where none is named.
func (c *Client) ExportAfter(ctx context.Context, after int64, boards []string) iter.Seq2[store.Exported, error] {
	return func(yield func(store.Exported, error) bool) {
		err := c.export(ctx, after, boards, func(x store.Exported) bool { return yield(x, nil) })
		if err != nil {
			yield(store.Exported{}, err)
		}
	}
}

// export streams, so that its time is bounded by ctx alone.
func (c *Client) export(ctx context.Context, after int64, boards []string, each func(store.Exported) bool) error {
	q := url.Values{"board": boards}
	if after >= 0 {
		q.Set("after", strconv.FormatInt(after, 10))
	}
	patient := &http.Client{Transport: c.opt.HTTP.Transport}
	res, err := c.send(ctx, request{method: http.MethodGet, path: at("export") + "?" + q.Encode()}, patient)
	if err != nil {
		return err
	}
	defer res.Body.Close()
	if res.StatusCode != http.StatusOK {
		body, _ := io.ReadAll(io.LimitReader(res.Body, mostAnswer)) // what is told of a refusal is told as far as it came
		return refusal(res, body)
	}
	lines := bufio.NewScanner(res.Body)
	lines.Buffer(make([]byte, 1<<16), 2*board.MaxBytes+1<<16)
	for lines.Scan() {
		x, _, err := store.ReadLine(lines.Bytes())
		if err != nil {
			return err
		}
		if x.Map = bytes.Clone(x.Map); len(x.Map) == 0 {
			x.Map = nil
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
