package pages

import (
	"crypto/rand"
	"encoding/hex"
	"net/http"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/labstack/echo/v4"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/list"
	"boardlore/domain/message"
	"boardlore/domain/placement"
	"boardlore/domain/review"
	"boardlore/store"
)

// besideMap is the member of a kept draft that holds what is known of it
// beside the map; it is no part of what is submitted.
const besideMap = "x-draft"

// beside is what a draft is besides its map.
type beside struct {
	Base      int                  `json:"base"`
	Proposal  int64                `json:"proposal,omitzero"`
	Doubt     int64                `json:"doubt,omitzero"`
	IfMatch   string               `json:"if_match,omitzero"`
	Summary   string               `json:"summary,omitzero"`
	Evidence  string               `json:"evidence,omitzero"`
	Photos    []evidencePhoto      `json:"photos,omitzero"`
	Problems  []placement.Problem  `json:"problems,omitzero"`
	Questions []placement.Question `json:"questions,omitzero"`
}

// evidencePhoto is a photograph that was kept as evidence, with the positions
// that it shows.
type evidencePhoto struct {
	SHA256      string `json:"sha256"`
	Designators string `json:"designators,omitzero"`
}

// keptDraft is a draft in the list of those who made it.
type keptDraft struct {
	store.Draft
	Versions []store.Draft
}

