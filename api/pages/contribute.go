package pages

import (
	"cmp"
	"context"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/labstack/echo/v4"

	"boardlore/domain/board"
	"boardlore/domain/drawing"
	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/list"
	"boardlore/domain/part"
	"boardlore/domain/placement"
	"boardlore/domain/review"
	"boardlore/schema"
	"boardlore/store"
)

// draftView is a map in the making. The whole state travels in the form, so
// that nothing is kept before it is submitted and no script is needed.
type draftView struct {
	draft     *draft
	Map       string // the document
	Base      int    // revision that it corrects; 0 for a new board, store.Unsaid where it has to be asked
	Released  []int  // revisions that it may correct, where that has to be asked
	Proposal  int64  // proposal that it amends; 0 for none
	Doubt     int64  // that it settles; 0 for none
	IfMatch   string // digest of the proposal's map when the editing began
	Page      int    // of the table, from 0
	Pages     int
	Rows      []draftRow
	Suggested []string // constructions
	Summary   string
	Evidence  string // one item a line

	Head      []draftField
	Findings  []finding.Finding
	Stops     int
	Ready     bool // it could be submitted
	Changes   []board.DifferenceEntry
	Top       any
	Bottom    any
	Problems  []placement.Problem
	Questions []placement.Question
	Refusal   *fault.Error
}

// draftField is a member beside the positions that the page edits.
type draftField struct {
	Name, Label, Value string
	Choices            []string
	Number             bool
}

// draftRow is a position in the table.
type draftRow struct {
	Index    int
	Name     string // designator, or where it stands in the table
	Cells    []draftCell
	Findings []finding.Finding
}

type draftCell struct {
	Name, Label, Value string
	Choices            []string
	Broad, Number      bool
	Suggest            bool // the constructions of capacitors are offered
}

// rowsShown is how many positions the table has on one page.
const rowsShown = 40

// contribute begins: a correction of a board, an amendment of an own proposal,
// or the choice of how to start.
func (p *Pages) contribute(c echo.Context, v *visit) error {
	ctx := c.Request().Context()
	if id := c.QueryParam("proposal"); id != "" {
		n, err := strconv.ParseInt(id, 10, 64)
		if err != nil {
			return fault.New(fault.NotFound, "proposal-unknown", t("proposal.unknown"))
		}
		d, err := p.store.Proposal(ctx, n)
		if err != nil {
			return err
		}
		e := &draftView{Map: string(d.Canonical), Base: d.Base, Proposal: n, IfMatch: d.Digest, Summary: d.Summary}
		return p.showDraft(c, v, http.StatusOK, e)
	}
	if id := c.QueryParam("board"); id != "" {
		r, err := p.store.Revision(ctx, id, 0, "")
		if err != nil {
			return err
		}
		e := &draftView{Map: string(r.Canonical), Base: r.Number}
		if err := p.beginByDoubt(c, e, r.Board); err != nil {
			return err
		}
		return p.showDraft(c, v, http.StatusOK, e)
	}
	return p.start(c, v, http.StatusOK, startView{})
}

// startView is the page with the ways to begin.
type startView struct {
	Form     placement.Request
	Refusal  string
	Problems []placement.Problem
}

func (p *Pages) start(c echo.Context, v *visit, status int, s startView) error {
	return p.render(c, status, "contribute", view{Title: t("contribute.title"), Nav: "contribute", JSON: "/v1/schemas/map", Visit: v, Body: s})
}

func (p *Pages) contributeForm(c echo.Context, v *visit) error {
	switch c.FormValue("act") {
	case "board":
		return c.Redirect(http.StatusSeeOther, query("/contribute", "board", strings.TrimSpace(c.FormValue("board"))))
	case "placements":
		return p.fromPlacements(c, v)
	case "map":
		return p.fromFile(c, v)
	}
	return p.edit(c, v)
}

func (p *Pages) fromFile(c echo.Context, v *visit) error {
	data, err := upload(c, "file", board.MaxBytes)
	if err != nil {
		return err
	}
	if len(data) == 0 {
		return p.start(c, v, http.StatusUnprocessableEntity, startView{Refusal: t("contribute.nofile")})
	}
	if !jsontext.Value(data).IsValid() {
		return p.start(c, v, http.StatusUnprocessableEntity, startView{Refusal: t("contribute.notjson")})
	}
	data, e, _ := schema.Unwrap(data)
	base := e.Revision
	if base == 0 {
		base = p.asked(c.Request().Context(), data)
	}
	return p.showDraft(c, v, http.StatusOK, &draftView{Map: string(data), Base: base})
}

// asked is the base of a map that does not say it: none for a new board, else
// one that its author has to say. The newest would undo what came after the
// one that it was really made from.
func (p *Pages) asked(ctx context.Context, data []byte) int {
	if p.currentRevision(ctx, data) > 0 {
		return store.Unsaid
	}
	return 0
}

