package pages

import (
	"bytes"
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
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/placement"
	"boardlore/domain/review"
	"boardlore/schema"
	"boardlore/store"
)

// draftView is a map in the making. The whole state travels in the form, so
// that nothing is lost by a refusal and no script is needed; for who is signed
// in it is kept on the server, too.
type draftView struct {
	draft     *draft
	ID        string // of the draft that is kept; "" for none yet
	Kept      *store.Draft
	KeptAs    string // digest of the version that this one follows
	Link      string // by which anyone reads the draft, told once
	Map       string // the document
	Base      int    // revision that it corrects; 0 for a new board, store.Unsaid where it has to be asked
	Released  []int  // revisions that it may correct, where that has to be asked
	Proposal  int64  // proposal that it amends; 0 for none
	Doubt     int64  // that it settles; 0 for none
	IfMatch   string // digest of the proposal's map when the editing began
	Page      int    // of the table, from 0
	Pages     int
	Rows      []draftRow
	Open      int // number of the position whose members are all shown, -1 for none
	Change    string
	Lists     []draftList
	Suggested []string // constructions
	Summary   string
	Evidence  string // one item a line
	Photos    []evidencePhoto
	Had       []review.Evidence // that is kept as it is
	Reviews   []review.Review   // of the proposal that it amends
	Said      []message.Message // what the form did beside what was typed

	Head      []draftInput
	Findings  []placedFinding
	Stops     int
	Ready     bool // it could be submitted
	Changes   []board.DifferenceEntry
	Wants     []board.Want
	Done      int // of the wants
	Top       any
	Bottom    any
	Problems  []placement.Problem
	Questions []placement.Question
	Refusal   *fault.Error
	language  *message.Language
	Members   string // of a position, as the script needs them
}

// draftList is a list of the map beside the positions, with a form for each item.
type draftList struct {
	Name  string
	Items []draftItem
}

// draftItem is one of a list.
type draftItem struct {
	At      string // its place, such as failure_points.0
	Name    string
	Fields  []draftInput
	Changes []draftItem // of a variant
	Shown   bool        // whether its fields are on this page
}

// draftRow is a position in the table.
type draftRow struct {
	Index    int
	Name     message.Message // designator, or where it stands in the table
	Cells    []draftInput
	All      []draftInput // where the row is open: every member
	Findings []placedFinding
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
			return fault.New(fault.NotFound, "proposal-unknown", "page.proposal.unknown")
		}
		d, err := p.store.Proposal(ctx, n)
		if err != nil {
			return err
		}
		e := &draftView{Map: string(d.Canonical), Base: d.Base, Proposal: n, IfMatch: d.Digest, Summary: d.Summary,
			Open: -1}
		e.Reviews = append([]review.Review{}, d.Reviews...)
		e.tell(d.Evidence)
		return p.showDraft(c, v, http.StatusOK, e)
	}
	if c.QueryParam("draft") != "" || c.QueryParam("shared") != "" {
		return p.goOn(c, v)
	}
	if id := c.QueryParam("board"); id != "" {
		r, err := p.store.Revision(ctx, id, 0, "")
		if err != nil {
			return err
		}
		e := &draftView{Map: string(r.Canonical), Base: r.Number, Open: p.openRow(r.Map, c.QueryParam("open"))}
		if err := p.beginByDoubt(c, e, r.Board); err != nil {
			return err
		}
		if err := p.beginByRecords(c, e, r); err != nil {
			return err
		}
		return p.showDraft(c, v, http.StatusOK, e)
	}
	return p.start(c, v, http.StatusOK, startView{})
}

// startView is the page with the ways to begin.
type startView struct {
	Form     placement.Request
	Refusal  message.Message
	Problems []placement.Problem
	Drafts   []keptDraft // of who is signed in
	Versions string      // draft whose versions are shown
}

func (p *Pages) start(c echo.Context, v *visit, status int, s startView) error {
	var err error
	if s.Drafts, err = p.keptDrafts(c, v); err != nil {
		return err
	}
	return p.render(c, status, "contribute", view{Title: t("contribute.title"), Nav: "contribute", Extra: "editor",
		JSON: "/v1/schemas/map", Visit: v, Body: s})
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
	begun := &draftView{Map: string(data)}
	if begun.Base, err = p.baseOf(c.Request().Context(), data, e); err != nil {
		return err
	}
	if begun.Base > 0 {
		begun.Said = []message.Message{t("contribute.recognised", begun.Base)}
	}
	return p.beginDraft(c, v, begun)
}

