package pages

import (
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"boardlore/api"
	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/store"
)

// accountView is the page on which a person keeps what they sign in with.
type accountView struct {
	Tokens   []store.Token
	Sessions []store.Session
	Accepted bool
	Terms    message.Message
	Made     string // a token's secret, shown once
	Refusal  *fault.Error
	Steward  bool
	Keys     []store.Passkey
	Passkeys bool      // browsers have them at this address
	Passkey  *ceremony // begun
}

// needAccount refuses a visitor who is not signed in.
func needAccount(v *visit) error {
	if v.SignedIn() {
		return nil
	}
	return fault.New(fault.Unauthenticated, "token-needed", "page.account.signin")
}

func (p *Pages) account(c echo.Context, v *visit) error {
	return p.showAccount(c, v, http.StatusOK, accountView{})
}

func (p *Pages) showAccount(c echo.Context, v *visit, status int, a accountView) error {
	if err := needAccount(v); err != nil {
		return err
	}
	ctx := c.Request().Context()
	var err error
	if a.Tokens, err = p.store.Tokens(ctx, v.Actor); err != nil {
		return err
	}
	if a.Sessions, err = p.store.Sessions(ctx, v.Actor, v.secret); err != nil {
		return err
	}
	if a.Accepted, err = p.store.Accepted(ctx, v.Actor); err != nil {
		return err
	}
	if a.Keys, err = p.store.Passkeys(ctx, v.Actor.ID); err != nil {
		return err
	}
	a.Passkeys = p.secureContext(c)
	a.Terms, a.Steward = api.Terms, v.Actor.Role == "steward"
	c.Response().Header().Set("Cache-Control", "no-store")
	return p.render(c, status, "account", view{Title: t("account.title"), Nav: "account", JSON: "/v1/account", Visit: v,
		Body: a})
}

// accountForm makes and ends what the account signs in with.
func (p *Pages) accountForm(c echo.Context, v *visit) error {
	if err := needAccount(v); err != nil {
		return err
	}
	ctx := c.Request().Context()
	number, _ := strconv.ParseInt(c.FormValue("number"), 10, 64)
	var err error
	switch c.FormValue("act") {
	case "make":
		days, _ := strconv.Atoi(c.FormValue("days"))
		var a accountView
		_, a.Made, err = p.store.MakeToken(ctx, v.Actor, strings.TrimSpace(c.FormValue("name")), c.FormValue("scope"),
			time.Duration(days)*24*time.Hour)
		if err == nil {
			return p.showAccount(c, v, http.StatusOK, a)
		}
	case "passkey":
		if c.FormValue("response") != "" {
			err = p.keepPasskey(c, v)
			break
		}
		var a accountView
		if a.Passkey, err = p.makePasskey(c, v); err == nil {
			return p.showAccount(c, v, http.StatusOK, a)
		}
	case "forget":
		err = p.store.EndPasskey(ctx, v.Actor, passkeyFrom(c.FormValue("passkey")))
	case "revoke":
		err = p.store.EndToken(ctx, v.Actor, number)
	case "end":
		err = p.store.EndSession(ctx, v.Actor, number)
	case "accept":
		err = p.store.Accept(ctx, v.Actor)
	default:
		err = fault.New(fault.Malformed, "form-unreadable", "page.form.unreadable")
	}
	if status, ok := refused(err); ok {
		why, _ := fault.As(err)
		return p.showAccount(c, v, status, accountView{Refusal: why})
	}
	if err != nil && !fault.Is(err, fault.NotFound) { // gone already is as good
		return err
	}
	return c.Redirect(http.StatusSeeOther, "/account")
}

// joinView is the page on which somebody gets an account.
type joinView struct {
	Invitation string // the link's secret
	By         *store.Invitation
	Open       bool
	Terms      message.Message
	Name       string
	Refusal    *fault.Error
}

func (p *Pages) join(c echo.Context, v *visit) error {
	return p.showJoin(c, v, http.StatusOK, joinView{Invitation: c.QueryParam("invitation")})
}

func (p *Pages) showJoin(c echo.Context, v *visit, status int, j joinView) error {
	ctx := c.Request().Context()
	j.Terms = api.Terms
	var err error
	if j.Open, err = p.store.SignUpOpen(ctx); err != nil {
		return err
	}
	if j.Invitation != "" {
		in, err := p.store.Invited(ctx, j.Invitation)
		if err != nil {
			return err
		}
		j.By = &in
	}
	return p.render(c, status, "join", view{Title: t("join.title"), Nav: "sign-in", JSON: "/v1/join", Visit: v,
		Body: j})
}

// joinForm makes the account and signs its owner in.
func (p *Pages) joinForm(c echo.Context, v *visit) error {
	j := joinView{Invitation: c.FormValue("invitation"), Name: strings.TrimSpace(c.FormValue("name"))}
	a, err := p.store.Join(c.Request().Context(), j.Invitation, j.Name, c.FormValue("accept") == "yes")
	if status, ok := refused(err); ok {
		j.Refusal, _ = fault.As(err)
		return p.showJoin(c, v, status, j)
	}
	if err != nil {
		return err
	}
	if _, err := p.enter(c, v, a); err != nil {
		return err
	}
	return c.Redirect(http.StatusSeeOther, "/account")
}
