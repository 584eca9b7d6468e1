package pages

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/domain/photograph"
	"boardlore/domain/review"
	"boardlore/store"
)

// doubts is what readers think is wrong with a board, or with one position of
// it, and the form by which the next one says so.
type doubts struct {
	Visit      *visit
	Board      string
	Revision   int
	Designator string // of a position's page; "" for the board's
	Open       []openDoubt
}

// openDoubt is a doubt that nobody answered yet.
type openDoubt struct {
	store.Doubt
	MayAnswer bool
}

// doubtForm is a doubt with the forms of whoever may do something about it.
type doubtForm struct {
	Visit *visit
	Doubt *openDoubt
	Back  string // "desk" where it is shown there
}

// Correct leads to a correction of what is doubted, which begins with it.
func (d *openDoubt) Correct() string {
	return query("/contribute", "board", d.Board, "doubt", strconv.FormatInt(d.ID, 10), "open", d.Designator)
}

// Position leads to the position that is doubted.
func (d *openDoubt) Position() string {
	return "/boards/" + d.Board + "/positions/" + url.PathEscape(d.Designator)
}

// maxDoubted bounds how many doubts a page shows.
const maxDoubted = 50

// doubtsAbout are the open doubts about a board, or about one of its positions.
func (p *Pages) doubtsAbout(c echo.Context, v *visit, b *boardPage, designator string) (*doubts, error) {
	d := &doubts{Visit: v, Board: b.Board.ID, Revision: b.Revision.Number, Designator: designator}
	list, err := p.store.Doubts(c.Request().Context(), d.Board, true, store.Page{Limit: maxDoubted})
	if err != nil {
		return nil, err
	}
	for _, x := range list.Items {
		if designator == "" || x.Designator == designator {
			d.Open = append(d.Open, openDoubt{x, mayAnswer(v, &x)})
		}
	}
	return d, nil
}

// mayAnswer tells who is shown the form; the act judges anew.
func mayAnswer(v *visit, d *store.Doubt) bool {
	return v.Actor.Role.AtLeast(review.Reviewer) || v.SignedIn() && v.Actor.Name == d.Author
}

// doubtNotice is what a page says after an act on a doubt.
func doubtNotice(c echo.Context) message.Message {
	if k := oneOf(c.QueryParam("done"), "doubted", "answered"); k != "" {
		return t("done." + k)
	}
	return message.Message{}
}

// raiseDoubt takes what a reader thinks is wrong.
func (p *Pages) raiseDoubt(c echo.Context, v *visit) error {
	r := c.Request()
	in := store.DoubtOf{Board: param(c, "board"), Designator: strings.TrimSpace(r.PostFormValue("designator")),
		Text: strings.TrimSpace(r.PostFormValue("text"))}
	in.Revision, _ = strconv.Atoi(r.PostFormValue("revision"))
	var err error
	if v.SignedIn() {
		if in.Photographs, err = p.keepPhotographs(c, v, "photo"); err != nil {
			return err
		}
	}
	if _, err := p.store.Raise(r.Context(), v.Actor, in); err != nil {
		return err
	}
	return c.Redirect(http.StatusSeeOther, doubtPage(in.Board, in.Designator, "doubted"))
}

// doubtPage is where a doubt is shown.
func doubtPage(board, designator, done string) string {
	path := "/boards/" + url.PathEscape(board)
	if designator != "" {
		path += "/positions/" + url.PathEscape(designator)
	}
	return query(path, "done", done) + "#doubts"
}

// answerDoubt ends a doubt.
func (p *Pages) answerDoubt(c echo.Context, v *visit) error {
	id, err := strconv.ParseInt(c.Param("id"), 10, 64)
	if err != nil {
		return fault.New(fault.NotFound, "doubt-unknown", "page.doubt.unknown")
	}
	r := c.Request()
	in := store.DoubtAnswer{Board: param(c, "board"), Doubt: id, Text: strings.TrimSpace(r.PostFormValue("text"))}
	if _, err := p.store.AnswerDoubt(r.Context(), v.Actor, in); err != nil {
		return err
	}
	switch r.PostFormValue("back") {
	case "desk":
		return c.Redirect(http.StatusSeeOther, "/desk?done=answered#doubts")
	case "stewards":
		return c.Redirect(http.StatusSeeOther, "/desk/stewards#doubts")
	}
	return c.Redirect(http.StatusSeeOther, doubtPage(in.Board, r.PostFormValue("designator"), "answered"))
}

// keepPhotographs keeps every photograph of a form's field and names them.
func (p *Pages) keepPhotographs(c echo.Context, v *visit, field string) ([]string, error) {
	pictures, err := uploads(c, field, photograph.MaxBytes)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, picture := range pictures {
		kept, _, err := p.store.PutPhotograph(c.Request().Context(), v.Actor, picture)
		if err != nil {
			return names, fmt.Errorf("keep a photograph: %w", err)
		}
		if !slices.Contains(names, kept.SHA256) {
			names = append(names, kept.SHA256)
		}
	}
	return names, nil
}

// beginByDoubt takes what is doubted as what a correction is to say.
func (p *Pages) beginByDoubt(c echo.Context, e *draftView, boardID string) error {
	id, err := strconv.ParseInt(c.QueryParam("doubt"), 10, 64)
	if err != nil {
		return nil // a correction of its own
	}
	d, err := p.store.OpenDoubt(c.Request().Context(), boardID, id)
	if err != nil {
		return err
	}
	text := d.Text
	if d.Designator != "" {
		text = d.Designator + ": " + d.Text
	}
	e.Doubt, e.Evidence = d.ID, text
	e.Summary = languageOf(c).Speak(t("doubt.summary", d.ID, text))
	return nil
}

// settle answers the doubt that a submission began with, where its author may;
// else the summary names it, and a reviewer answers.
func (p *Pages) settle(c echo.Context, v *visit, e *draftView, r store.Receipt) {
	if e.Doubt == 0 {
		return
	}
	// What was submitted is submitted, whether or not the doubt could be answered.
	_, _ = p.store.AnswerDoubt(c.Request().Context(), v.Actor, store.DoubtAnswer{Board: r.Board, Doubt: e.Doubt,
		Proposal: r.Proposal, Text: t("doubt.settled", r.Proposal).String()})
}
