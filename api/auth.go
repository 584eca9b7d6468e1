package api

import (
	"strings"

	"github.com/labstack/echo/v4"

	"boardlore/domain/fault"
	"boardlore/domain/review"
	"boardlore/store"
)

// actor is whose token the request bore; the zero Actor for none.
func actor(c echo.Context) store.Actor {
	a, _ := c.Get(actorKey).(store.Actor)
	return a
}

// guard is what stands before each handler: whose request it is, its share of
// the server, its role, then the form of path, query and body.
func (s *server) guard(r *route) echo.HandlerFunc {
	d := describe[r.key()]
	return func(c echo.Context) error {
		d.ends.tell(c.Response().Header())
		a, err := s.identify(c)
		if err != nil {
			return err
		}
		if a.ID != 0 {
			c.Set(actorKey, a)
			c.SetRequest(c.Request().WithContext(store.Fresh(c.Request().Context()))) // they read what they wrote
		}
		if err := s.gate.Take(c, a, r.budget); err != nil {
			return err
		}
		if err := permit(a, r.role); err != nil {
			return err
		}
		if err := checkPath(c); err != nil {
			return err
		}
		if err := checkQuery(c.Request().URL, d.query); err != nil {
			return err
		}
		if r.body > 0 {
			if err := s.gate.Body(c, a, r.budget, int64(r.body)); err != nil {
				return err
			}
		}
		if r.budget != Reads {
			if err := s.gate.Turn(c, a); err != nil {
				return err
			}
		}
		return r.handle(s, c)
	}
}

// identify reads the token. One that is not valid is refused on every route,
// reads included: the caller believes to be somebody and isn't.
func (s *server) identify(c echo.Context) (store.Actor, error) {
	header := c.Request().Header.Get("Authorization")
	if header == "" {
		return store.Actor{}, nil
	}
	scheme, token, _ := strings.Cut(header, " ")
	token = strings.TrimSpace(token)
	if !strings.EqualFold(scheme, "Bearer") || token == "" {
		return store.Actor{}, refuse("token-invalid", "api.token-invalid")
	}
	return s.gate.Identify(c, token)
}

// Gate holds callers to their allowances; the pages stand behind the same one
// as the routes of the contract.
type Gate struct {
	store   *store.Store
	limiter *limiter
	turns   *turns
	mirror  string // address of the registry that this one mirrors; "" where it is one of its own
}

// Mirror is the address of the registry that this one mirrors; "" where it is one of its own.
func (g *Gate) Mirror() string { return g.mirror }

// Identify finds the account of a token. It is looked up whatever came from the
// address before: who guesses from a workshop's address must not lock out the
// others there, and a token is too long to be guessed. Only what nobody has is
// throttled.
func (g *Gate) Identify(c echo.Context, token string) (store.Actor, error) {
	a, err := g.store.Authenticate(c.Request().Context(), token)
	if fault.Is(err, fault.Unauthenticated) {
		if wait := g.limiter.take(addressKey(c.RealIP()), Refused, 1); wait > 0 {
			return store.Actor{}, tooMany(c, wait)
		}
	}
	return a, err
}

// Browser finds the account that a browser is signed in with.
func (g *Gate) Browser(c echo.Context, secret string) (store.Actor, error) {
	address := addressKey(c.RealIP())
	a, err := g.store.AuthenticateSession(c.Request().Context(), secret)
	if fault.Is(err, fault.Unauthenticated) {
		if wait := g.limiter.take(address, Refused, 1); wait > 0 {
			return store.Actor{}, tooMany(c, wait)
		}
	}
	return a, err
}

// Take draws one request from the allowance of the account, or of the address
// of a caller without one; the error says how long to wait.
func (g *Gate) Take(c echo.Context, a store.Actor, b Budget) error { return g.charge(c, a, b, 1) }

func (g *Gate) charge(c echo.Context, a store.Actor, b Budget, n int) error {
	if b == Writes && g.mirror != "" {
		return refuse("mirror", "api.mirror", g.mirror)
	}
	if wait := g.limiter.take(callerOf(c, a), b, n); wait > 0 {
		return tooMany(c, wait)
	}
	return nil
}

// permit holds an account to the least role of a route.
func permit(a store.Actor, least review.Role) error {
	switch {
	case least == review.Anonymous || a.Role.AtLeast(least):
		return nil
	case a.ID == 0:
		return refuse("token-needed", "api.token-needed", least)
	}
	return refuse("role-needed", "api.role-needed", least, a.Role)
}
