package api

import (
	"net/http"
	"strconv"
	"sync"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/labstack/echo/v4"

	"boardlore/schema"
	"boardlore/store"
)

const exportPath = "/v1/export"

// exportLine is one entry of the log with its map: an envelope that says where
// in the log it stands.
type exportLine struct {
	Index      int64          `json:"index"` // in the log; after= goes on from there
	Act        string         `json:"act"`   // release, withdrawal or move
	Board      string         `json:"board"`
	Revision   int            `json:"revision"`
	Variant    string         `json:"variant"` // empty: the map as it was released
	Digest     string         `json:"digest"`
	ReleasedAt *time.Time     `json:"released_at,omitzero"`
	At         *time.Time     `json:"at,omitzero"`   // of a withdrawal or move
	Kind       string         `json:"kind,omitzero"` // of a withdrawal
	Server     string         `json:"server,omitzero"`
	Schema     string         `json:"schema,omitzero"`
	Map        jsontext.Value `json:"map,omitzero"` // left out of what was withdrawn
}

// exports are the addresses that are being sent an export, one each.
type exports struct {
	mu   sync.Mutex
	busy map[string]bool
}

func (x *exports) begin(who string) bool {
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.busy[who] {
		return false
	}
	if x.busy == nil {
		x.busy = map[string]bool{}
	}
	x.busy[who] = true
	return true
}

func (x *exports) end(who string) {
	x.mu.Lock()
	defer x.mu.Unlock()
	delete(x.busy, who)
}

// patientWrite is how long one part of an export may take to be taken.
const patientWrite = 30 * time.Second

// export streams every release as a line, the log's withdrawals and moves
// between them.
func (s *server) export(c echo.Context) error {
	who := addressKey(c.RealIP())
	if !s.exports.begin(who) {
		return refuse("busy", "An export to this address is under way; one at a time. Try again after Retry-After seconds.")
	}
	defer s.exports.end(who)
	f := store.ExportFilter{After: int64(number(c, "after", -1)), Boards: c.QueryParams()["board"]}
	h := c.Response().Header()
	h.Set("Content-Type", "application/x-ndjson")
	h.Set("Cache-Control", "no-cache")
	if c.Request().Method == http.MethodHead {
		return c.NoContent(http.StatusOK)
	}
	out := http.NewResponseController(c.Response())
	held := 0
	for x, err := range s.store.Export(c.Request().Context(), f) {
		if err != nil {
			if c.Response().Committed {
				panic(http.ErrAbortHandler) // so that the reader sees that it broke off
			}
			return err
		}
		line, err := s.exportLine(&x)
		if err != nil {
			return err
		}
		if err := out.SetWriteDeadline(time.Now().Add(patientWrite)); err != nil {
			return err
		}
		if _, err := c.Response().Write(append(line, '\n')); err != nil {
			return nil // the reader has gone
		}
		if held += len(line); held > 1<<20 {
			held = 0
			c.Response().Flush()
		}
	}
	return nil
}

func (s *server) exportLine(x *store.Exported) ([]byte, error) {
	l := exportLine{Index: x.Index, Act: x.Act, Board: x.Board, Revision: x.Revision, Digest: x.Digest, Kind: x.Kind}
	if x.Map == nil {
		l.At = &x.At
	} else {
		l.ReleasedAt, l.Server, l.Schema, l.Map = &x.At, s.public, schema.Prefix+"map", x.Map
	}
	b, err := json.Marshal(l, json.Deterministic(true))
	if err != nil {
		return nil, echo.NewHTTPError(http.StatusInternalServerError, "line "+strconv.FormatInt(x.Index, 10)).SetInternal(err)
	}
	return b, nil
}