// currentRevision is the newest revision of an uploaded map's board, 0 where
// that is not known here.
func (p *Pages) currentRevision(ctx context.Context, data []byte) int {
	var m struct {
		Board string `json:"board"`
	}
	if json.Unmarshal(data, &m) != nil || m.Board == "" {
		return 0
	}
	r, err := p.store.Revision(ctx, m.Board, 0, "")
	if err != nil {
		return 0
	}
	return r.Number
}

// fromPlacements makes a draft out of an assembly tool's lists.
func (p *Pages) fromPlacements(c echo.Context, v *visit) error {
	value := func(name string) string { return strings.TrimSpace(c.FormValue(name)) }
	r := placement.Request{Board: value("board"), Name: value("name"),
		Equipment: board.Equipment{Maker: value("maker"), Model: value("model"), Kind: value("kind")},
		Options:   placement.Options{Unit: value("unit"), Decimal: value("decimal"), Bottom: value("bottom"), Width: figure(value("width")), Height: figure(value("height"))}}
	for _, f := range []struct {
		field string
		into  *string
	}{{"placements", &r.Placements}, {"parts", &r.Parts}} {
		data, err := upload(c, f.field, board.MaxBytes)
		if err != nil {
			return err
		}
		*f.into, _ = list.Decode(data)
	}
	if r.Placements == "" {
		return p.start(c, v, http.StatusUnprocessableEntity, startView{Form: r, Refusal: t("contribute.nofile")})
	}
	result := placement.Read(r)
	if result.Map == nil {
		return p.start(c, v, http.StatusUnprocessableEntity, startView{Form: r, Refusal: t("contribute.noplacements"), Problems: result.Problems})
	}
	data, err := result.Map.Canonical()
	if err != nil {
		return err
	}
	return p.showDraft(c, v, http.StatusOK, &draftView{Map: string(data), Base: p.asked(c.Request().Context(), data),
		Problems: result.Problems, Questions: result.Questions})
}

// edit takes the table's changes into the document and does what the button
// says.
func (p *Pages) edit(c echo.Context, v *visit) error {
	e := &draftView{Map: c.FormValue("map"), IfMatch: c.FormValue("digest"), Summary: strings.TrimSpace(c.FormValue("summary")), Evidence: c.FormValue("evidence")}
	var err error
	if e.Base, err = strconv.Atoi(c.FormValue("base")); err != nil {
		e.Base = store.Unsaid
	}
	e.Page, _ = strconv.Atoi(c.FormValue("page"))
	e.Proposal, _ = strconv.ParseInt(c.FormValue("proposal"), 10, 64)
	e.Doubt, _ = strconv.ParseInt(c.FormValue("doubt"), 10, 64)
	d, err := readDraft([]byte(e.Map))
	if err != nil {
		return p.start(c, v, http.StatusUnprocessableEntity, startView{Refusal: t("contribute.notjson")})
	}
	d.apply(c.Request().PostForm)
	act := c.FormValue("act")
	if act == "add" {
		e.Page = d.add()
	}
	if n, ok := strings.CutPrefix(act, "page-"); ok {
		e.Page, _ = strconv.Atoi(n)
	}
	if e.Map, err = d.document(); err != nil {
		return err
	}
	switch act {
	case "submit":
		return p.submit(c, v, e)
	case "sign-in":
		return p.signInDraft(c, v, e)
	}
	return p.showDraft(c, v, http.StatusOK, e)
}

// signInDraft signs the visitor in where the draft stands, so that nothing of
// it is lost.
func (p *Pages) signInDraft(c echo.Context, v *visit, e *draftView) error {
	v, err := p.admit(c, v, c.FormValue("token"))
	if fault.Is(err, fault.Unauthenticated) {
		e.Refusal = fault.New(fault.Unauthenticated, "token-invalid", t("signin.refused"))
		return p.showDraft(c, v, http.StatusUnauthorized, e)
	}
	if err != nil {
		return err
	}
	return p.showDraft(c, v, http.StatusOK, e)
}

// submit proposes the draft, or amends the proposal that it came from.
func (p *Pages) submit(c echo.Context, v *visit, e *draftView) error {
	ctx := c.Request().Context()
	var receipt store.Receipt
	var err error
	done := "submitted"
	if e.Proposal > 0 {
		done = "amended"
		receipt, err = p.store.Amend(ctx, v.Actor, store.Amendment{Proposal: e.Proposal, Map: []byte(e.Map), IfMatch: e.IfMatch})
	} else {
		var evidence jsontext.Value
		if evidence, err = p.evidence(c, v, e); err == nil {
			receipt, err = p.store.Submit(ctx, v.Actor, store.Submission{Board: boardOf(e.Map), Base: e.Base, Map: []byte(e.Map), Summary: e.Summary, Evidence: evidence})
		}
	}
	if err == nil {
		p.settle(c, v, e, receipt)
		return c.Redirect(http.StatusSeeOther, "/proposals/"+strconv.FormatInt(receipt.Proposal, 10)+"?done="+done)
	}
	status, ok := refused(err)
	if fault.Is(err, fault.Unauthenticated) {
		status, ok = http.StatusUnauthorized, true
	}
	if !ok {
		return err
	}
	e.Refusal, _ = fault.As(err)
	return p.showDraft(c, v, status, e)
}

