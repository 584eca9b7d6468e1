package api

import (
	"net/http"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/labstack/echo/v4"

	"boardlore/domain/fault"
	"boardlore/domain/kit"
	"boardlore/schema"
	"boardlore/store"
)

// reconciliation is the body of POST /boards/{board}/reconciliations.
type reconciliation struct {
	Revision int            `json:"revision"`
	Variant  string         `json:"variant"`
	Scope    kit.Scope      `json:"scope"`
	Kit      jsontext.Value `json:"kit"`
}

// reconcile checks a kit against a map of the board.
func (s *server) reconcile(c echo.Context) error {
	var in reconciliation
	if _, err := readJSON(c, "reconciliation-request", &in); err != nil {
		return err
	}
	k, err := s.wantedKit(c, in.Kit)
	if err != nil {
		return err
	}
	rev, err := s.store.Revision(c.Request().Context(), c.Param("board"), in.Revision, in.Variant)
	if err != nil {
		return err
	}
	others, err := s.others(c, rev)
	if err != nil {
		return err
	}
	report, err := kit.Reconcile(kit.Request{Map: rev.Map, Kit: k, Scope: in.Scope, Revision: rev.Number,
		Variant: rev.Variant, Digest: rev.Digest, Pairs: c.QueryParam("pairs") == "true", Others: others})
	if err != nil {
		return err
	}
	return reply(c, http.StatusOK, report)
}

// maxOthers bounds how many other builds a kit is tried on.
const maxOthers = 8

// others are the other builds of the revision and the base map of the one
// before: what a kit that does not fit was most likely meant for.
func (s *server) others(c echo.Context, rev *store.Revision) ([]kit.Other, error) {
	ctx := c.Request().Context()
	base, err := s.store.Revision(ctx, rev.Board, rev.Number, "")
	if err != nil {
		return nil, err
	}
	var out []kit.Other
	add := func(n int, variant string) error {
		if n == rev.Number && variant == rev.Variant || len(out) == maxOthers {
			return nil
		}
		r, err := s.store.Revision(ctx, rev.Board, n, variant)
		if err == nil {
			out = append(out, kit.Other{Revision: r.Number, Variant: r.Variant, Digest: r.Digest, Map: r.Map})
		}
		return err
	}
	if err := add(rev.Number, ""); err != nil {
		return nil, err
	}
	if rev.Number > 1 {
		if err := add(rev.Number-1, ""); err != nil {
			return nil, err
		}
	}
	for _, v := range base.Map.Variants {
		if err := add(rev.Number, v.Variant); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// wantedKit is the kit of a request: a document, or the ID of a kept one.
func (s *server) wantedKit(c echo.Context, raw jsontext.Value) (*kit.Kit, error) {
	if raw.Kind() == '"' {
		var name string
		if err := json.Unmarshal(raw, &name); err != nil {
			return nil, err
		}
		kept, err := s.store.Kit(c.Request().Context(), name, 0)
		if err != nil {
			return nil, err
		}
		return kept.Kit, nil
	}
	k, fs := schema.ReadKit(raw)
	if k != nil {
		return k, nil
	}
	err := schema.Refusal(fs)
	if f, ok := fault.As(err); ok && f.Code == "document-refused" {
		f.Code = "kit-refused"
	}
	return nil, under("/kit", err)
}
