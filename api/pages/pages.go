// Package pages is boardlore for people with a browser: find a board, see it,
// check a kit, propose a correction, review it. Pages are made on the server
// and work without JavaScript; a small script makes them pleasanter. Each page
// says the same as an address of the API and links to it.
//
// A page calls the store's acts and the domain's computations as the API does
// and holds no rule of the trade. Every sentence on a page stands in the language
// files of domain/message, under page.
package pages

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"html/template"
	"net/http"
	"path"
	"strings"
	"sync"

	"github.com/labstack/echo/v4"
	"github.com/maypok86/otter/v2"

	"boardlore/api"
	"boardlore/domain/message"
	"boardlore/store"
)

//go:embed templates/*.html
var templateFiles embed.FS

//go:embed static/*
var staticFiles embed.FS

// Options say what pages are made of; the zero value is fine.
type Options struct {
	Secure    bool   // the world sees the server by https, whatever the last hop speaks
	PublicURL string // scheme and host as the world sees them; default from the request
}

// Pages is the HTML face of a store.
type Pages struct {
	store     *store.Store
	secure    bool
	public    string
	templates map[*message.Language]map[string]*template.Template
	static    map[string]asset
	cross     *http.CrossOriginProtection
	gate      *api.Gate // set by Mount
	kept      *otter.Cache[pageKey, keptPage]

	pictures pictures
	standing standing // of a mirror

	deskMu    sync.Mutex
	deskKnown map[int64]judgement // of the proposals on the desk
}

type asset struct {
	body []byte
	kind string
	tag  string // part of the address, so that browsers may keep it for ever
}

// New reads the embedded templates.
func New(s *store.Store, o Options) (*Pages, error) {
	p := &Pages{store: s, secure: o.Secure, public: o.PublicURL,
		templates: map[*message.Language]map[string]*template.Template{}, static: map[string]asset{}, kept: newKept(),
		cross: http.NewCrossOriginProtection()}
	if err := p.readStatic(); err != nil {
		return nil, err
	}
	for _, l := range message.Languages {
		if err := p.readTemplates(l); err != nil {
			return nil, err
		}
	}
	return p, nil
}

func (p *Pages) readStatic() error {
	files, err := staticFiles.ReadDir("static")
	if err != nil {
		return fmt.Errorf("read static files: %w", err)
	}
	for _, f := range files {
		b, err := staticFiles.ReadFile("static/" + f.Name())
		if err != nil {
			return fmt.Errorf("read static file: %w", err)
		}
		sum := sha256.Sum256(b)
		kind := map[string]string{".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8",
			".svg": "image/svg+xml", ".webmanifest": "application/manifest+json"}[path.Ext(f.Name())]
		p.static[f.Name()] = asset{body: b, kind: kind, tag: hex.EncodeToString(sum[:6])}
	}
	return nil
}

// readTemplates makes the pages of one language.
func (p *Pages) readTemplates(in *message.Language) error {
	base, err := template.New("base.html").Funcs(p.functions(in)).ParseFS(templateFiles, "templates/base.html",
		"templates/parts.html")
	if err != nil {
		return fmt.Errorf("read templates: %w", err)
	}
	p.templates[in] = map[string]*template.Template{}
	files, err := templateFiles.ReadDir("templates")
	if err != nil {
		return fmt.Errorf("read templates: %w", err)
	}
	for _, f := range files {
		if f.Name() == "base.html" || f.Name() == "parts.html" {
			continue
		}
		t, err := base.Clone()
		if err == nil {
			_, err = t.ParseFS(templateFiles, "templates/"+f.Name())
		}
		if err != nil {
			return fmt.Errorf("read template %s: %w", f.Name(), err)
		}
		for _, x := range t.Templates() {
			if x.Tree != nil {
				speak(x.Tree.Root)
			}
		}
		p.templates[in][strings.TrimSuffix(f.Name(), ".html")] = t
	}
	return nil
}

