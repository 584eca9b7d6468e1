package api

import (
	"errors"
	"net/http"
	"sync"
	"time"

	"github.com/labstack/echo/v4"

	"boardlore/api/coded"
	"boardlore/store"
)

const exportPath = "/v1/export"

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
// between them, then what stands beside the log.
func (s *server) export(c echo.Context) error {
	who := addressKey(c.RealIP())
	if !s.exports.begin(who) {
		return refuse("busy", "api.export-address-under-way")
	}
	defer s.exports.end(who)
	f := store.ExportFilter{Part: store.ExportPart(c.QueryParam("what")), After: int64(number(c, "after", -1)),
		AfterEvent: int64(number(c, "after_event", 0)), Boards: c.QueryParams()["board"]}
	h := c.Response().Header()
	h.Set("Content-Type", "application/x-ndjson")
	h.Set("Cache-Control", "no-cache")
	vary(h, "application/x-ndjson")
	form := asked(c).Best
	if form != coded.Plain {
		h.Set("Content-Encoding", form.Name())
	}
	if c.Request().Method == http.MethodHead {
		return c.NoContent(http.StatusOK)
	}
	out := http.NewResponseController(c.Response())
	to := coded.NewStream(c.Response(), form)
	defer func() { _ = to.Close() }() // fails where the reader has gone
	held := 0
	for x, err := range s.store.Export(c.Request().Context(), f) {
		if err != nil {
			if c.Response().Committed {
				panic(http.ErrAbortHandler) // so that the reader sees that it broke off
			}
			return err
		}
		line, err := x.Line(s.public)
		if err != nil {
			return err
		}
		if err := out.SetWriteDeadline(time.Now().Add(patientWrite)); err != nil &&
			!errors.Is(err, http.ErrNotSupported) {
			return err
		}
		if _, err := to.Write(append(line, '\n')); err != nil {
			return nil // the reader has gone
		}
		if held += len(line); held > 1<<20 {
			held = 0
			if to.Flush() != nil {
				return nil
			}
			c.Response().Flush()
		}
	}
	return nil
}
