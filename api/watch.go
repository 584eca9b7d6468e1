package api

import (
	"maps"
	"net/http"
	"time"

	"github.com/labstack/echo/v4"

	"boardlore/domain/message"
	"boardlore/store"
)

// watchRoutes is the part of the table of contents by which people keep what
// they want to hear of.
func watchRoutes() []route {
	return []route{
		{get, "/v1/account/watches", contributor, Reads, noBody, (*server).watches},
		{post, "/v1/account/watches", contributor, Writes, small, (*server).watch},
		{del, "/v1/account/watches/:id", contributor, Writes, noBody, (*server).unwatch},
		{post, "/v1/account/feed", contributor, Writes, noBody, (*server).makeFeed},
		{del, "/v1/account/feed", contributor, Writes, noBody, (*server).endFeed},
		{get, watchedFeed, anyone, Labour, noBody, (*server).watchedFeed},
	}
}

// watchedFeed is where a personal feed is; its secret stands in the query, which no log has.
const watchedFeed = Prefix + "/watched.atom"

func init() {
	maps.Copy(describe, map[string]described{
		"GET /v1/account/watches": {about: "what the account watches, newest first", schema: "watches"},
		"POST /v1/account/watches": {about: "watch a board, or whatever comes of a maker", takes: "watch",
			schema: "watch-made", status: 201, problems: []string{"board-unknown", "watch-refused", "watch-quota"}},
		"DELETE /v1/account/watches/:id": {about: "watch something no more", status: 204,
			problems: []string{"watch-unknown"}},
		"POST /v1/account/feed": {about: "make the address of the account's own feed, which is shown here and never " +
			"again; the one before leads nowhere from then on", schema: "feed-made", status: 201},
		"DELETE /v1/account/feed": {about: "have the address of the account's own feed lead nowhere", status: 204},
		"GET /v1/watched.atom": {about: "what happens to what an account watches, as an Atom feed",
			gives: "application/atom+xml", query: []param{
				{name: "feed", about: "the secret of the address"}, whatParam, cursorParam},
			problems: []string{"feed-unknown", "cursor-malformed"}},
	})
}

type watchesAnswer struct {
	Watches []watchAnswer `json:"watches"`
	Feed    *time.Time    `json:"feed_made_at,omitzero"` // absent where the feed has no address
	Links   links         `json:"links"`
}

type watchAnswer struct {
	ID     int64     `json:"id"`
	Board  string    `json:"board,omitzero"`
	Maker  string    `json:"maker,omitzero"`
	MadeAt time.Time `json:"made_at"`
	Links  links     `json:"links"`
}

func watchOf(w *store.Watch) watchAnswer {
	a := watchAnswer{w.ID, w.Board, w.Maker, w.MadeAt.UTC(), links{"self": pathOf("account", "watches", itoa(w.ID))}}
	if w.Board != "" {
		a.Links["board"] = pathOf("boards", w.Board)
	}
	return a
}

func (s *server) watches(c echo.Context) error {
	list, feed, err := s.store.Watches(c.Request().Context(), actor(c))
	if err != nil {
		return err
	}
	a := watchesAnswer{Watches: make([]watchAnswer, len(list)), Links: links{"account": pathOf("account"),
		"feed": pathOf("account", "feed")}}
	for i := range list {
		a.Watches[i] = watchOf(&list[i])
	}
	if !feed.IsZero() {
		feed = feed.UTC()
		a.Feed = &feed
	}
	return reply(c, http.StatusOK, a)
}

func (s *server) watch(c echo.Context) error {
	var in struct {
		Board string `json:"board"`
		Maker string `json:"maker"`
	}
	if _, err := readJSON(c, "watch", &in); err != nil {
		return err
	}
	w, err := s.store.Watch(c.Request().Context(), actor(c), in.Board, in.Maker)
	if err != nil {
		return err
	}
	a := watchOf(&w)
	c.Response().Header().Set("Location", a.Links["self"])
	return reply(c, http.StatusCreated, a)
}

func (s *server) unwatch(c echo.Context) error {
	return ended(c, s.store.Unwatch(c.Request().Context(), actor(c), id(c, "id")))
}

type feedMade struct {
	Address string `json:"address"` // once
	Links   links  `json:"links"`
}

func (s *server) makeFeed(c echo.Context) error {
	secret, err := s.store.MakeFeed(c.Request().Context(), actor(c))
	if err != nil {
		return err
	}
	address := s.base(c) + WatchedAddress(secret)
	private(c)
	c.Response().Header().Set("Location", address)
	return reply(c, http.StatusCreated, feedMade{address,
		links{"watches": pathOf("account", "watches")}})
}

// WatchedAddress is the path of a personal feed.
func WatchedAddress(secret string) string { return watchedFeed + "?feed=" + secret }

func (s *server) endFeed(c echo.Context) error {
	return ended(c, s.store.EndFeed(c.Request().Context(), actor(c)))
}

// watchedFeed answers whoever has the secret, as feed readers have no token.
func (s *server) watchedFeed(c echo.Context) error {
	account, err := s.store.FeedOf(c.Request().Context(), c.QueryParam("feed"))
	if err != nil {
		return err
	}
	c.Response().Header().Set("Cache-Control", "private, no-cache")
	return s.writeFeed(c, feedFilter{watched: account}, message.Of("feed.watched"), pathOf("account", "watches"))
}
