package pages

import (
	"cmp"
	"context"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"boardlore/domain/board"
	"boardlore/domain/drawing"
	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/domain/review"
	"boardlore/store"
)

// maxQueued bounds how many open proposals the desk shows.
const maxQueued = 100

// queued is an open proposal on the desk.
type queued struct {
	*store.Proposal
	Standing  review.Standing
	Conflicts int
	Unjudged  bool // it takes its turn when the page is loaded again
	Own       bool
}

type deskView struct {
	Queue     []queued
	Truncated bool
	Closed    []store.Proposal // newest first
	Doubts    []openDoubt      // oldest first
}

// desk lists the open proposals: hazardous ones first, then the oldest.
func (p *Pages) desk(c echo.Context, v *visit) error {
	ctx := c.Request().Context()
	open, err := p.store.Proposals(ctx, store.ProposalFilter{State: store.AnyOpen, Page: store.Page{Limit: maxQueued}})
	if err != nil {
		return err
	}
	d := deskView{Truncated: open.Next != ""}
	judged, err := p.judgements(ctx, open.Items)
	if err != nil {
		return err
	}
	for i := range open.Items {
		x := &open.Items[i]
		d.Queue = append(d.Queue, queued{Proposal: x, Standing: judged[i].standing, Conflicts: judged[i].conflicts,
			Unjudged: judged[i].event < 0,
			Own:      v.SignedIn() && x.AuthorID == v.Actor.ID})
	}
	first := func(q queued) bool { return q.Standing.Hazardous || q.Unjudged }
	slices.SortStableFunc(d.Queue, func(a, b queued) int {
		if first(a) != first(b) {
			return map[bool]int{true: -1, false: 1}[first(a)]
		}
		return cmp.Or(a.SubmittedAt.Compare(b.SubmittedAt), cmp.Compare(a.ID, b.ID))
	})
	if d.Closed, err = p.closed(c); err != nil {
		return err
	}
	doubted, err := p.store.OpenDoubts(ctx, maxDoubted)
	if err != nil {
		return err
	}
	for _, x := range doubted {
		d.Doubts = append(d.Doubts, openDoubt{x, mayAnswer(v, &x)})
	}
	return p.render(c, http.StatusOK, "desk", view{Title: t("desk.title"), Nav: "desk", Notice: doubtNotice(c),
		JSON: "/v1/proposals?state=open", Visit: v, Body: d})
}

// judgement is how a proposal stood at an event; event -1 where nobody has judged it yet.
type judgement struct {
	event     int64
	standing  review.Standing
	conflicts int
}

// deskTime is how long one visit of the desk may judge proposals. What it has
// judged is kept, so that the next visit goes on from there.
const deskTime = 700 * time.Millisecond

// judgements is how each of the listed proposals stands. To judge a large one takes a
// third of a second, and it stands as it did until something happens to it.
func (p *Pages) judgements(ctx context.Context, list []store.Proposal) ([]judgement, error) {
	events, err := p.store.LastEvents(ctx, list)
	if err != nil {
		return nil, err
	}
	p.deskMu.Lock()
	defer p.deskMu.Unlock()
	began, known, out := time.Now(), p.deskKnown, make([]judgement, len(list))
	p.deskKnown = make(map[int64]judgement, len(list))
	for i := range list {
		id := list[i].ID
		j, ok := known[id]
		if ok && j.event == events[id] {
			out[i], p.deskKnown[id] = j, j
			continue
		}
		if time.Since(began) > deskTime {
			out[i].event = -1
			continue
		}
		whole, err := p.store.Proposal(ctx, id)
		if err != nil {
			return nil, err
		}
		out[i] = judgement{events[id], whole.Standing, len(whole.Conflicts)}
		p.deskKnown[id] = out[i]
	}
	return out, nil
}

// closed is the last few proposals that were closed.
func (p *Pages) closed(c echo.Context) ([]store.Proposal, error) {
	const few = 10
	all, err := p.store.Proposals(c.Request().Context(), store.ProposalFilter{Page: store.Page{Limit: maxQueued}})
	if err != nil {
		return nil, err
	}
	ps := slices.DeleteFunc(all.Items, func(x store.Proposal) bool { return x.State.Open() })
	return ps[:min(few, len(ps))], nil
}