// baseOf is the base of an uploaded map: what its envelope or its digest tells,
// none for a new board, else one that its author has to say. The newest would
// undo what came after the one that it was really made from.
func (p *Pages) baseOf(ctx context.Context, data []byte, e schema.Envelope) (int, error) {
	current := p.currentRevision(ctx, data)
	if current == 0 {
		return 0, nil
	}
	digest := ""
	if canonical := jsontext.Value(bytes.Clone(data)); canonical.Canonicalize() == nil {
		digest = board.Digest(canonical)
	}
	return p.store.BaseOf(ctx, boardOf(string(data)), e, digest)
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
		Options: placement.Options{Unit: value("unit"), Decimal: value("decimal"), Bottom: value("bottom"),
			Width: figure(value("width")), Height: figure(value("height"))}}
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
	if r.Placements == "" && r.Parts == "" {
		return p.start(c, v, http.StatusUnprocessableEntity, startView{Form: r, Refusal: t("contribute.nofile")})
	}
	result := placement.Read(r)
	if result.Map == nil {
		return p.start(c, v, http.StatusUnprocessableEntity, startView{Form: r, Refusal: t("contribute.noplacements"),
			Problems: result.Problems})
	}
	e := &draftView{Problems: result.Problems, Questions: result.Questions}
	if m, merged, err := p.store.MergeList(c.Request().Context(), result.Map); err == nil {
		result.Map, e.Base, e.Said = m, merged.Base, mergedSaid(merged.Base, merged)
		if merged.Likely > 0 {
			e.Base = store.Unsaid // its author has to say
		}
	}
	data, err := result.Map.Canonical()
	if err != nil {
		return err
	}
	e.Map = string(data)
	return p.beginDraft(c, v, e)
}

// edit takes the form's changes into the document and does what the button
// says.
func (p *Pages) edit(c echo.Context, v *visit) error {
	e := &draftView{ID: c.FormValue("draft"), KeptAs: c.FormValue("kept"), Map: c.FormValue("map"),
		IfMatch: c.FormValue("digest"), Open: -1,
		Summary: strings.TrimSpace(c.FormValue("summary")), Evidence: c.FormValue("evidence"),
		Change: c.FormValue("change")}
	var err error
	if e.Base, err = strconv.Atoi(c.FormValue("base")); err != nil {
		e.Base = store.Unsaid
	}
	e.Page, _ = strconv.Atoi(c.FormValue("page"))
	e.Proposal, _ = strconv.ParseInt(c.FormValue("proposal"), 10, 64)
	e.Doubt, _ = strconv.ParseInt(c.FormValue("doubt"), 10, 64)
	d, err := readDraft([]byte(e.Map))
	if f, ok := fault.As(err); ok {
		return p.start(c, v, http.StatusUnprocessableEntity, startView{Refusal: f.Detail})
	}
	e.readTold(c)
	e.readHad(c)
	e.Said = d.apply(c.Request().PostForm)
	var answered []message.Message
	e.Questions, answered = d.answer(c.Request().PostForm, e.Questions)
	for _, said := range append(answered, d.bulk(c.Request().PostForm), d.mirrored(c.Request().PostForm)) {
		if !said.IsZero() {
			e.Said = append(e.Said, said)
		}
	}
	act := c.FormValue("act")
	e.press(d, act)
	written, err := d.document()
	if err != nil {
		return p.refuseDraft(c, v, e, err)
	}
	e.Map = written
	if err := p.bringPhotos(c, v, e); err != nil {
		return p.refuseDraft(c, v, e, err)
	}
	switch act {
	case "submit":
		return p.submit(c, v, e)
	case "sign-in":
		return p.signInDraft(c, v, e)
	case "look":
		return p.lookDraft(c, v, e)
	}
	if err := p.keepDraft(c, v, e, act == "over"); err != nil {
		return p.refuseDraft(c, v, e, err)
	}
	if act == "share" && e.ID != "" {
		if e.Link, err = p.store.ShareDraft(c.Request().Context(), v.Actor, e.ID); err != nil {
			return p.refuseDraft(c, v, e, err)
		}
	}
	return p.showDraft(c, v, http.StatusOK, e)
}