func boardOf(doc string) string {
	var m struct {
		Board string `json:"board"`
	}
	_ = json.Unmarshal([]byte(doc), &m) // what is no map is refused with every fault named
	return m.Board
}

// evidence makes one item of each line, and of the photograph one more.
func (p *Pages) evidence(c echo.Context, v *visit, e *draftView) (jsontext.Value, error) {
	items := []review.Evidence{}
	for line := range strings.Lines(e.Evidence) {
		if line = strings.TrimSpace(line); line != "" {
			items = append(items, review.Evidence{Text: line})
		}
	}
	photo, err := upload(c, "photo", 20<<20)
	if err != nil {
		return nil, err
	}
	if len(photo) > 0 {
		kept, _, err := p.store.PutPhotograph(c.Request().Context(), v.Actor, photo)
		if err != nil {
			return nil, err
		}
		items = append(items, review.Evidence{Text: t("contribute.photo.text"), Photographs: []string{kept.SHA256}})
	}
	return json.Marshal(items)
}

// showDraft checks the draft and shows everything that is to be said of it
// beside its drawing.
func (p *Pages) showDraft(c echo.Context, v *visit, status int, e *draftView) error {
	d, err := readDraft([]byte(e.Map))
	if err != nil {
		return p.start(c, v, http.StatusUnprocessableEntity, startView{Refusal: t("contribute.notjson")})
	}
	e.draft = d
	m, fs := schema.ReadMap([]byte(e.Map))
	e.Findings = fs
	e.Ready = m != nil
	for _, f := range fs {
		if f.Severity == finding.Stop {
			e.Stops++
		}
	}
	if e.Base == store.Unsaid {
		for n := p.currentRevision(c.Request().Context(), []byte(e.Map)); n > 0; n-- {
			e.Released = append(e.Released, n)
		}
	}
	if m != nil && e.Base > 0 {
		if r, err := p.store.Revision(c.Request().Context(), m.Board, e.Base, ""); err == nil {
			e.Changes = board.Diff(r.Map, m).Changes
		}
	}
	if m == nil {
		m = d.drawable()
	}
	if m != nil {
		e.Top, e.Bottom = sides(m, drawing.Options{})
	}
	e.table()
	return p.render(c, status, "draft", view{Title: t("draft.title") + ", " + cmp.Or(d.text("name"), d.text("board"), t("desk.new")), Nav: "contribute", Wide: true,
		JSON: e.twin(), Visit: v, Body: e})
}

// twin is where the API has what the draft began with.
func (e *draftView) twin() string {
	switch id := e.draft.text("board"); {
	case e.Proposal > 0:
		return "/v1/proposals/" + strconv.FormatInt(e.Proposal, 10)
	case e.Base > 0 && id != "":
		return "/v1/boards/" + url.PathEscape(id) + "/revisions/" + strconv.Itoa(e.Base)
	}
	return "/v1/schemas/map"
}

// table fills in the fields and the page of the table.
func (e *draftView) table() {
	d := e.draft
	for _, f := range headFields {
		e.Head = append(e.Head, draftField{Name: "map." + f.path, Label: t("draft." + f.path), Value: d.text(f.path), Choices: f.choices, Number: numeric[last(f.path)]})
	}
	n := len(d.positions())
	e.Pages = (n + rowsShown - 1) / rowsShown
	e.Page = max(0, min(e.Page, e.Pages-1))
	e.Suggested = part.Names(part.Constructions)
	for i := e.Page * rowsShown; i < min(n, (e.Page+1)*rowsShown); i++ {
		row := draftRow{Index: i, Name: cmp.Or(d.cell(i, "designator"), t("draft.rowname", i+1))}
		for _, f := range rowFields {
			row.Cells = append(row.Cells, draftCell{Name: "p" + strconv.Itoa(i) + "." + f.path, Label: t("draft.col." + f.path), Value: d.cell(i, f.path), Choices: f.choices,
				Broad: f.path == "notes" || f.path == "part.construction", Suggest: f.path == "part.construction", Number: numeric[f.path]})
		}
		at := "/positions/" + strconv.Itoa(i)
		for _, f := range e.Findings {
			if f.Pointer == at || strings.HasPrefix(f.Pointer, at+"/") {
				row.Findings = append(row.Findings, f)
			}
		}
		e.Rows = append(e.Rows, row)
	}
}

// PageOf is the page of the table on which a finding's position stands, -1 for
// what is not about a position.
func (e *draftView) PageOf(f finding.Finding) int {
	rest, ok := strings.CutPrefix(f.Pointer, "/positions/")
	n, err := strconv.Atoi(strings.SplitN(rest, "/", 2)[0])
	if !ok || err != nil {
		return -1
	}
	return n / rowsShown
}
