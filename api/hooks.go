package api

import (
	"maps"
	"net/http"
	"time"

	"github.com/labstack/echo/v4"

	"boardlore/store"
)

// hookRoutes is the part of the table of contents by which tools have themselves
// told of releases and withdrawals.
func hookRoutes() []route {
	return []route{
		{get, "/v1/hooks", contributor, Reads, noBody, (*server).hooks},
		{post, "/v1/hooks", contributor, Writes, small, (*server).makeHook},
		{del, "/v1/hooks/:id", contributor, Writes, noBody, (*server).endHook},
		{get, "/v1/hooks/:id/deliveries", contributor, Reads, noBody, (*server).deliveries},
	}
}

const aboutHooks = "Each release and withdrawal is sent to the address as JSON, with the headers and the signature " +
	"(HMAC-SHA256) of Standard Webhooks (https://www.standardwebhooks.com): webhook-id is the same at each try, " +
	"webhook-timestamp that of the try. Any answer from 200 to 299 counts as taken, 410 ends the hook; else it is " +
	"tried again nine times within some three days, then given up. Redirects are not followed, and an address of a " +
	"private network is refused unless a steward made the hook with private."

func init() {
	maps.Copy(describe, map[string]described{
		"GET /v1/hooks": {about: "the account's own hooks, newest first; a steward sees everybody's", schema: "hooks"},
		"POST /v1/hooks": {about: "have an address told of releases and withdrawals; the secret is shown here and " +
			"never again",
			detail: aboutHooks, takes: "hook", schema: "hook-made", status: 201,
			problems: []string{"scope-needed", "board-unknown", "hook-refused", "hook-quota"}},
		"DELETE /v1/hooks/:id": {about: "have an address told no more, as its owner or a steward", status: 204,
			problems: []string{"scope-needed", "hook-unknown"}},
		"GET /v1/hooks/:id/deliveries": {about: "the newest hundred tellings of a hook, with those that were given up",
			schema: "deliveries", problems: []string{"hook-unknown"}},
	})
}

type hooksAnswer struct {
	Hooks []hookAnswer `json:"hooks"`
	Links links        `json:"links"`
}

type hookAnswer struct {
	ID      int64      `json:"id"`
	Account string     `json:"account"`
	Address string     `json:"address"`
	Board   string     `json:"board,omitzero"`
	Private bool       `json:"private"`
	MadeAt  time.Time  `json:"made_at"`
	GoneAt  *time.Time `json:"gone_at,omitzero"`
	Waiting int        `json:"waiting"`
	Dead    int        `json:"dead"`
	Secret  string     `json:"secret,omitzero"` // once, where it was made
	Links   links      `json:"links"`
}

func hookOf(h *store.Hook, secret string) hookAnswer {
	under := pathOf("hooks", itoa(h.ID))
	a := hookAnswer{ID: h.ID, Account: h.Account, Address: h.Address, Board: h.Board, Private: h.Private,
		MadeAt: h.MadeAt.UTC(), Waiting: h.Waiting, Dead: h.Dead, Secret: secret,
		Links: links{"self": under, "deliveries": under + "/deliveries"}}
	if !h.GoneAt.IsZero() {
		gone := h.GoneAt.UTC()
		a.GoneAt = &gone
	}
	return a
}

func (s *server) hooks(c echo.Context) error {
	list, err := s.store.Hooks(c.Request().Context(), actor(c))
	if err != nil {
		return err
	}
	private(c)
	a := hooksAnswer{Hooks: make([]hookAnswer, len(list)), Links: links{"account": pathOf("account"),
		"events": pathOf("events")}}
	for i := range list {
		a.Hooks[i] = hookOf(&list[i], "")
	}
	return reply(c, http.StatusOK, a)
}

func (s *server) makeHook(c echo.Context) error {
	var in struct {
		Address string `json:"address"`
		Board   string `json:"board"`
		Private bool   `json:"private"`
	}
	if _, err := readJSON(c, "hook", &in); err != nil {
		return err
	}
	h, secret, err := s.store.MakeHook(c.Request().Context(), actor(c), store.NewHook(in))
	if err != nil {
		return err
	}
	private(c)
	a := hookOf(&h, secret)
	c.Response().Header().Set("Location", a.Links["self"])
	return reply(c, http.StatusCreated, a)
}

func (s *server) endHook(c echo.Context) error {
	return ended(c, s.store.EndHook(c.Request().Context(), actor(c), id(c, "id")))
}

type deliveriesAnswer struct {
	Deliveries []deliveryAnswer `json:"deliveries"`
	Links      links            `json:"links"`
}

type deliveryAnswer struct {
	ID        int64      `json:"id"`
	Event     int64      `json:"event"`
	State     string     `json:"state"`
	Attempts  int        `json:"attempts"`
	MadeAt    time.Time  `json:"made_at"`
	NextAt    *time.Time `json:"next_at,omitzero"`
	LastError string     `json:"last_error,omitzero"`
}

func (s *server) deliveries(c echo.Context) error {
	list, err := s.store.Deliveries(c.Request().Context(), actor(c), id(c, "id"))
	if err != nil {
		return err
	}
	private(c)
	a := deliveriesAnswer{Deliveries: make([]deliveryAnswer, len(list)), Links: links{"hooks": pathOf("hooks")}}
	for i, d := range list {
		a.Deliveries[i] = deliveryAnswer{d.ID, d.Event, d.State, d.Attempts, d.MadeAt.UTC(), nil, d.LastError}
		if !d.NextAt.IsZero() {
			next := d.NextAt.UTC()
			a.Deliveries[i].NextAt = &next
		}
	}
	return reply(c, http.StatusOK, a)
}
