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
	Link        string // an invitation's, shown once
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
	acts, err := p.store.Events(ctx, store.EventFilter{Acts: true, Newest: true, Page: store.Page{Limit: 50}})
	if err != nil {
		return err
	}
	s.Acts = acts.Items
	c.Response().Header().Set("Cache-Control", "no-store")
	return p.render(c, status, "stewards", view{Title: t("stewards.title"), Nav: "desk", JSON: "/v1/acts", Wide: true, Visit: v, Body: s})
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
		_, err = p.store.WithdrawPhotograph(ctx, v.Actor, strings.TrimSpace(c.FormValue("sha256")), grounds, store.Once{})
	case "move":
		_, err = p.store.Move(ctx, v.Actor, board, strings.TrimSpace(c.FormValue("to")), why, store.Once{})
	case "invite":
		uses, _ := strconv.Atoi(c.FormValue("uses"))
		days, _ := strconv.Atoi(c.FormValue("days"))
		_, link, err = p.store.Invite(ctx, v.Actor, review.Role(c.FormValue("role")), uses, time.Duration(days)*24*time.Hour, why)
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