func (p *Pages) keptDrafts(c echo.Context, v *visit) ([]keptDraft, error) {
	if !v.SignedIn() {
		return nil, nil
	}
	ds, err := p.store.Drafts(c.Request().Context(), v.Actor)
	if err != nil {
		return nil, err
	}
	out := make([]keptDraft, len(ds))
	for i := range ds {
		out[i].Draft = ds[i]
		if ds[i].ID == c.QueryParam("versions") {
			if out[i].Versions, err = p.store.DraftVersions(c.Request().Context(), v.Actor, ds[i].ID); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

// goOn opens a draft that is kept, or one that its owner shares.
func (p *Pages) goOn(c echo.Context, v *visit) error {
	var d *store.Draft
	var err error
	e := &draftView{Open: -1}
	if link := c.QueryParam("shared"); link != "" {
		d, err = p.store.SharedDraft(c.Request().Context(), link)
		e.Said = []message.Message{t("draft.shared")}
	} else {
		version, _ := strconv.Atoi(c.QueryParam("version"))
		if d, err = p.store.Draft(c.Request().Context(), v.Actor, c.QueryParam("draft"), version); err == nil {
			var newest *store.Draft
			if newest, err = p.store.Draft(c.Request().Context(), v.Actor, d.ID, 0); err == nil {
				e.ID, e.KeptAs, e.Kept = d.ID, newest.Digest, d
			}
		}
	}
	if err != nil {
		return err
	}
	if err := e.unpack(d.Document); err != nil {
		return err
	}
	e.Page, _ = strconv.Atoi(c.QueryParam("page"))
	if n, err := strconv.Atoi(c.QueryParam("open")); err == nil && n >= 0 {
		e.Open, e.Page = n, n/rowsShown
	}
	return p.showDraft(c, v, http.StatusOK, e)
}

// openRow is the number of the position that a link asks to be open.
func (p *Pages) openRow(m *board.Map, designator string) int {
	return slices.IndexFunc(m.Positions, func(q board.Position) bool {
		return designator != "" &&
			q.Designator == designator
	})
}

// unpack takes a kept document apart into the map and what is beside it.
func (e *draftView) unpack(doc []byte) error {
	d, err := readDraft(doc)
	if err != nil {
		return err
	}
	var b struct {
		Beside beside `json:"x-draft"`
	}
	b.Beside.Base = store.Unsaid
	_ = json.Unmarshal(doc, &b) // a draft that a tool made has none of it, or something else there
	delete(d.tree, besideMap)
	e.Base, e.Proposal, e.Doubt, e.IfMatch, e.Summary, e.Evidence, e.Photos = b.Beside.Base, b.Beside.Proposal,
		b.Beside.Doubt, b.Beside.IfMatch, b.Beside.Summary, b.Beside.Evidence, b.Beside.Photos
	e.Problems, e.Questions = b.Beside.Problems, b.Beside.Questions
	e.Map, err = d.document()
	return err
}

func (e *draftView) pack() ([]byte, error) {
	d, err := readDraft([]byte(e.Map))
	if err != nil {
		return nil, err
	}
	b, err := json.Marshal(beside{e.Base, e.Proposal, e.Doubt, e.IfMatch, e.Summary, e.Evidence, e.Photos, e.Problems,
		e.Questions}, message.Stored)
	if err != nil {
		return nil, err
	}
	d.tree[besideMap] = jsontext.Value(b)
	doc, err := d.document()
	return []byte(doc), err
}

// beginDraft keeps a draft that was just made and shows it.
func (p *Pages) beginDraft(c echo.Context, v *visit, e *draftView) error {
	e.Open = -1
	if err := p.keepDraft(c, v, e, false); err != nil {
		return p.refuseDraft(c, v, e, err)
	}
	return p.showDraft(c, v, http.StatusOK, e)
}

// keepDraft keeps the draft of who is signed in. Where it was kept elsewhere
// since, in another window perhaps, that is refused unless over says otherwise.
func (p *Pages) keepDraft(c echo.Context, v *visit, e *draftView, over bool) error {
	if !v.SignedIn() {
		return nil
	}
	doc, err := e.pack()
	if err != nil {
		return err
	}
	put := store.DraftPut{Draft: e.ID, Document: doc, IfMatch: e.KeptAs}
	if e.ID == "" {
		put.Draft, put.IfMatch, put.IfNoneMatch = newDraftID(boardOf(e.Map)), "", true
	}
	if over {
		put.IfMatch = ""
	}
	d, _, err := p.store.PutDraft(c.Request().Context(), v.Actor, put)
	if err != nil {
		return err
	}
	e.ID, e.KeptAs, e.Kept = put.Draft, d.Digest, d
	return nil
}

var idParts = regexp.MustCompile(`[a-z0-9]+`)

// newDraftID is a name that no other draft of the account has.
func newDraftID(board string) string {
	var b [4]byte
	_, _ = rand.Read(b[:]) // never fails, by its documentation
	const room = 50        // of the 64 characters of an ID
	name := strings.Join(append(idParts.FindAllString(strings.ToLower(board), -1), hex.EncodeToString(b[:])), "-")
	return strings.TrimLeft(name[max(0, len(name)-room):], "-")
}

// dropDraft forgets the draft of what was submitted. One that stays is no harm.
func (p *Pages) dropDraft(c echo.Context, v *visit, e *draftView) {
	if e.ID != "" {
		_ = p.store.DeleteDraft(c.Request().Context(), v.Actor, e.ID)
	}
}

// keptAnswer is what the script learns when it has kept a draft.
type keptAnswer struct {
	Draft    string `json:"draft"`
	Kept     string `json:"kept"` // digest
	At       string `json:"at"`
	Refused  string `json:"refused,omitzero"`
	Findings []told `json:"findings"`
	Wants    []told `json:"wants"`
	Top      any    `json:"top"`
	Bottom   any    `json:"bottom"`
}

// told is a sentence with the row that it is about, -1 for none.
type told struct {
	Row      int    `json:"row"`
	Severity string `json:"severity"`
	Where    string `json:"where"`
	Text     string `json:"text"`
}

// lookDraft keeps the draft and answers what is to be said of it, for the script.
func (p *Pages) lookDraft(c echo.Context, v *visit, e *draftView) error {
	in := languageOf(c)
	a := keptAnswer{Findings: []told{}, Wants: []told{}}
	if err := p.keepDraft(c, v, e, c.FormValue("over") != ""); err != nil {
		f, ok := fault.As(err)
		if !ok {
			return err
		}
		a.Refused = in.Speak(f.Detail)
	}
	if e.Kept != nil {
		a.Draft, a.Kept, a.At = e.ID, e.KeptAs, e.Kept.SavedAt.UTC().Format("15:04")
	}
	if err := p.judgeDraft(c, e); err != nil {
		return err
	}
	for _, f := range e.Findings {
		a.Findings = append(a.Findings, told{f.row(), string(f.Severity), in.Speak(f.Where), in.Speak(f.Sentence)})
	}
	for _, w := range e.Wants {
		a.Wants = append(a.Wants, told{-1, map[bool]string{true: "done", false: "open"}[w.Done()], w.Code,
			in.Speak(wantText(w))})
	}
	a.Top, a.Bottom = e.Top, e.Bottom
	return sendJSON(c, a)
}

// placedFinding is a finding with its place in words.
type placedFinding struct {
	finding.Finding
	Where message.Message
}

// row is the number of the position that the finding is about, -1 for none.
func (f *placedFinding) row() int {
	rest, ok := strings.CutPrefix(f.Pointer, "/positions/")
	n, err := strconv.Atoi(strings.SplitN(rest, "/", 2)[0])
	if !ok || err != nil {
		return -1
	}
	return n
}

// placeOf says in words where a pointer into the map leads: which row, which
// column.
func (d *draft) placeOf(pointer string) message.Message {
	steps := strings.Split(strings.TrimPrefix(pointer, "/"), "/")
	if pointer == "" || steps[0] == "" {
		return message.Message{}
	}
	form, at, rest := ofMap, message.Message{}, steps
	if n, err := strconv.Atoi(strings.Join(steps[min(1, len(steps)):min(2, len(steps))], "")); err == nil &&
		draftMembers()[steps[0]] != nil {
		form, rest = steps[0], steps[2:]
		o := object(asList(d.tree[form]), n)
		at = t("list.one."+form, itemName(o, n))
		if form == ofPosition {
			at = t("list.one.positions", n+1, textAt(o, "designator"))
		}
		if form == ofVariant && len(rest) > 1 && rest[0] == ofChange {
			k, _ := strconv.Atoi(rest[1])
			at = titled(at, t("list.one.changes", itemName(object(asList(o["changes"]), k), k)))
			form, rest = ofChange, rest[2:]
		}
	}
	for n := len(rest); n > 0; n-- { // a list's item is told by the list
		if m := memberOf(form, strings.Join(rest[:n], ".")); m != nil {
			if at.IsZero() {
				return m.Label()
			}
			return titled(at, m.Label())
		}
	}
	return at
}

// bringPhotos keeps the photographs that came with the form, so that a form that
// is refused for something else need not bring them again.
func (p *Pages) bringPhotos(c echo.Context, v *visit, e *draftView) error {
	sums, shown := c.Request().PostForm["photo.sha256"], c.Request().PostForm["photo.shown"]
	for i, s := range sums {
		if review.IsSHA256(s) && i < len(shown) && c.FormValue("photo.gone."+s) == "" {
			e.Photos = append(e.Photos, evidencePhoto{s, shown[i]})
		}
	}
	if c.Request().MultipartForm == nil || !v.SignedIn() {
		return nil
	}
	names, err := p.keepPhotographs(c, v, "photo")
	for _, sum := range names {
		e.Photos = append(e.Photos, evidencePhoto{sum, strings.TrimSpace(c.FormValue("photo.of"))})
	}
	return err
}

// readTold takes what was asked and told at an import from form to form.
func (e *draftView) readTold(c echo.Context) {
	_ = json.Unmarshal([]byte(c.FormValue("problems")),
		&e.Problems) // the page's own; what is not read is asked no more
	_ = json.Unmarshal([]byte(c.FormValue("questions")), &e.Questions)
}

// Told are the problems and questions as the form carries them on.
func (e *draftView) Told(what string) string {
	var b []byte
	if what == "questions" {
		b, _ = json.Marshal(e.Questions, message.Stored)
	} else {
		b, _ = json.Marshal(e.Problems, message.Stored)
	}
	return string(b)
}

// forPositions is the beginning of an item of evidence that says which
// positions it is for.
var forPositions = regexp.MustCompile(`^([A-Za-z0-9_.,;–\- ]{1,300}):\s*(.+)$`)

// evidence makes one item of each line, which may begin with the positions that
// it is for, and one of each photograph.
func (e *draftView) evidence() (jsontext.Value, error) {
	items := append([]review.Evidence{}, e.Had...)
	var known map[string]bool
	if d, err := readDraft([]byte(e.Map)); err == nil {
		known = set(d.designators())
	}
	for line := range strings.Lines(e.Evidence) {
		if len(items) > review.MaxEvidence {
			known = nil // it is refused for their number
		}
		if line = strings.TrimSpace(line); line != "" {
			items = append(items, item(line, known))
		}
	}
	for _, ph := range e.Photos {
		names, _ := list.Designators(ph.Designators)
		items = append(items, review.Evidence{Text: t("contribute.photo.text").String(), Designators: names,
			Photographs: []string{ph.SHA256}})
	}
	return json.Marshal(items)
}

// item is one line's, which begins with positions that are known, or with none.
func item(line string, known map[string]bool) review.Evidence {
	if w := forPositions.FindStringSubmatch(line); w != nil {
		names, _ := list.Designators(w[1])
		if len(names) > 0 && !slices.ContainsFunc(names, func(n string) bool { return !known[n] }) {
			return review.Evidence{Text: w[2], Designators: names}
		}
	}
	return review.Evidence{Text: line}
}
