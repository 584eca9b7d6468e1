package api

import (
	"maps"
	"net/http"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"boardlore/domain/message"
	"boardlore/domain/review"
	"boardlore/store"
)

// accountRoutes is the part of the table of contents by which people join and
// keep what they sign in with.
func accountRoutes() []route {
	return []route{
		{get, "/v1/account", anyone, Reads, noBody, (*server).account},
		{get, "/v1/account/tokens", contributor, Reads, noBody, (*server).tokens},
		{post, "/v1/account/tokens", contributor, Writes, small, (*server).makeToken},
		{http.MethodDelete, "/v1/account/tokens/:id", contributor, Writes, noBody, (*server).endToken},
		{get, "/v1/account/sessions", contributor, Reads, noBody, (*server).sessions},
		{http.MethodDelete, "/v1/account/sessions/:id", contributor, Writes, noBody, (*server).endSession},
		{get, "/v1/invitations", steward, Reads, noBody, (*server).invitations},
		{post, "/v1/invitations", steward, Writes, small, (*server).invite},
		{http.MethodDelete, "/v1/invitations/:id", steward, Writes, noBody, (*server).endInvitation},
		{post, "/v1/accounts/:id/sign-in-link", steward, Writes, small, (*server).signInLink},
		{get, "/v1/join", anyone, Reads, noBody, (*server).signUp},
		{post, "/v1/join", anyone, Writes, small, (*server).join},
		{put, "/v1/join", steward, Writes, small, (*server).setSignUp},
	}
}

func init() {
	maps.Copy(describe, map[string]described{
		"GET /v1/account":        {about: "whose token this is, and what it may", schema: "account"},
		"GET /v1/account/tokens": {about: "the account's own tokens, newest first", schema: "tokens"},
		"POST /v1/account/tokens": {about: "make a token; it is shown here and never again", takes: "token",
			schema: "token-made", status: 201,
			problems: []string{"scope-needed", "token-refused", "token-quota"}},
		"DELETE /v1/account/tokens/:id": {about: "revoke a token", status: 204, problems: []string{"scope-needed",
			"token-unknown"}},
		"GET /v1/account/sessions": {about: "the browsers in which the account is signed in, newest first",
			schema: "sessions"},
		"DELETE /v1/account/sessions/:id": {about: "sign a browser out", status: 204, problems: []string{"scope-needed",
			"session-unknown"}},
		"GET /v1/invitations": {about: "the links that still work, newest first", schema: "invitations"},
		"POST /v1/invitations": {about: "make a link by which people join", takes: "invitation",
			schema: "invitation-made", status: 201,
			problems: []string{"invitation-refused", "decision-invalid"}},
		"DELETE /v1/invitations/:id": {about: "make a link work no more", status: 204,
			problems: []string{"invitation-unknown"}},
		"POST /v1/accounts/:id/sign-in-link": {about: "make a link by which an account signs in once",
			takes: "decision", schema: "invitation-made", status: 201,
			problems: []string{"account-unknown", "decision-invalid"}},
		"GET /v1/join": {about: "who may join, and under which terms", schema: "sign-up"},
		"POST /v1/join": {about: "join by an invitation, or without one where that is open", takes: "join",
			schema: "joined", status: 201,
			problems: []string{"account-invalid", "account-exists", "terms-not-accepted", "invitation-unknown",
				"sign-up-closed", "sign-up-quota"}},
		"PUT /v1/join": {about: "choose whether people join without an invitation", takes: "sign-up-choice",
			schema: "account-act", problems: []string{"decision-invalid"}},
	})
}

// Terms is what contributors accept, once, before they contribute.
var Terms = message.Of("api.terms")

type ownAccount struct {
	Account int64       `json:"account,omitzero"` // its number; absent for who reads without one
	Name    string      `json:"name,omitzero"`
	Role    review.Role `json:"role,omitzero"` // in which the token acts; absent for one that only reads
	Scope   string      `json:"scope"`
	Links   links       `json:"links"`
}

func (s *server) account(c echo.Context) error {
	a := actor(c)
	if a.ID == 0 {
		return reply(c, http.StatusOK, ownAccount{Scope: store.ScopeRead, Links: links{"join": pathOf("join")}})
	}
	scope := a.Scope
	if scope == "" {
		scope = store.ScopeAll
	}
	return reply(c, http.StatusOK, ownAccount{a.ID, a.Name, a.Role, scope, links{"tokens": pathOf("account", "tokens"),
		"sessions": pathOf("account", "sessions"), "watches": pathOf("account", "watches"), "hooks": pathOf("hooks")}})
}

