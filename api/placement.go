package api

import (
	"io"
	"mime"
	"mime/multipart"
	"net/http"
	"strings"
	"unicode/utf8"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/labstack/echo/v4"

	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/list"
	"boardlore/domain/message"
	"boardlore/domain/placement"
)

// fromPlacements makes a draft map of a placement list, and of a parts list
// where there is one.
func (s *server) fromPlacements(c echo.Context) error {
	in, err := readImport(c)
	if err != nil {
		return err
	}
	r := placement.Read(in)
	if r.Map == nil {
		return noMap(r)
	}
	r.Problems, r.Questions = full(r.Problems), full(r.Questions)
	if err := s.mergeInto(c, &r); err != nil {
		return err
	}
	return reply(c, http.StatusOK, r)
}

// mergeInto brings what was read of a list into the map of its board, where
// there is one: alone it would undo all that others found out.
func (s *server) mergeInto(c echo.Context, r *placement.Result) error {
	m, merged, err := s.store.MergeList(c.Request().Context(), r.Map)
	switch {
	case fault.Is(err, fault.NotFound), fault.Is(err, fault.Gone), fault.Is(err, fault.Unlawful):
		return nil // there is no map to merge into
	case err != nil:
		return err
	}
	r.Map, r.Merged = m, merged
	return nil
}

// fromPhotograph makes a draft map of marks on photographs.
func (s *server) fromPhotograph(c echo.Context) error {
	var in placement.PhotographRequest
	if _, err := readJSON(c, "photograph-import", &in); err != nil {
		return err
	}
	r, fs := placement.FromPhotographs(in)
	if len(fs) > 0 {
		return &fault.Error{Kind: fault.Invalid, Code: "points-open", Detail: fs[0].Sentence, Findings: fs}
	}
	return reply(c, http.StatusOK, r)
}

// noMap refuses lists that give no map, with what stood in the way.
func noMap(r placement.Result) error {
	p := refuse("placements-refused", "api.placements-refused")
	for _, pr := range r.Problems {
		e := ProblemError{Pointer: "/" + pr.List, Code: p.Code, Severity: finding.Stop, Detail: pr.Reason,
			Found: pr.Text}
		p.Errors = append(p.Errors, e)
	}
	if len(r.Problems) > 0 {
		p.Detail = message.Of("api.no-map-of-list", r.Problems[0].Reason)
	}
	p.Data = r
	return p
}

func readImport(c echo.Context) (placement.Request, error) {
	var in placement.Request
	media, params, err := mime.ParseMediaType(c.Request().Header.Get("Content-Type"))
	if err == nil && media == "multipart/form-data" && params["boundary"] != "" {
		body, err := formJSON(multipart.NewReader(c.Request().Body, params["boundary"]))
		if err != nil {
			return in, err
		}
		return in, decode("placement-import", body, &in)
	}
	if _, err := bodyType(c, "application/json", "multipart/form-data"); err != nil {
		return in, err
	}
	_, err = readJSON(c, "placement-import", &in)
	return in, err
}

// formJSON turns a form into the JSON body that says the same, so that both
// are held to one schema: equipment and options hold JSON, the rest is text.
func formJSON(r *multipart.Reader) ([]byte, error) {
	form := map[string]jsontext.Value{}
	for {
		p, err := r.NextPart()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, bodyError(err)
		}
		name := p.FormName()
		if !utf8.ValidString(name) {
			return nil, refuse("malformed", "api.name-field-form-not")
		}
		data, err := io.ReadAll(p)
		if err != nil {
			return nil, bodyError(err)
		}
		if form[name] != nil {
			return nil, refuse("malformed", "api.field-twice", clip(name))
		}
		if form[name], err = formField(name, data); err != nil {
			return nil, err
		}
	}
	return json.Marshal(form, json.Deterministic(true))
}

func formField(name string, data []byte) (jsontext.Value, error) {
	if name == "equipment" || name == "options" {
		v := jsontext.Value(data)
		if !v.IsValid() {
			return nil, refuse("malformed", "api.field-json", name)
		}
		return v, nil
	}
	text := string(data)
	if name == "placements" || name == "parts" {
		text, _ = list.Decode(data) // files come in the encodings of their tools
	}
	if !utf8.ValidString(text) {
		return nil, refuse("malformed", "api.field-utf-8", clip(name))
	}
	v, err := json.Marshal(strings.TrimPrefix(text, "\ufeff"))
	return v, err
}