// Mount adds the pages' routes to e, behind the server's gate.
func (p *Pages) Mount(e *echo.Echo, gate *api.Gate) {
	p.gate = gate
	get := func(path string, b api.Budget, h func(echo.Context, *visit) error) {
		e.GET(path, p.page(b, h))
		e.HEAD(path, p.page(b, h))
	}
	post := func(path string, b api.Budget, h func(echo.Context, *visit) error) { e.POST(path, p.form(b, h)) }

	get("/", api.Labour, p.home)
	get("/boards/:board", api.Reads, p.once(p.board))
	get("/b/:board", api.Reads, p.shortAddress)
	get("/oembed", api.Reads, p.embed)
	get("/sitemap.xml", api.Reads, p.siteMap)
	get("/robots.txt", api.Reads, p.robots)
	e.GET("/boards/:board/thumb.svg", p.thumbnail)
	e.GET("/boards/:board/card.png", p.card)
	get("/boards/:board/sheet.pdf", api.Labour, p.sheet)
	get("/boards/:board/positions/:designator", api.Reads, p.once(p.position))
	get("/boards/:board/job", api.Labour, p.job)
	get("/boards/:board/job/sheet.pdf", api.Labour, p.jobSheet)
	post("/boards/:board/job", api.Writes, p.jobRecord)
	get("/boards/:board/differences", api.Labour, p.differences)
	get("/boards/:board/kit-check", api.Labour, p.kitCheck)
	get("/boards/:board/parts-list", api.Labour, p.partsList)
	post("/boards/:board/kit-check", api.Labour, p.kitCheck)
	get("/boards/:board/kit-check/report.pdf", api.Labour, p.kitReport)
	post("/boards/:board/kit-check/report.pdf", api.Labour, p.kitReport)
	post("/boards/:board/doubts", api.Writes, p.raiseDoubt)
	post("/boards/:board/doubts/:id/answer", api.Writes, p.answerDoubt)
	get("/desk", api.Labour, p.desk)
	get("/proposals/:id", api.Labour, p.proposal)
	post("/proposals/:id/review", api.Writes, p.review)
	post("/proposals/:id/answer", api.Writes, p.answerReview)
	post("/proposals/:id/release", api.Writes, p.release)
	post("/proposals/:id/decline", api.Writes, p.decline)
	post("/proposals/:id/withdraw", api.Writes, p.withdraw)
	get("/contribute", api.Reads, p.contribute)
	post("/contribute", api.Writes, p.contributeForm)
	get("/contribute/photo", api.Reads, p.photo)
	post("/contribute/photo", api.Writes, p.photoForm)
	get("/sign-in", api.Reads, p.signIn)
	post("/sign-in", api.Writes, p.signInForm)
	post("/sign-out", api.Writes, p.signOut)
	get("/join", api.Reads, p.join)
	post("/join", api.Writes, p.joinForm)
	get("/account", api.Reads, p.account)
	post("/account", api.Writes, p.accountForm)
	get("/account/watches", api.Reads, p.watches)
	post("/account/watches", api.Writes, p.watchForm)
	get("/desk/stewards", api.Reads, p.stewards)
	post("/desk/stewards", api.Writes, p.stewardForm)
	get("/language/:tag", api.Reads, p.setLanguage)
	e.GET("/static/:file", p.asset)
	e.HEAD("/static/:file", p.asset)
}

// asset answers the style sheet and the script.
func (p *Pages) asset(c echo.Context) error {
	if err := p.gate.Take(c, store.Actor{}, api.Reads); err != nil {
		return err
	}
	a, ok := p.static[c.Param("file")]
	if !ok {
		return echo.ErrNotFound
	}
	h := c.Response().Header()
	h.Set("Cache-Control", "public, max-age=86400")
	if strings.HasSuffix(c.Param("file"), "-worker.js") {
		h.Set("Service-Worker-Allowed", "/boards/") // it serves pages there
		h.Set("Content-Security-Policy", "default-src 'none'; connect-src 'self'")
	}
	if c.QueryParam("v") == a.tag {
		h.Set("Cache-Control", "public, max-age=31536000, immutable")
	}
	return api.Send(c, http.StatusOK, a.kind, a.body)
}

