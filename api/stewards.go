package api

import (
	"maps"
	"net/http"
	"strconv"
	"time"

	"github.com/labstack/echo/v4"

	"boardlore/domain/review"
	"boardlore/store"
)

// stewardRoutes is the part of the table of contents that stewards act by.
func stewardRoutes() []route {
	return []route{
		{get, "/v1/acts", steward, Reads, noBody, (*server).acts},
		{get, "/v1/accounts", steward, Reads, noBody, (*server).accounts},
		{post, "/v1/accounts/:id/disable", steward, Writes, small, (*server).disable},
		{post, "/v1/accounts/:id/enable", steward, Writes, small, (*server).enable},
		{post, "/v1/accounts/:id/role", steward, Writes, small, (*server).setRole},
		{post, "/v1/accounts/:id/erasure", steward, Writes, small, (*server).eraseName},
		{post, "/v1/acts/:id/erasure", steward, Writes, small, (*server).eraseReason},
		{post, "/v1/photographs/:sha256/erasure", steward, Writes, small, (*server).erasePhotograph},
		{post, "/v1/photographs/:sha256/withdrawal", steward, Writes, small, (*server).withdrawPhotograph},
		{post, "/v1/boards/:board/move", steward, Writes, small, (*server).moveBoard},
		{post, "/v1/boards/:board/revisions/:n/withdrawal", steward, Writes, small, (*server).withdrawRevision},
	}
}

func init() {
	maps.Copy(describe, map[string]described{
		"GET /v1/acts": {about: "what stewards and the command line did, with the reasons, newest first",
			schema: "acts", problems: []string{"cursor-malformed"},
			query: []param{orderParam, limitParam, cursorParam}},
		"GET /v1/accounts": {about: "the accounts, by name", schema: "accounts"},
		"POST /v1/accounts/:id/disable": {about: "end an account's access; its open proposals are suspended and its verdicts count no more",
			takes: "decision", schema: "account-act", problems: []string{"account-unknown", "last-steward",
				"decision-invalid"}},
		"POST /v1/accounts/:id/enable": {about: "undo disabling", takes: "decision", schema: "account-act",
			problems: []string{"account-unknown", "already-erased", "decision-invalid"}},
		"POST /v1/accounts/:id/role": {about: "give an account another role", takes: "account-role",
			schema: "account-act",
			problems: []string{"account-unknown", "account-disabled", "last-steward", "account-invalid",
				"decision-invalid"}},
		"POST /v1/accounts/:id/erasure": {about: "take a person's name out, for ever; what the account did stays",
			takes: "decision", schema: "account-act",
			problems: []string{"account-unknown", "last-steward", "already-erased", "decision-invalid"}},
		"POST /v1/acts/:id/erasure": {about: "empty the reason of an act", takes: "decision", schema: "account-act",
			problems: []string{"event-unknown"}},
		"POST /v1/photographs/:sha256/erasure": {about: "drop the bytes of a photograph, as the law demands",
			takes: "decision", schema: "account-act",
			problems: []string{"photograph-unknown", "already-erased", "withdrawal-invalid"}},
		"POST /v1/photographs/:sha256/withdrawal": {about: "take a photograph out of use", takes: "withdrawal",
			schema: "withdrawn", once: true,
			problems: []string{"photograph-unknown", "already-withdrawn", "withdrawal-invalid"}},
		"POST /v1/boards/:board/move": {about: "give a board another ID, or make it one with the board of that ID; the old ID leads to the new one for ever",
			takes: "move", schema: "moved", once: true, problems: []string{"board-unknown", "board-moved",
				"proposals-open", "move-invalid", "decision-invalid"}},
		"POST /v1/boards/:board/revisions/:n/withdrawal": {about: "take a revision out of use; the newest one that remains is current",
			takes: "withdrawal", schema: "withdrawn", once: true, problems: []string{"board-unknown",
				"revision-unknown", "already-withdrawn", "withdrawal-invalid"}},
	})
}

type actsAnswer struct {
	Acts  []actAnswer `json:"acts"`
	Next  string      `json:"next,omitzero"`
	Links links       `json:"links"`
}

// actAnswer is an event as stewards see it: whom it is about, and why.
type actAnswer struct {
	eventAnswer
	Account string `json:"account,omitzero"`
	Why     string `json:"why,omitzero"`
}

