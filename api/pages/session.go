package pages

import (
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"net/url"
	"strings"

	"github.com/labstack/echo/v4"

	"boardlore/api"
	"boardlore/domain/fault"
	"boardlore/domain/photograph"
	"boardlore/store"
)

// Cookies. sessionCookie holds a secret that only this browser has, which any
// server of several knows the account by; formCookie a random text that forms
// are tied to.
const (
	sessionCookie = "boardlore_session"
	formCookie    = "boardlore_form"
)

// sessionName is the name of the session's cookie. By https it has the prefix
// that keeps it from being set or read by any other host or path.
func (p *Pages) sessionName(c echo.Context) string {
	if p.secure || c.IsTLS() {
		return "__Host-" + sessionCookie
	}
	return sessionCookie
}

// csrfField is the hidden field of every form.
const csrfField = "form_key"

// maxUpload bounds the body of a form with files that somebody signed in sends:
// a photograph and the fields beside it. Every other form is bounded as the
// bodies of the contract are.
const maxUpload = photograph.MaxBytes + 1<<20

// visit is who looks at a page.
type visit struct {
	Actor store.Actor
	Here  string // page to come back to after signing in

	key    string // of the visitor's forms
	secret string // of the session
	nonce  string // of the form cookie
}

// Key stands for the visitor's key in the csrfField of a form until the page is sent.
func (v *visit) Key() string { return keyMark }

// SignedIn reports whether the visitor has an account.
func (v *visit) SignedIn() bool { return v != nil && v.Actor.ID != 0 }

// Return is where signing in leads back to, "" for the front page.
func (v *visit) Return() string {
	if v == nil || v.Here == "/" || strings.HasPrefix(v.Here, "/sign-in") {
		return ""
	}
	return v.Here
}

// visitOf reads the cookies, and gives a visitor without one a form cookie.
func (p *Pages) visitOf(c echo.Context) (*visit, error) {
	v := &visit{Here: placeOf(c)}
	if k, err := c.Cookie(p.sessionName(c)); err == nil && k.Value != "" {
		a, err := p.gate.Browser(c, k.Value)
		switch {
		case fault.Is(err, fault.Unauthenticated):
			p.setCookie(c, p.sessionName(c), "", -1) // ended or disabled meanwhile: an anonymous visitor
		case err != nil:
			return nil, err
		default:
			v.Actor, v.secret = a, k.Value
			c.SetRequest(c.Request().WithContext(store.Fresh(c.Request().Context()))) // they read what they wrote
		}
	}
	if k, err := c.Cookie(formCookie); err == nil && len(k.Value) == 32 {
		v.nonce = k.Value
	} else {
		var b [16]byte
		_, _ = rand.Read(b[:]) // never fails, by its documentation
		v.nonce = hex.EncodeToString(b[:])
		p.setCookie(c, formCookie, v.nonce, 0)
	}
	v.key = formKey(v.nonce, v.secret)
	return v, nil
}

// admit signs the visitor in with a token and gives the visit as it is then;
// it returns fault.Unauthenticated where nobody has the token.
func (p *Pages) admit(c echo.Context, v *visit, token string) (*visit, error) {
	token = strings.TrimSpace(token)
	a, err := p.gate.Identify(c, token)
	if err != nil {
		return v, err
	}
	return p.enter(c, v, a)
}

// enter signs the visitor's browser in as an account.
func (p *Pages) enter(c echo.Context, v *visit, a store.Actor) (*visit, error) {
	secret, err := p.store.NewSession(c.Request().Context(), a, c.Request().UserAgent())
	if err != nil {
		return v, err
	}
	p.setCookie(c, p.sessionName(c), secret, cookieAge)
	return &visit{Actor: a, key: formKey(v.nonce, secret), Here: v.Here, secret: secret, nonce: v.nonce}, nil
}

// formKey ties a form to the visitor's browser and account; another site can
// neither read nor make it.
func formKey(nonce, secret string) string {
	m := hmac.New(sha256.New, []byte(nonce+"/"+secret))
	m.Write([]byte("boardlore form"))
	return hex.EncodeToString(m.Sum(nil))
}

// setCookie sets a cookie that scripts and other sites don't get; age is in
// seconds, 0 until the browser closes, negative to remove it.
func (p *Pages) setCookie(c echo.Context, name, value string, age int) {
	c.SetCookie(&http.Cookie{Name: name, Value: value, Path: "/", MaxAge: age, HttpOnly: true,
		SameSite: http.SameSiteStrictMode, Secure: p.secure || c.IsTLS()})
}

// secureHeaders sets what every page bears.
func (p *Pages) secureHeaders(c echo.Context) {
	h := c.Response().Header()
	h.Set("Content-Security-Policy", policy)
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Referrer-Policy", "same-origin")
	h.Set("X-Content-Type-Options", "nosniff")
}

