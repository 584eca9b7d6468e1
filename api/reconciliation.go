package api

import (
	"boardlore/domain/message"
	"mime"
	"net/http"
	"slices"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/labstack/echo/v4"

	"boardlore/api/paper"
	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/finding"
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

const pdfMedia = "application/pdf"

// Media types of kits, a document or a list, and of reports.
var (
	kitMedia    = []string{"application/json", "text/csv", "text/tab-separated-values", "text/plain"}
	reportMedia = []string{"application/json", "text/plain", "text/csv", pdfMedia}
)

// reconcile checks a kit against a map of the board.
func (s *server) reconcile(c echo.Context) error {
	form := accepted(c.Request().Header.Get("Accept"), reportMedia...)
	if form == "" {
		return refuse("not-acceptable", "api.report-comes-as", message.Commas(reportMedia))
	}
	in, k, problems, err := s.asked(c)
	if err != nil {
		return err
	}
	rev, err := s.store.Revision(c.Request().Context(), c.Param("board"), in.Revision, in.Variant)
	if err != nil {
		return err
	}
	report, err := kit.Reconcile(kit.Request{Map: rev.Map, Kit: k, Scope: in.Scope, Revision: rev.Number,
		Variant: rev.Variant, Digest: rev.Digest,
		Pairs: c.QueryParam("pairs") == "true", Others: s.store.Builds(c.Request().Context(), rev), Problems: problems})
	if err != nil {
		return nothingRead(c, err)
	}
	return s.sendReport(c, form, rev, &report)
}

// nothingRead places what makes a kit no kit: in a document below its kit, in a
// list by the row, which the sentences name.
func nothingRead(c echo.Context, err error) error {
	f, ok := fault.As(err)
	if !ok || f.Code != "kit-refused" {
		return err
	}
	if !isList(c) {
		return under("/kit", err)
	}
	p := refused(f.Code, f.Detail)
	for _, x := range f.Findings {
		p.Errors = append(p.Errors, ProblemError{Code: x.Code, Severity: x.Severity, Detail: x.Sentence,
			Found: clip(x.Found)})
	}
	return p
}

// asked is what the body and, with a list, the query ask for.
func (s *server) asked(c echo.Context) (in reconciliation, k *kit.Kit, problems []kit.Problem, err error) {
	if isList(c) {
		in = reconciliation{Revision: number(c, "revision", 0), Variant: c.QueryParam("variant"),
			Scope: kit.ParseScope(c.QueryParam("scope"))}
		k, problems, err = readList(c)
		return in, k, problems, err
	}
	if err := listOnly(c, "revision", "variant", "scope"); err != nil {
		return in, nil, nil, err
	}
	data, _, err := readBody(c, kitMedia...)
	if err != nil {
		return in, nil, nil, err
	}
	if err := decode("reconciliation-request", data, &in); err != nil {
		return in, nil, nil, err
	}
	k, err = s.wantedKit(c, in.Kit)
	return in, k, nil, err
}

// isList reports whether the body is a list, in whatever encoding.
func isList(c echo.Context) bool {
	media, _, err := mime.ParseMediaType(c.Request().Header.Get("Content-Type"))
	return err == nil && slices.Contains(kitMedia[1:], media)
}

// listOnly refuses parameters that go along with a list: in a JSON body they
// are members, and one that went unnoticed would check the wrong build.
func listOnly(c echo.Context, names ...string) error {
	for _, n := range names {
		if c.QueryParam(n) != "" {
			p := refuse("parameter-invalid", "api.member-not-parameter", n)
			p.Errors = []ProblemError{{Parameter: n, Code: p.Code, Severity: finding.Stop, Detail: p.Detail}}
			return p
		}
	}
	return nil
}

// readList reads the body as a list of parts, whatever its encoding.
func readList(c echo.Context) (*kit.Kit, []kit.Problem, error) {
	data, err := wholeBody(c.Request())
	if err != nil {
		return nil, nil, err
	}
	return schema.OpenKit(data, c.Request().Header.Get("Content-Type"))
}

// sendReport answers a report in one of its forms.
func (s *server) sendReport(c echo.Context, form string, rev *store.Revision, r *kit.Report) error {
	c.Response().Header().Add("Vary", "Accept")
	switch form {
	case "text/plain":
		return send(c, http.StatusOK, "text/plain; charset=utf-8", []byte(r.Text(tongue(c), 0)))
	case "text/csv":
		return send(c, http.StatusOK, "text/csv; charset=utf-8; header=present", r.CSV(tongue(c)))
	case pdfMedia:
		b, err := s.printed(c, rev)
		if err != nil {
			return err
		}
		pdf, err := paper.Report(b, r)
		if err != nil {
			return err
		}
		return send(c, http.StatusOK, pdfMedia, pdf)
	}
	return reply(c, http.StatusOK, r)
}

// printed is a revision as it is printed.
func (s *server) printed(c echo.Context, rev *store.Revision) (*paper.Board, error) {
	b := &paper.Board{Map: rev.Map, Revision: rev.Number, Digest: rev.Digest, ReleasedAt: rev.ReleasedAt, In: tongue(c)}
	if rev.Variant == "" {
		return b, nil
	}
	base, err := s.store.Revision(c.Request().Context(), rev.Board, rev.Number, "")
	if err != nil {
		return nil, err
	}
	if i := slices.IndexFunc(base.Map.Variants,
		func(v board.Variant) bool { return v.Variant == rev.Variant }); i >= 0 {
		b.Build = &base.Map.Variants[i]
	}
	return b, nil
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