type proposalView struct {
	*store.Detail
	comparison
	New       bool // there is no base to compare with
	NewTop    any  // the drawing of a new board's sides
	NewBottom any
	Cautions  []caution
	Hazards   []hazardShown
	First     []board.Claim // told in full: hazards, what safety hangs on, odd ones out
	Others    []board.Claim
	places    map[string]string // designator → its address on the drawing
	Checklist *review.Checklist
	Touched   []string // designators that the remarks may be about

	Own                                                  bool
	MayReview, MayRelease, MayDecline, MayWithdraw, Open bool
	MayAnswer                                            bool
	Blanks                                               []int // rows for remarks
	Filled                                               reviewForm
	Refusal                                              *fault.Error
	Clashes                                              []store.Conflict
}

// blankRemarks is how many empty rows for remarks a form has, and gets more of.
const blankRemarks = 3

// reviewForm is what a reviewer typed, shown again when it is refused.
type reviewForm struct {
	Verdict, Summary string
	Remarks          []review.Remark
	Ticked           []string          // positions that were looked at, a claim's together
	Saw              map[string]string // position with a hazard → on what it was seen
	More             int               // blank rows for remarks beyond the few
	On               string            // what they were looked at on
}

// proposal shows one proposal to whoever reviews it.
func (p *Pages) proposal(c echo.Context, v *visit) error {
	return p.showProposal(c, v, http.StatusOK, reviewForm{}, nil)
}

func (p *Pages) showProposal(c echo.Context, v *visit, status int, filled reviewForm, refusal *fault.Error) error {
	id, err := proposalID(c)
	if err != nil {
		return err
	}
	d, err := p.store.Proposal(c.Request().Context(), id)
	if err != nil {
		return err
	}
	pv := proposalView{Detail: d, Filled: filled, places: map[string]string{}, Refusal: refusal, Open: d.State.Open()}
	if refusal != nil {
		pv.Clashes, _ = refusal.Data.([]store.Conflict)
	}
	for i := range blankRemarks + filled.More {
		pv.Blanks = append(pv.Blanks, i)
	}
	in := languageOf(c)
	pv.overlay(in)
	pv.gatherHazards()
	p.cutouts(c.Request().Context(), &pv, in)
	pv.First, pv.Others = ofClaims(d.Claims)
	pv.Cautions = cautionsOf(d.Map, pv.touched()...)
	if pv.Checklist, err = p.store.ChecklistOf(c.Request().Context(), d); err != nil {
		return err
	}
	if pv.New {
		pv.Checklist.Positions = nil // all of them are new; the claims tell what each is
	}
	pv.allow(v)
	var notice message.Message
	if k := c.QueryParam("done"); oneOf(k, "submitted", "amended", "unchanged", "reviewed", "answered", "released",
		"declined", "withdrawn") != "" {
		notice = t("done." + k)
	}
	return p.render(c, status, "proposal", view{Title: titled(t("proposal.title", id), d.Title), Nav: "desk",
		Wide: true, Extra: "review", Visit: v, Notice: notice,
		JSON: "/v1/proposals/" + strconv.FormatInt(id, 10), Body: &pv})
}

// overlay draws the proposed map over what it would follow.
func (pv *proposalView) overlay(in *message.Language) {
	o := drawing.Options{In: in, Digest: pv.Digest, Date: date(pv.ChangedAt)}
	from, d := pv.Current, pv.FromCurrent
	if from == nil || d == nil {
		from, d = pv.BaseRevision, pv.FromBase
	}
	if from == nil || d == nil {
		pv.New = true
		pv.NewTop, pv.NewBottom = sides(pv.Map, o)
		pv.find(pv.NewTop, pv.NewBottom)
		for i := range pv.Map.Positions {
			pv.Touched = append(pv.Touched, pv.Map.Positions[i].Designator)
		}
		return
	}
	pv.comparison = compare(from.Map, pv.Map, d, o)
	pv.find(pv.Top, pv.Bottom)
	for _, c := range d.Changes {
		if c.Designator != "" && !slices.Contains(pv.Touched, c.Designator) {
			pv.Touched = append(pv.Touched, c.Designator)
		}
	}
	slices.SortFunc(pv.Touched, board.CompareDesignators)
}

// touched are the positions of the proposed map that it changes; none for a
// new board, where all of them are new.
func (pv *proposalView) touched() []string {
	if pv.New {
		return nil
	}
	var ds []string
	for i := range pv.Map.Positions {
		if d := pv.Map.Positions[i].Designator; slices.Contains(pv.Touched, d) {
			ds = append(ds, d)
		}
	}
	return ds
}

// sides draws both sides of a map, those that have parts.
func sides(m *board.Map, o drawing.Options) (top, bottom any) {
	draw := func(side board.Side) any {
		if side == board.Bottom && !populated(m, side) {
			return nil
		}
		o.Side, o.Prefix = side, string(side)
		return inline(drawing.Board(m, o))
	}
	return draw(board.Top), draw(board.Bottom)
}