type tokensAnswer struct {
	Tokens []tokenAnswer `json:"tokens"`
	Links  links         `json:"links"`
}

type tokenAnswer struct {
	ID        int64      `json:"id"`
	Name      string     `json:"name"`
	Scope     string     `json:"scope"`
	CreatedAt time.Time  `json:"created_at"`
	ExpiresAt *time.Time `json:"expires_at,omitzero"` // absent: never
	Token     string     `json:"token,omitzero"`      // once, where it was made
	Links     links      `json:"links"`
}

func tokenOf(t store.Token, secret string) tokenAnswer {
	a := tokenAnswer{ID: t.ID, Name: t.Name, Scope: t.Scope, CreatedAt: t.CreatedAt.UTC(), Token: secret,
		Links: links{"self": pathOf("account", "tokens", itoa(t.ID))}}
	if !t.ExpiresAt.IsZero() {
		e := t.ExpiresAt.UTC()
		a.ExpiresAt = &e
	}
	return a
}

func (s *server) tokens(c echo.Context) error {
	list, err := s.store.Tokens(c.Request().Context(), actor(c))
	if err != nil {
		return err
	}
	a := tokensAnswer{Tokens: make([]tokenAnswer, len(list)), Links: links{"account": pathOf("account")}}
	for i, t := range list {
		a.Tokens[i] = tokenOf(t, "")
	}
	return reply(c, http.StatusOK, a)
}

const aDay = 24 * time.Hour

func (s *server) makeToken(c echo.Context) error {
	in := struct {
		Name  string `json:"name"`
		Scope string `json:"scope"`
		Days  int    `json:"days"`
	}{Scope: store.ScopeAll}
	if _, err := readJSON(c, "token", &in); err != nil {
		return err
	}
	t, secret, err := s.store.MakeToken(c.Request().Context(), actor(c), in.Name, in.Scope, time.Duration(in.Days)*aDay)
	if err != nil {
		return err
	}
	h := c.Response().Header()
	h.Set("Cache-Control", "no-store")
	h.Set("Location", pathOf("account", "tokens", itoa(t.ID)))
	return reply(c, http.StatusCreated, tokenOf(t, secret))
}

func (s *server) endToken(c echo.Context) error {
	return ended(c, s.store.EndToken(c.Request().Context(), actor(c), id(c, "id")))
}

func (s *server) endSession(c echo.Context) error {
	return ended(c, s.store.EndSession(c.Request().Context(), actor(c), id(c, "id")))
}

func (s *server) endInvitation(c echo.Context) error {
	return ended(c, s.store.EndInvitation(c.Request().Context(), actor(c), id(c, "id")))
}

// ended answers what took something away.
func ended(c echo.Context, err error) error {
	if err != nil {
		return err
	}
	return c.NoContent(http.StatusNoContent)
}

type sessionsAnswer struct {
	Sessions []sessionAnswer `json:"sessions"`
	Links    links           `json:"links"`
}

type sessionAnswer struct {
	ID        int64     `json:"id"`
	Browser   string    `json:"browser"` // as it named itself
	CreatedAt time.Time `json:"created_at"`
	SeenAt    time.Time `json:"seen_at"` // to the hour
	ExpiresAt time.Time `json:"expires_at"`
	Links     links     `json:"links"`
}

func (s *server) sessions(c echo.Context) error {
	list, err := s.store.Sessions(c.Request().Context(), actor(c), "")
	if err != nil {
		return err
	}
	a := sessionsAnswer{Sessions: make([]sessionAnswer, len(list)), Links: links{"account": pathOf("account")}}
	for i, x := range list {
		a.Sessions[i] = sessionAnswer{x.ID, x.Browser, x.CreatedAt.UTC(), x.SeenAt.UTC(), x.ExpiresAt.UTC(),
			links{"self": pathOf("account", "sessions", itoa(x.ID))}}
	}
	return reply(c, http.StatusOK, a)
}

type invitationsAnswer struct {
	Invitations []invitationAnswer `json:"invitations"`
	Links       links              `json:"links"`
}

type invitationAnswer struct {
	ID        int64       `json:"id"`
	Role      review.Role `json:"role,omitzero"`    // of those who join by it
	Account   string      `json:"account,omitzero"` // who signs in by it, once
	Uses      int         `json:"uses"`             // left
	MadeBy    string      `json:"made_by,omitzero"` // absent for the operator
	MadeAt    time.Time   `json:"made_at"`
	ExpiresAt time.Time   `json:"expires_at"`
	Link      string      `json:"link,omitzero"` // once, where it was made
	Links     links       `json:"links"`
}

