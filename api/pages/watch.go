package pages

import (
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"boardlore/api"
	"boardlore/domain/fault"
	"boardlore/store"
)

// watchView is the page on which an account chooses what it is told of.
type watchView struct {
	Watches []store.Watch
	Feed    time.Time // when the address of the feed was made; zero for none
	Address string    // of the feed, shown once
	Hooks   []hookShown
	Secret  string // of a new hook, shown once
	Steward bool
	Board   string // that a link asks to be watched
	Refusal *fault.Error
}

// hookShown is a hook with the newest tellings that were not taken.
type hookShown struct {
	store.Hook
	Failed []store.Delivery
}

// maxFailed is how many of them stand on the page.
const maxFailed = 5

func (p *Pages) watches(c echo.Context, v *visit) error {
	return p.showWatches(c, v, http.StatusOK, watchView{Board: c.QueryParam("board")})
}

func (p *Pages) showWatches(c echo.Context, v *visit, status int, w watchView) error {
	if err := needAccount(v); err != nil {
		return err
	}
	ctx := c.Request().Context()
	var err error
	if w.Watches, w.Feed, err = p.store.Watches(ctx, v.Actor); err != nil {
		return err
	}
	hooks, err := p.store.Hooks(ctx, v.Actor)
	if err != nil {
		return err
	}
	for _, h := range hooks {
		shown := hookShown{Hook: h}
		if h.Dead+h.Waiting > 0 {
			if shown.Failed, err = p.failed(c, v, h.ID); err != nil {
				return err
			}
		}
		w.Hooks = append(w.Hooks, shown)
	}
	w.Steward = v.Actor.Role == "steward"
	c.Response().Header().Set("Cache-Control", "no-store")
	return p.render(c, status, "watches", view{Title: t("watch.title"), Nav: "account", JSON: "/v1/account/watches",
		Visit: v, Body: w})
}

// failed are the newest tellings of a hook that were not taken yet, or never.
func (p *Pages) failed(c echo.Context, v *visit, hook int64) (out []store.Delivery, err error) {
	list, err := p.store.Deliveries(c.Request().Context(), v.Actor, hook)
	if fault.Is(err, fault.NotFound) { // ended meanwhile
		return nil, nil
	}
	for _, d := range list {
		if d.State != "delivered" && d.LastError != "" && len(out) < maxFailed {
			out = append(out, d)
		}
	}
	return out, err
}

// watchForm changes what the account is told of.
func (p *Pages) watchForm(c echo.Context, v *visit) error {
	if err := needAccount(v); err != nil {
		return err
	}
	ctx := c.Request().Context()
	number, _ := strconv.ParseInt(c.FormValue("number"), 10, 64)
	var w watchView
	var err error
	switch c.FormValue("act") {
	case "watch":
		_, err = p.store.Watch(ctx, v.Actor, strings.TrimSpace(c.FormValue("board")), c.FormValue("maker"))
	case "unwatch":
		err = p.store.Unwatch(ctx, v.Actor, number)
	case "feed":
		var secret string
		if secret, err = p.store.MakeFeed(ctx, v.Actor); err == nil {
			w.Address = p.here(c) + api.WatchedAddress(secret)
			return p.showWatches(c, v, http.StatusOK, w)
		}
	case "end-feed":
		err = p.store.EndFeed(ctx, v.Actor)
	case "hook":
		_, w.Secret, err = p.store.MakeHook(ctx, v.Actor, store.NewHook{Address: strings.TrimSpace(c.FormValue("address")),
			Board: strings.TrimSpace(c.FormValue("only")), Private: c.FormValue("private") == "yes"})
		if err == nil {
			return p.showWatches(c, v, http.StatusOK, w)
		}
	case "end-hook":
		err = p.store.EndHook(ctx, v.Actor, number)
	default:
		err = fault.New(fault.Malformed, "form-unreadable", "page.form.unreadable")
	}
	if fault.Is(err, fault.NotFound) && number > 0 {
		err = nil // gone already is as good
	}
	if f, ok := fault.As(err); ok && f.Kind == fault.NotFound {
		return p.showWatches(c, v, http.StatusNotFound, watchView{Refusal: f})
	}
	if status, ok := refused(err); ok {
		why, _ := fault.As(err)
		return p.showWatches(c, v, status, watchView{Refusal: why})
	}
	if err != nil {
		return err
	}
	return c.Redirect(http.StatusSeeOther, "/account/watches")
}