// policy is the pages' Content-Security-Policy: own style sheet, own script,
// own pictures, nothing inline and nothing from elsewhere.
const policy = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// sheet of what a template sees.
type view struct {
	Title  message.Message
	Nav    string // which entry of the navigation is open
	JSON   string // address of the same in JSON, "" where there is none
	Wide   bool   // the page uses the whole width
	Extra  string // name of a style sheet and a script of its own, "" for none
	Visit  *visit
	Notice message.Message
	Share  *shared // nil where nobody links to the page
	Body   any

	Language *message.Language
	Copy     *copied // nil where the registry is no mirror
}

// render writes a page whole or not at all.
func (p *Pages) render(c echo.Context, status int, name string, v view) error {
	in := languageOf(c)
	t := p.templates[in][name]
	if t == nil {
		return fmt.Errorf("no template %q", name)
	}
	v.Language, v.Copy = in, p.copyOf(c.Request().Context())
	var b api.Short
	if err := t.ExecuteTemplate(&b, "base.html", v); err != nil {
		return fmt.Errorf("write page %s: %w", name, api.Writing(err))
	}
	return p.send(c, status, v.Visit, b.Bytes())
}

// ErrorPage writes a refusal as a page; it fits api.Config.
func (p *Pages) ErrorPage(c echo.Context, problem api.Problem) error {
	v, err := p.visitOf(c)
	if err != nil {
		v = &visit{}
	}
	p.secureHeaders(c)
	c.Response().Header().Set("Cache-Control", "no-store")
	return p.render(c, problem.Status, "error", view{Title: problem.Title, Visit: v, Body: refusalOf(c, problem)})
}

// refusal is what the page of a refusal says: what is wrong, and what to do.
type refusal struct {
	api.Problem
	Say   message.Message // in the words of the pages
	Next  message.Message // what to do now
	Back  string          // page to go on from, "" for none
	Where message.Message // its name
}

// refusalOf finds the words and the way on.
func refusalOf(c echo.Context, problem api.Problem) refusal {
	r := refusal{Problem: problem, Say: problem.Detail, Next: t("next.other")}
	if problem.Code == "board-unknown" {
		r.Say = t("error.board", param(c, "board"))
	}
	switch {
	case problem.Status == http.StatusNotFound:
		r.Next = t("next.missing")
	case problem.Status == http.StatusGone, problem.Status == http.StatusUnavailableForLegalReasons:
		r.Next = t("next.withdrawn")
		if w, ok := problem.Data.(store.Withdrawn); ok && w.Current > 0 {
			r.Back, r.Where = "/boards/"+w.Board, t("board.current")
		}
		return r
	case problem.Status == http.StatusUnauthorized:
		r.Next = t("next.signin")
		r.Back, r.Where = query("/sign-in", "back", placeOf(c)), t("nav.signin")
		return r
	case problem.Status == http.StatusForbidden:
		r.Next = t("next.forbidden")
	case problem.Status == http.StatusConflict, problem.Status == http.StatusPreconditionFailed:
		r.Next = t("next.changed")
	case problem.Status == http.StatusTooManyRequests:
		r.Next = t("next.later", c.Response().Header().Get("Retry-After"))
	case problem.Status < http.StatusInternalServerError:
		r.Next = t("next.correct")
	}
	if here := placeOf(c); here != c.Request().URL.Path {
		r.Back, r.Where = here, t("error.back")
	}
	return r
}

// placeOf is the page from which an address is reached: its own for a page, the
// page with the form for an act.
func placeOf(c echo.Context) string {
	if c.Request().Method != http.MethodPost {
		return c.Request().URL.RequestURI()
	}
	here := c.Request().URL.EscapedPath()
	if strings.HasPrefix(here, "/proposals/") || strings.HasSuffix(here, ".pdf") {
		return path.Dir(here)
	}
	return here
}

// param is a part of the path, which the server has decoded.
func param(c echo.Context, name string) string { return c.Param(name) }
