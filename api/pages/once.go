package pages

import (
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"slices"

	"github.com/labstack/echo/v4"
	"github.com/maypok86/otter/v2"

	"boardlore/api"
	"boardlore/store"
)

// pageKey is all that a page for strangers is made from but the board. What
// else comes with a request is no business of such a page's; a request with any
// cookie but those of forms and of the language gets a page of its own.
type pageKey struct{ host, uri, language, secure, copy string }

// keptPage is a page before the visitor's key is put in, as it was while the
// board's turn was that.
type keptPage struct {
	at   store.Turn
	page []byte
	sum  string // where the page is the same for all, else empty
}

// keptBytes is how many bytes of pages are kept; longestURI is the longest
// address that one is kept for.
const (
	keptBytes  = 64 << 20
	longestURI = 500
)

func newKept() *otter.Cache[pageKey, keptPage] {
	return otter.Must(&otter.Options[pageKey, keptPage]{MaximumWeight: keptBytes,
		Weigher: func(k pageKey, p keptPage) uint32 {
			return uint32(len(p.page) + len(k.host) + len(k.uri) + len(k.language) + 512)
		}})
}

// once makes a page of one board for all strangers who ask for it until
// something happens to the board. Others, and who asks for what is not made yet,
// pay for the labour.
func (p *Pages) once(h func(echo.Context, *visit) error) func(echo.Context, *visit) error {
	return func(c echo.Context, v *visit) error {
		at, keeps := p.store.Turn(param(c, "board"))
		k := p.keyOf(c)
		keeps = keeps && stranger(c, v) && len(k.uri) <= longestURI
		if keeps {
			if kept, ok := p.kept.GetIfPresent(k); ok && kept.at == at {
				return p.sendKept(c, v, kept)
			}
		}
		if err := p.gate.Labour(c, v.Actor); err != nil {
			return err
		}
		if keeps {
			c.SetRequest(c.Request().WithContext(store.Fresh(c.Request().Context()))) // a replica may be behind the turn
			c.Set(keepKey, func(page []byte) { p.kept.Set(k, keptPage{at, page, sumOf(page)}) })
		}
		return h(c, v)
	}
}

func (p *Pages) keyOf(c echo.Context) pageKey {
	r := c.Request()
	k := pageKey{host: r.Host, uri: r.URL.RequestURI(), language: languageOf(c).Tag,
		copy: p.copyOf(r.Context()).line()}
	if p.secure || c.IsTLS() {
		k.secure = "yes"
	}
	return k
}

// stranger tells a visitor of whom nothing is known.
func stranger(c echo.Context, v *visit) bool {
	r := c.Request()
	return !v.SignedIn() && r.Header.Get("Authorization") == "" &&
		!slices.ContainsFunc(r.Cookies(), func(k *http.Cookie) bool {
			return k.Name != formCookie &&
				k.Name != languageCookie
		})
}

func (p *Pages) sendKept(c echo.Context, v *visit, k keptPage) error {
	if k.sum == "" {
		return p.send(c, http.StatusOK, v, k.page)
	}
	return api.SendSummed(c, pageMedia, k.sum, k.page)
}

// sumOf is the SHA-256 of a page that is the same for all.
func sumOf(page []byte) string {
	if hasKey(page) {
		return ""
	}
	sum := sha256.Sum256(page)
	return hex.EncodeToString(sum[:])
}

const keepKey = "keep"

// keep hands a page over to whoever wants to keep it.
func keep(c echo.Context, status int, page []byte) {
	if do, ok := c.Get(keepKey).(func([]byte)); ok && status == http.StatusOK {
		do(page)
	}
}