// allow works out which forms the visitor is shown; the acts judge anew.
func (pv *proposalView) allow(v *visit) {
	pv.Own = v.SignedIn() && pv.AuthorID == v.Actor.ID
	may := func(a review.Act) bool { return review.Allowed(a, v.Actor.Role, pv.Own, pv.State) == nil }
	pv.MayReview, pv.MayRelease, pv.MayDecline, pv.MayWithdraw = may(review.Examine), may(review.Release),
		may(review.Decline), may(review.Withdraw)
	pv.MayAnswer = may(review.Answer)
}

// review gives a verdict.
func (p *Pages) review(c echo.Context, v *visit) error {
	id, err := proposalID(c)
	if err != nil {
		return err
	}
	r := c.Request()
	f := reviewForm{Verdict: r.PostFormValue("verdict"), Summary: strings.TrimSpace(r.PostFormValue("summary"))}
	ds, texts := r.PostForm["remark_designator"], r.PostForm["remark_text"]
	for i := range min(len(ds), len(texts)) {
		if k := (review.Remark{Designator: strings.TrimSpace(ds[i]), Text: strings.TrimSpace(texts[i])}); k.Designator+
			k.Text != "" {
			f.Remarks = append(f.Remarks, k)
		}
	}
	f.Ticked, f.On, f.Saw = r.PostForm["seen"], oneOf(r.PostFormValue("seen_on"), "board", "photograph", "document"),
		saw(r.PostForm)
	if r.PostFormValue("act") == "more" {
		f.More = blankRemarks
		return p.showProposal(c, v, http.StatusOK, f, nil)
	}
	_, err = p.store.Review(r.Context(), v.Actor, store.Verdict{Proposal: id, Verdict: f.Verdict, Summary: f.Summary,
		Remarks: f.Remarks,
		Seen:    f.seenAll(), IfMatch: r.PostFormValue("digest")})
	return p.acted(c, v, id, "reviewed", f, err)
}

func (p *Pages) release(c echo.Context, v *visit) error {
	return p.decide(c, v, "released", p.store.Release)
}

func (p *Pages) decline(c echo.Context, v *visit) error {
	return p.decide(c, v, "declined", p.store.Decline)
}

func (p *Pages) withdraw(c echo.Context, v *visit) error {
	return p.decide(c, v, "withdrawn", p.store.Withdraw)
}

// answerReview says something to a review, as the author or a reviewer.
func (p *Pages) answerReview(c echo.Context, v *visit) error {
	id, err := proposalID(c)
	if err != nil {
		return err
	}
	r := c.Request()
	to, err := strconv.ParseInt(r.PostFormValue("review"), 10, 64)
	if err != nil {
		return fault.New(fault.NotFound, "review-unknown", "page.review.unknown")
	}
	_, err = p.store.Answer(r.Context(), v.Actor, store.Answering{Proposal: id, Review: to,
		Text: strings.TrimSpace(r.PostFormValue("text"))})
	return p.acted(c, v, id, "answered", reviewForm{}, err)
}

// acted goes back to the proposal after an act, or shows why it was refused
// beside what was typed.
func (p *Pages) acted(c echo.Context, v *visit, id int64, done string, f reviewForm, err error) error {
	if err == nil {
		return c.Redirect(http.StatusSeeOther, "/proposals/"+strconv.FormatInt(id, 10)+"?done="+done)
	}
	status, ok := refused(err)
	if !ok {
		return err
	}
	why, _ := fault.As(err)
	return p.showProposal(c, v, status, f, why)
}

// refused tells the status of refusals that a person can put right on the
// same page.
func refused(err error) (int, bool) {
	switch {
	case fault.Is(err, fault.Invalid):
		return http.StatusUnprocessableEntity, true
	case fault.Is(err, fault.Conflict):
		return http.StatusConflict, true
	case fault.Is(err, fault.Unconditional):
		return http.StatusPreconditionRequired, true
	case fault.Is(err, fault.Stale):
		return http.StatusPreconditionFailed, true
	}
	return 0, false
}

// decide releases, declines or withdraws.
func (p *Pages) decide(c echo.Context, v *visit, done string, act func(context.Context, store.Actor,
	store.Decision) (store.Receipt, error)) error {
	id, err := proposalID(c)
	if err != nil {
		return err
	}
	r := c.Request()
	_, err = act(r.Context(), v.Actor, store.Decision{Proposal: id,
		Reason: strings.TrimSpace(r.PostFormValue("reason")), IfMatch: r.PostFormValue("digest")})
	return p.acted(c, v, id, done, reviewForm{}, err)
}
