package api

import (
	"net/http"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"boardlore/domain/transparency"
)

// logAnswer is who signs the log, for whoever wants to verify it.
type logAnswer struct {
	Origin     string `json:"origin"`
	Key        string `json:"key"` // a verifier key of C2SP signed-note
	Checkpoint string `json:"checkpoint"`
	Note       string `json:"note,omitzero"` // how the log came to this name or key, signed with the one before

	Successions []string `json:"successions,omitempty"` // all such words, oldest first
}

// mirrorAnswer is what this server follows, where it is a mirror.
type mirrorAnswer struct {
	Of        string     `json:"of"`                  // address of the registry
	Size      int64      `json:"size"`                // entries of its log that were proved here
	CheckedAt *time.Time `json:"checked_at,omitzero"` // when they were last held to it
	Alarm     string     `json:"alarm,omitzero"`      // why this mirror follows no more
}

// whoseLog tells who signs the log, and whom a mirror follows.
func (s *server) whoseLog(c echo.Context, a *indexAnswer) error {
	ctx := c.Request().Context()
	l, err := s.store.Log(ctx)
	if err != nil {
		return err
	}
	a.Log = logAnswer{Origin: l.Origin, Key: l.Key, Checkpoint: logCheckpoint, Note: l.Note}
	if l.Note != "" {
		if a.Log.Successions, err = s.store.Successions(ctx); err != nil {
			return err
		}
	}
	if s.gate.mirror == "" {
		return nil
	}
	m, err := s.store.Mirror(ctx)
	if err != nil || m == nil {
		return err
	}
	a.Mirror = &mirrorAnswer{Of: m.Address, Size: m.Size, Alarm: m.Alarm}
	if !m.CheckedAt.IsZero() {
		a.Mirror.CheckedAt = &m.CheckedAt
	}
	return nil
}

const (
	logCheckpoint = "/log/checkpoint"
	logText       = "text/plain; charset=utf-8"
)

// checkpoint answers the log as it is now, signed.
func (s *server) checkpoint(c echo.Context) error {
	signed, _, err := s.store.Checkpoint(c.Request().Context())
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, logText, signed)
}

// tile answers one tile of hashes or entries, which never changes.
func (s *server) tile(c echo.Context) error {
	t, err := transparency.ReadTile(c.Param("*"))
	if err != nil {
		return refuse("tile-unknown", "api.tile-unknown")
	}
	data, err := s.store.Tile(c.Request().Context(), t)
	if err != nil {
		return err
	}
	cacheImmutable(c)
	return send(c, http.StatusOK, "application/octet-stream", data)
}

// proof answers that a revision's release is in the log.
func (s *server) proof(c echo.Context) error {
	p, err := s.store.Proof(c.Request().Context(), strings.ToLower(c.Param("board")), int(id(c, "n")))
	if err != nil {
		return err
	}
	return send(c, http.StatusOK, logText, p.Text())
}