func (s *server) acts(c echo.Context) error {
	list, err := s.store.Events(c.Request().Context(), store.EventFilter{Acts: true,
		Newest: c.QueryParam("order") != "oldest", Page: page(c)})
	if err != nil {
		return err
	}
	a := actsAnswer{Acts: make([]actAnswer, len(list.Items)), Next: nextLink(c, list.Next),
		Links: links{"events": pathOf("events"), "accounts": pathOf("accounts")}}
	for i := range list.Items {
		e := &list.Items[i]
		a.Acts[i] = actAnswer{eventOf(e), e.Account, e.Why}
	}
	return reply(c, http.StatusOK, a)
}

type accountsAnswer struct {
	Accounts []accountAnswer `json:"accounts"`
	Links    links           `json:"links"`
}

type accountAnswer struct {
	Account  int64       `json:"account"` // its number
	Name     string      `json:"name"`
	Role     review.Role `json:"role"`
	Disabled bool        `json:"disabled"`
	Since    time.Time   `json:"created_at"`
	Links    links       `json:"links"`
}

func (s *server) accounts(c echo.Context) error {
	list, err := s.store.Accounts(c.Request().Context())
	if err != nil {
		return err
	}
	a := accountsAnswer{Accounts: make([]accountAnswer, len(list)), Links: links{"acts": pathOf("acts")}}
	for i, x := range list {
		under := pathOf("accounts", itoa(x.ID))
		l := links{"role": under + "/role", "disable": under + "/disable", "enable": under + "/enable",
			"erasure": under + "/erasure"}
		a.Accounts[i] = accountAnswer{x.ID, x.Name, x.Role, x.Disabled, x.CreatedAt, l}
	}
	return reply(c, http.StatusOK, a)
}

// accountAct is the receipt of a steward's act.
type accountAct struct {
	Account    int64  `json:"account,omitzero"`
	Photograph string `json:"photograph,omitzero"`
	Event      int64  `json:"event"` // 0 where nothing changed
	Links      links  `json:"links"`
}

// stewardAct reads the reason, which may be left out with the whole body, acts,
// and answers.
func (s *server) stewardAct(c echo.Context, do func(why string) (store.Receipt, error)) error {
	var in decision
	if c.Request().ContentLength != 0 {
		if _, err := readJSON(c, "decision", &in); err != nil {
			return err
		}
	}
	r, err := do(in.Reason)
	if err != nil {
		return err
	}
	return reply(c, http.StatusOK, accountAct{r.Account, r.Photograph, r.Event, links{"acts": pathOf("acts"),
		"accounts": pathOf("accounts")}})
}

func (s *server) disable(c echo.Context) error {
	return s.stewardAct(c, func(why string) (store.Receipt, error) {
		return s.store.Disable(c.Request().Context(), actor(c), id(c, "id"), why)
	})
}

func (s *server) enable(c echo.Context) error {
	return s.stewardAct(c, func(why string) (store.Receipt, error) {
		return s.store.Enable(c.Request().Context(), actor(c), id(c, "id"), why)
	})
}

func (s *server) eraseName(c echo.Context) error {
	return s.stewardAct(c, func(why string) (store.Receipt, error) {
		return s.store.EraseName(c.Request().Context(), actor(c), id(c, "id"), why)
	})
}

func (s *server) eraseReason(c echo.Context) error {
	return s.stewardAct(c, func(string) (store.Receipt, error) {
		return s.store.EraseReason(c.Request().Context(), actor(c), id(c, "id"))
	})
}

func (s *server) erasePhotograph(c echo.Context) error {
	return s.stewardAct(c, func(why string) (store.Receipt, error) {
		return s.store.ErasePhotograph(c.Request().Context(), actor(c), c.Param("sha256"), why)
	})
}

// setRole gives an account another role.
func (s *server) setRole(c echo.Context) error {
	var in struct {
		Role   review.Role `json:"role"`
		Reason string      `json:"reason"`
	}
	if _, err := readJSON(c, "account-role", &in); err != nil {
		return err
	}
	r, err := s.store.SetRole(c.Request().Context(), actor(c), id(c, "id"), in.Role, in.Reason)
	if err != nil {
		return err
	}
	return reply(c, http.StatusOK, accountAct{Account: r.Account, Event: r.Event,
		Links: links{"acts": pathOf("acts"), "account": pathOf("accounts") + "#" + strconv.FormatInt(r.Account, 10)}})
}