func (s *server) invitationOf(c echo.Context, in store.Invitation, secret string) invitationAnswer {
	a := invitationAnswer{ID: in.ID, Role: in.Role, Account: in.Account, Uses: in.Uses, MadeBy: in.MadeBy,
		MadeAt: in.MadeAt.UTC(), ExpiresAt: in.ExpiresAt.UTC(),
		Links: links{"self": pathOf("invitations", itoa(in.ID))}}
	page := "/join?invitation="
	if in.Account != "" {
		a.Role, page = "", "/sign-in?link="
	}
	if secret != "" {
		a.Link = s.base(c) + page + secret
	}
	return a
}

func (s *server) invitations(c echo.Context) error {
	list, err := s.store.Invitations(c.Request().Context())
	if err != nil {
		return err
	}
	a := invitationsAnswer{Invitations: make([]invitationAnswer, len(list)), Links: links{"join": pathOf("join"),
		"acts": pathOf("acts")}}
	for i, in := range list {
		a.Invitations[i] = s.invitationOf(c, in, "")
	}
	return reply(c, http.StatusOK, a)
}

func (s *server) invite(c echo.Context) error {
	in := struct {
		Role   review.Role `json:"role"`
		Uses   int         `json:"uses"`
		Days   int         `json:"days"`
		Reason string      `json:"reason"`
	}{Role: review.Contributor, Uses: 1, Days: 7}
	if _, err := readJSON(c, "invitation", &in); err != nil {
		return err
	}
	made, secret, err := s.store.Invite(c.Request().Context(), actor(c), in.Role, in.Uses, time.Duration(in.Days)*aDay,
		in.Reason)
	return s.invited(c, made, secret, err)
}

func (s *server) signInLink(c echo.Context) error {
	var in decision
	if c.Request().ContentLength != 0 {
		if _, err := readJSON(c, "decision", &in); err != nil {
			return err
		}
	}
	made, secret, err := s.store.SignInLink(c.Request().Context(), actor(c), id(c, "id"), in.Reason)
	return s.invited(c, made, secret, err)
}

func (s *server) invited(c echo.Context, made store.Invitation, secret string, err error) error {
	if err != nil {
		return err
	}
	h := c.Response().Header()
	h.Set("Cache-Control", "no-store")
	h.Set("Location", pathOf("invitations", itoa(made.ID)))
	return reply(c, http.StatusCreated, s.invitationOf(c, made, secret))
}

type signUpAnswer struct {
	Open  bool            `json:"open"` // people join without an invitation
	Terms message.Message `json:"terms"`
	Links links           `json:"links"`
}

func (s *server) signUp(c echo.Context) error {
	open, err := s.store.SignUpOpen(c.Request().Context())
	if err != nil {
		return err
	}
	return reply(c, http.StatusOK, signUpAnswer{open, Terms, links{"page": "/join", "account": pathOf("account")}})
}

func (s *server) setSignUp(c echo.Context) error {
	var in struct {
		Open   bool   `json:"open"`
		Reason string `json:"reason"`
	}
	if _, err := readJSON(c, "sign-up-choice", &in); err != nil {
		return err
	}
	r, err := s.store.SetSignUp(c.Request().Context(), actor(c), in.Open, in.Reason)
	if err != nil {
		return err
	}
	return reply(c, http.StatusOK, accountAct{Event: r.Event, Links: links{"acts": pathOf("acts"),
		"join": pathOf("join")}})
}

type joinedAnswer struct {
	Account int64       `json:"account"`
	Name    string      `json:"name"`
	Role    review.Role `json:"role"`
	Token   string      `json:"token"` // once
	Links   links       `json:"links"`
}

// join makes an account with a first token.
func (s *server) join(c echo.Context) error {
	var in struct {
		Invitation string `json:"invitation"`
		Name       string `json:"name"`
		Accept     bool   `json:"accept_terms"`
	}
	if _, err := readJSON(c, "join", &in); err != nil {
		return err
	}
	ctx := c.Request().Context()
	// Of a link that was pasted whole, the secret is what counts.
	if _, secret, ok := strings.Cut(in.Invitation, "invitation="); ok {
		in.Invitation = secret
	}
	who, secret, err := s.store.JoinWithToken(ctx, in.Invitation, in.Name, in.Accept)
	if err != nil {
		return err
	}
	h := c.Response().Header()
	h.Set("Cache-Control", "no-store")
	h.Set("Location", pathOf("account"))
	return reply(c, http.StatusCreated, joinedAnswer{who.ID, who.Name, who.Role, secret,
		links{"account": pathOf("account"),
			"tokens": pathOf("account", "tokens")}})
}