// press adds, turns the page, or opens a row, as the button says.
func (e *draftView) press(d *draft, act string) {
	what, arg, _ := strings.Cut(act, "-")
	n, err := strconv.Atoi(arg)
	switch {
	case act == "add":
		e.Page = d.add()
		e.Open = len(d.positions()) - 1
	case what == "add":
		d.addItem(arg)
		if rest, ok := strings.CutPrefix(arg, ofVariant+"."); ok {
			of, _, _ := strings.Cut(rest, ".")
			i, _ := strconv.Atoi(of)
			e.Change = arg + "." + strconv.Itoa(len(asList(object(asList(d.tree[ofVariant]), i)["changes"]))-1)
		}
	case what == "page" && err == nil:
		e.Page = n
	case what == "open" && err == nil:
		e.Open, e.Page = n, n/rowsShown
	case what == "change":
		e.Change = arg
	}
}

// refuseDraft shows the draft as it is with why something was not done.
func (p *Pages) refuseDraft(c echo.Context, v *visit, e *draftView, err error) error {
	status, ok := refused(err)
	switch {
	case fault.Is(err, fault.Unauthenticated):
		status, ok = http.StatusUnauthorized, true
	case fault.Is(err, fault.TooLarge):
		status, ok = http.StatusRequestEntityTooLarge, true
	}
	if !ok {
		return err
	}
	e.Refusal, _ = fault.As(err)
	return p.showDraft(c, v, status, e)
}

// signInDraft signs the visitor in where the draft stands, so that nothing of
// it is lost.
func (p *Pages) signInDraft(c echo.Context, v *visit, e *draftView) error {
	v, err := p.admit(c, v, c.FormValue("token"))
	if fault.Is(err, fault.Unauthenticated) {
		e.Refusal = fault.New(fault.Unauthenticated, "token-invalid", "page.signin.refused")
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
		receipt, done, err = p.amend(ctx, v, e)
	} else {
		var evidence jsontext.Value
		if evidence, err = e.evidence(); err == nil {
			receipt, err = p.store.Submit(ctx, v.Actor, store.Submission{Board: boardOf(e.Map), Base: e.Base,
				Map: []byte(e.Map), Summary: e.Summary, Evidence: evidence})
		}
	}
	if err == nil {
		p.settle(c, v, e, receipt)
		p.dropDraft(c, v, e)
		return c.Redirect(http.StatusSeeOther, "/proposals/"+strconv.FormatInt(receipt.Proposal, 10)+"?done="+done)
	}
	if kept := p.keepDraft(c, v, e, false); kept != nil {
		return p.refuseDraft(c, v, e, kept)
	}
	return p.refuseDraft(c, v, e, err)
}

func boardOf(doc string) string {
	var m struct {
		Board string `json:"board"`
	}
	_ = json.Unmarshal([]byte(doc), &m) // what is no map is refused with every fault named
	return m.Board
}

// judgeDraft says everything that is to be said of the draft, and draws it.
func (p *Pages) judgeDraft(c echo.Context, e *draftView) error {
	d, err := readDraft([]byte(e.Map))
	if err != nil {
		return err
	}
	e.draft, e.language = d, languageOf(c)
	m, fs := schema.ReadMap([]byte(e.Map))
	for _, f := range fs {
		e.Findings = append(e.Findings, placedFinding{f, d.placeOf(f.Pointer)})
	}
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
		e.Top, e.Bottom = sides(m, e.drawn())
		e.Wants = board.Wants(m)
		for _, w := range e.Wants {
			if w.Done() {
				e.Done++
			}
		}
	}
	return nil
}