// page wraps the handler of a page: who asks, their share of the server, and
// what every page bears.
func (p *Pages) page(b api.Budget, h func(echo.Context, *visit) error) echo.HandlerFunc {
	return p.visited(b, func(c echo.Context, v *visit) error {
		if b == api.Reads {
			return h(c, v)
		}
		if err := p.gate.Turn(c, v.Actor); err != nil {
			return err
		}
		return h(c, v)
	})
}

func (p *Pages) visited(b api.Budget, h func(echo.Context, *visit) error) echo.HandlerFunc {
	return func(c echo.Context) error {
		v, err := p.visitOf(c)
		if err != nil {
			return err
		}
		if err := p.gate.Take(c, v.Actor, b); err != nil {
			return err
		}
		p.secureHeaders(c)
		c.Response().Header().Set("Cache-Control", "private, no-cache")
		c.Response().Header().Set("Vary", "Accept-Language, Cookie")
		c.Response().Header().Set("Content-Language", languageOf(c).Tag)
		return h(c, v)
	}
}

// form wraps the handler of a form. A form that was not made for this visitor
// by this server is refused before anything is read from it.
func (p *Pages) form(b api.Budget, h func(echo.Context, *visit) error) echo.HandlerFunc {
	return p.visited(b, func(c echo.Context, v *visit) error {
		r := c.Request()
		if err := p.cross.Check(r); err != nil {
			return fault.New(fault.NotAllowed, "form-foreign", "page.form.foreign")
		}
		files, most := strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/form-data"), int64(api.MaxBody)
		if files && v.SignedIn() {
			most = maxUpload
		}
		err := p.gate.Body(c, v.Actor, b, most)
		if err != nil {
			return err
		}
		if files {
			err = r.ParseMultipartForm(8 << 20)
		} else {
			err = r.ParseForm()
		}
		if err != nil {
			return &fault.Error{Kind: fault.Malformed, Code: "form-unreadable", Detail: t("form.unreadable"), Err: err}
		}
		if !v.made(r.PostFormValue(csrfField)) {
			return fault.New(fault.NotAllowed, "form-expired", "page.form.expired")
		}
		if err := p.gate.Turn(c, v.Actor); err != nil {
			return err
		}
		return h(c, v)
	})
}

// signIn asks for a token.
func (p *Pages) signIn(c echo.Context, v *visit) error {
	b := signInView{Passkeys: p.secureContext(c), Back: localPath(c.QueryParam("back")), Link: c.QueryParam("link")}
	if b.Link != "" { // a link that a mail program looks at first must not be used up by that
		in, err := p.store.Invited(c.Request().Context(), b.Link)
		if err != nil {
			return err
		}
		b.Name = in.Account
	}
	return p.render(c, http.StatusOK, "sign-in", view{Title: t("signin.title"), Nav: "sign-in", Visit: v, Body: b})
}

type signInView struct {
	Back string
	Link string // by which one account signs in once
	Name string // whose link that is

	Passkeys bool      // browsers have them at this address
	Passkey  *ceremony // begun
	Refused  bool
}

const cookieAge = 30 * 24 * 3600 // seconds, as long as a session

func (p *Pages) signInForm(c echo.Context, v *visit) error {
	back := localPath(c.FormValue("back"))
	if link := c.FormValue("link"); link != "" {
		return p.signInOnce(c, v, link)
	}
	if c.FormValue("act") == "passkey" {
		return p.passkeyForm(c, v)
	}
	_, err := p.admit(c, v, c.FormValue("token"))
	if fault.Is(err, fault.Unauthenticated) {
		return p.render(c, http.StatusUnauthorized, "sign-in", view{Title: t("signin.title"), Nav: "sign-in", Visit: v,
			Body: signInView{Back: back, Refused: true, Passkeys: p.secureContext(c)}})
	}
	if err != nil {
		return err
	}
	return c.Redirect(http.StatusSeeOther, back)
}

// signInOnce signs in by a link that a steward made for one account.
func (p *Pages) signInOnce(c echo.Context, v *visit, link string) error {
	a, err := p.store.SignInOnce(c.Request().Context(), link)
	if err != nil {
		return err
	}
	if _, err := p.enter(c, v, a); err != nil {
		return err
	}
	return c.Redirect(http.StatusSeeOther, "/account")
}

// signOut ends the session, so that a copy of its secret is no use either.
func (p *Pages) signOut(c echo.Context, v *visit) error {
	if err := p.store.SignOut(c.Request().Context(), v.secret); err != nil {
		return err
	}
	p.setCookie(c, p.sessionName(c), "", -1)
	return c.Redirect(http.StatusSeeOther, "/")
}

// localPath is a path of this server to go back to, "/" for anything else.
func localPath(s string) string {
	u, err := url.Parse(s)
	if err != nil || u.Scheme != "" || u.Host != "" || !strings.HasPrefix(s, "/") || strings.HasPrefix(s, "//") ||
		strings.ContainsAny(s, "\\\r\n") {
		return "/"
	}
	return s
}
