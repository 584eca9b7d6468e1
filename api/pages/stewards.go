package pages

import (
	"context"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"boardlore/domain/fault"
	"boardlore/domain/review"
	"boardlore/store"
)

// stewardsView is the page from which stewards act.
type stewardsView struct {
	Accounts    []store.Account
	Invitations []store.Invitation
	Open        bool // people join without an invitation
	Acts        []store.Event
	Growth      store.Growth
	Suspended   []store.Proposal
	Objections  []store.Objection
	Doubts      []openDoubt
	Joined      []store.Event // accounts that people made themselves, newest first
	Link        string        // an invitation's, shown once
	Refusal     *fault.Error
}

func needSteward(v *visit) error {
	if err := needAccount(v); err != nil {
		return err
	}
	if v.Actor.Role.AtLeast(review.Steward) {
		return nil
	}
	return fault.New(fault.NotAllowed, "role-needed", "page.stewards.only")
}

func (p *Pages) stewards(c echo.Context, v *visit) error {
	return p.showStewards(c, v, http.StatusOK, stewardsView{})
}

func (p *Pages) showStewards(c echo.Context, v *visit, status int, s stewardsView) error {
	if err := needSteward(v); err != nil {
		return err
	}
	ctx := c.Request().Context()
	var err error
	if s.Accounts, err = p.store.Accounts(ctx); err != nil {
		return err
	}
	if s.Invitations, err = p.store.Invitations(ctx); err != nil {
		return err
	}
	if s.Open, err = p.store.SignUpOpen(ctx); err != nil {
		return err
	}
	if err := p.watched(ctx, v, &s); err != nil {
		return err
	}
	c.Response().Header().Set("Cache-Control", "no-store")
	return p.render(c, status, "stewards", view{Title: t("stewards.title"), Nav: "desk", JSON: "/v1/acts", Wide: true,
		Visit: v, Body: s})
}

// maxListed bounds each list of the stewards' page.
const maxListed = 50

// watched gathers what stewards keep an eye on.
func (p *Pages) watched(ctx context.Context, v *visit, s *stewardsView) (err error) {
	if s.Growth, err = p.store.Growth(ctx); err != nil {
		return err
	}
	if s.Suspended, err = p.store.Suspended(ctx, maxListed); err != nil {
		return err
	}
	if s.Objections, err = p.store.Objections(ctx, maxListed); err != nil {
		return err
	}
	doubted, err := p.store.OpenDoubts(ctx, maxListed)
	if err != nil {
		return err
	}
	for _, x := range doubted {
		s.Doubts = append(s.Doubts, openDoubt{x, mayAnswer(v, &x)})
	}
	joined, err := p.store.Events(ctx, store.EventFilter{What: []string{"account-joined"}, Accounts: true, Newest: true,
		Page: store.Page{Limit: maxListed}})
	if err != nil {
		return err
	}
	s.Joined = joined.Items
	acts, err := p.store.Events(ctx, store.EventFilter{Acts: true, Newest: true, Page: store.Page{Limit: maxListed}})
	s.Acts = acts.Items
	return err
}

// bytesOf is a number of bytes as people say it, to three digits.
func bytesOf(n int64) string {
	x, units := float64(n), []string{"B", "kB", "MB", "GB", "TB"}
	for x >= 999.5 && len(units) > 1 {
		x, units = x/1000, units[1:]
	}
	return strconv.FormatFloat(x, 'g', 3, 64) + " " + units[0]
}

// stewardForm does one act of a steward.
func (p *Pages) stewardForm(c echo.Context, v *visit) error {
	if err := needSteward(v); err != nil {
		return err
	}
	link, err := p.stewardAct(c, v)
	if status, ok := refused(err); ok || fault.Is(err, fault.NotFound) {
		why, _ := fault.As(err)
		if !ok {
			status = http.StatusNotFound
		}
		return p.showStewards(c, v, status, stewardsView{Refusal: why})
	}
	if err != nil {
		return err
	}
	if link != "" {
		return p.showStewards(c, v, http.StatusOK, stewardsView{Link: link})
	}
	return c.Redirect(http.StatusSeeOther, "/desk/stewards")
}

// here is the server's address as the visitor sees it.
func (p *Pages) here(c echo.Context) string {
	if p.public != "" {
		return p.public
	}
	if p.secure || c.IsTLS() {
		return "https://" + c.Request().Host
	}
	return "http://" + c.Request().Host
}

// stewardAct does what a form of the page asks for; link is that of an
// invitation, which is shown once.
func (p *Pages) stewardAct(c echo.Context, v *visit) (link string, err error) {
	ctx, why := c.Request().Context(), strings.TrimSpace(c.FormValue("reason"))
	number, _ := strconv.ParseInt(c.FormValue("number"), 10, 64)
	board := strings.TrimSpace(c.FormValue("board"))
	grounds := store.Withdrawal{Kind: c.FormValue("kind"), Reason: why}
	onAccount := func(act func(context.Context, store.Actor, int64, string) (store.Receipt, error)) error {
		_, err := act(ctx, v.Actor, number, why)
		return err
	}
	switch c.FormValue("act") {
	case "disable":
		return "", onAccount(p.store.Disable)
	case "enable":
		return "", onAccount(p.store.Enable)
	case "role":
		_, err = p.store.SetRole(ctx, v.Actor, number, review.Role(c.FormValue("role")), why)
	case "withdraw-revision":
		_, err = p.store.WithdrawRevision(ctx, v.Actor, board, int(number), grounds, store.Once{})
	case "withdraw-photograph":
		_, err = p.store.WithdrawPhotograph(ctx, v.Actor, strings.TrimSpace(c.FormValue("sha256")), grounds,
			store.Once{})
	case "withdraw-record":
		_, err = p.store.WithdrawRecord(ctx, v.Actor, number, grounds, store.Once{})
	case "set-aside":
		proposal, _ := strconv.ParseInt(c.FormValue("proposal"), 10, 64)
		_, err = p.store.SetAside(ctx, v.Actor, store.SettingAside{Proposal: proposal, Review: number, Reason: why})
	case "move":
		_, err = p.store.Move(ctx, v.Actor, board, strings.TrimSpace(c.FormValue("to")), why, store.Once{})
	case "invite":
		uses, _ := strconv.Atoi(c.FormValue("uses"))
		days, _ := strconv.Atoi(c.FormValue("days"))
		_, link, err = p.store.Invite(ctx, v.Actor, review.Role(c.FormValue("role")), uses,
			time.Duration(days)*24*time.Hour, why)
		return p.here(c) + "/join?invitation=" + link, err
	case "link":
		_, link, err = p.store.SignInLink(ctx, v.Actor, number, why)
		return p.here(c) + "/sign-in?link=" + link, err
	case "end-invitation":
		err = p.store.EndInvitation(ctx, v.Actor, number)
	case "sign-up":
		_, err = p.store.SetSignUp(ctx, v.Actor, c.FormValue("open") == "yes", why)
	default:
		err = fault.New(fault.Malformed, "form-unreadable", "page.form.unreadable")
	}
	return "", err
}