// showDraft shows the draft beside its drawing.
func (p *Pages) showDraft(c echo.Context, v *visit, status int, e *draftView) error {
	if err := p.judgeDraft(c, e); err != nil {
		return p.start(c, v, http.StatusUnprocessableEntity, startView{Refusal: t("contribute.notjson")})
	}
	d := e.draft
	e.table()
	if e.Proposal > 0 && e.Reviews == nil {
		if amended, err := p.store.Proposal(c.Request().Context(), e.Proposal); err == nil {
			e.Reviews = amended.Reviews
		}
	}
	named := message.Text(cmp.Or(d.text("name"), d.text("board")))
	if named.IsZero() {
		named = t("desk.new")
	}
	// The script keeps the draft, and asks what a pasted text says.
	c.Response().Header().Set("Content-Security-Policy", policy+"; connect-src 'self'")
	return p.render(c, status, "draft", view{Title: titled(t("draft.title"), named), Nav: "contribute", Wide: true,
		Extra: "editor",
		JSON:  e.twin(), Visit: v, Body: e})
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

// drawn marks the row that is open.
func (e *draftView) drawn() drawing.Options {
	if e.Open < 0 || e.Open >= len(e.draft.positions()) {
		return drawing.Options{In: e.language}
	}
	return drawing.Options{In: e.language, Marks: []string{e.draft.cell(e.Open, "designator")}}
}

// table fills in the fields and the page of the table.
func (e *draftView) table() {
	d := e.draft
	e.Head = inputs(ofMap, "map.", message.Message{}, d.tree)
	e.Members = scriptMembers(e.language)
	n := len(d.positions())
	e.Pages = (n + rowsShown - 1) / rowsShown
	e.Page = max(0, min(e.Page, e.Pages-1))
	e.Suggested = part.Names(part.Constructions)
	for i := e.Page * rowsShown; i < min(n, (e.Page+1)*rowsShown); i++ {
		e.Rows = append(e.Rows, e.row(i))
	}
	for _, l := range listsOf {
		e.Lists = append(e.Lists, e.list(l))
	}
}

func (e *draftView) row(i int) draftRow {
	o := object(e.draft.positions(), i)
	row := draftRow{Index: i, Name: message.Text(textAt(o, "designator"))}
	if row.Name.IsZero() {
		row.Name = t("draft.rowname", i+1)
	}
	name := "p" + strconv.Itoa(i) + "."
	for _, path := range rowFields {
		m := memberOf(ofPosition, path)
		row.Cells = append(row.Cells, draftInput{draftMember: m, Name: name + path, Value: m.text(o), Of: row.Name})
	}
	if i == e.Open {
		row.All = inputs(ofPosition, name, row.Name, o)
	}
	at := "/positions/" + strconv.Itoa(i)
	for _, f := range e.Findings {
		if f.Pointer == at || strings.HasPrefix(f.Pointer, at+"/") {
			row.Findings = append(row.Findings, f)
		}
	}
	return row
}

func (e *draftView) list(name string) draftList {
	l := draftList{Name: name}
	for i, x := range asList(e.draft.tree[name]) {
		o, _ := x.(map[string]any)
		it := draftItem{At: name + "." + strconv.Itoa(i), Name: itemName(o, i), Shown: true}
		it.Fields = inputs(name, "map."+it.At+".", message.Text(it.Name), o)
		for k, y := range asList(o["changes"]) {
			change, _ := y.(map[string]any)
			ch := draftItem{At: it.At + ".changes." + strconv.Itoa(k), Name: itemName(change, k)}
			if ch.Shown = ch.At == e.Change; ch.Shown {
				ch.Fields = inputs(ofChange, "map."+ch.At+".", message.Text(ch.Name), change)
			}
			it.Changes = append(it.Changes, ch)
		}
		l.Items = append(l.Items, it)
	}
	return l
}

// Blank is the members of a position, for what changes many of them.
func (e *draftView) Blank() [][]draftMember { return [][]draftMember{draftMembers()[ofPosition]} }

// Where says in words where a pointer into the map, or into what was sent with
// it, leads.
func (e *draftView) Where(pointer string) message.Message {
	return e.draft.placeOf(strings.TrimPrefix(pointer, "/map"))
}

// Stale tells that the draft was kept elsewhere since it was opened here.
func (e *draftView) Stale() bool { return e.Refusal != nil && e.Refusal.Code == "draft-changed" }

// PageOf is the page of the table on which a finding's position stands, -1 for
// what is not about a position.
func (e *draftView) PageOf(f placedFinding) int {
	if n := f.row(); n >= 0 {
		return n / rowsShown
	}
	return -1
}
