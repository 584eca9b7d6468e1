package pages

import (
	"encoding/base64"
	"encoding/json"
	"net/http"
	"net/url"
	"strconv"

	"github.com/go-webauthn/webauthn/protocol"
	"github.com/go-webauthn/webauthn/webauthn"
	"github.com/labstack/echo/v4"

	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/store"
)

// ceremony is what a page hands the browser so that it makes or uses a passkey,
// and what the browser's answer comes back with.
type ceremony struct {
	Secret  string // ends it, once
	Options string // for the browser, as JSON
}

// secureContext tells whether browsers give this address passkeys at all: by
// https, and on the machine itself. A plain-http network has none.
func (p *Pages) secureContext(c echo.Context) bool {
	u, err := url.Parse(p.here(c))
	return err == nil && (u.Scheme == "https" || u.Hostname() == "localhost")
}

// relying is this server as passkeys know it: by the name that the browser has
// in its address.
func (p *Pages) relying(c echo.Context) (*webauthn.WebAuthn, error) {
	if !p.secureContext(c) {
		return nil, fault.New(fault.Conflict, "passkeys-need-https", "page.passkey.plain")
	}
	u, err := url.Parse(p.here(c))
	if err != nil {
		return nil, err
	}
	return webauthn.New(&webauthn.Config{RPID: u.Hostname(), RPDisplayName: message.English.Say("page.site"),
		RPOrigins: []string{p.here(c)}})
}

// holder is an account as passkeys know it: by number.
type holder struct {
	id   int64
	name string
	keys []webauthn.Credential
}

func (h *holder) WebAuthnID() []byte                         { return []byte(strconv.FormatInt(h.id, 10)) }
func (h *holder) WebAuthnName() string                       { return h.name }
func (h *holder) WebAuthnDisplayName() string                { return h.name }
func (h *holder) WebAuthnCredentials() []webauthn.Credential { return h.keys }

func (p *Pages) holder(c echo.Context, id int64, name string) (*holder, error) {
	stored, err := p.store.Passkeys(c.Request().Context(), id)
	if err != nil {
		return nil, err
	}
	h := &holder{id: id, name: name, keys: make([]webauthn.Credential, len(stored))}
	for i, k := range stored {
		if err := json.Unmarshal(k.Credential, &h.keys[i]); err != nil {
			return nil, err
		}
	}
	return h, nil
}

// begin keeps a ceremony's session and gives what the browser needs.
func (p *Pages) begin(c echo.Context, options any, session *webauthn.SessionData) (*ceremony, error) {
	data, err := json.Marshal(session)
	if err != nil {
		return nil, err
	}
	secret, err := p.store.BeginCeremony(c.Request().Context(), data)
	if err != nil {
		return nil, err
	}
	o, err := json.Marshal(options)
	return &ceremony{secret, string(o)}, err
}

func (p *Pages) session(c echo.Context) (s webauthn.SessionData, err error) {
	data, err := p.store.EndCeremony(c.Request().Context(), c.FormValue("ceremony"))
	if err != nil {
		return s, err
	}
	return s, json.Unmarshal(data, &s)
}

// makePasskey begins to make a passkey for who is signed in.
func (p *Pages) makePasskey(c echo.Context, v *visit) (*ceremony, error) {
	r, err := p.relying(c)
	if err != nil {
		return nil, err
	}
	h, err := p.holder(c, v.Actor.ID, v.Actor.Name)
	if err != nil {
		return nil, err
	}
	o, s, err := r.BeginRegistration(h, webauthn.WithResidentKeyRequirement(protocol.ResidentKeyRequirementRequired),
		webauthn.WithExclusions(webauthn.Credentials(h.keys).CredentialDescriptors()))
	if err != nil {
		return nil, err
	}
	return p.begin(c, o, s)
}

// keepPasskey ends it with the browser's answer.
func (p *Pages) keepPasskey(c echo.Context, v *visit) error {
	r, err := p.relying(c)
	if err != nil {
		return err
	}
	s, err := p.session(c)
	if err != nil {
		return err
	}
	answer, err := protocol.ParseCredentialCreationResponseBytes([]byte(c.FormValue("response")))
	if err != nil {
		return refusedPasskey(err)
	}
	k, err := r.CreateCredential(&holder{id: v.Actor.ID, name: v.Actor.Name}, s, answer)
	if err != nil {
		return refusedPasskey(err)
	}
	kept, err := json.Marshal(k)
	if err != nil {
		return err
	}
	return p.store.AddPasskey(c.Request().Context(), v.Actor, k.ID, kept)
}

// askPasskey begins to sign somebody in by whichever passkey they have.
func (p *Pages) askPasskey(c echo.Context) (*ceremony, error) {
	r, err := p.relying(c)
	if err != nil {
		return nil, err
	}
	o, s, err := r.BeginDiscoverableLogin()
	if err != nil {
		return nil, err
	}
	return p.begin(c, o, s)
}

// byPasskey ends it and tells who that is.
func (p *Pages) byPasskey(c echo.Context) (store.Actor, error) {
	r, err := p.relying(c)
	if err != nil {
		return store.Actor{}, err
	}
	s, err := p.session(c)
	if err != nil {
		return store.Actor{}, err
	}
	answer, err := protocol.ParseCredentialRequestResponseBytes([]byte(c.FormValue("response")))
	if err != nil {
		return store.Actor{}, refusedPasskey(err)
	}
	k, err := r.ValidateDiscoverableLogin(func(_, handle []byte) (webauthn.User, error) {
		id, err := strconv.ParseInt(string(handle), 10, 64)
		if err != nil {
			return nil, err
		}
		return p.holder(c, id, "")
	}, s, answer)
	if err != nil {
		return store.Actor{}, refusedPasskey(err)
	}
	if k.Authenticator.CloneWarning {
		return store.Actor{}, refusedPasskey(nil)
	}
	kept, err := json.Marshal(k)
	if err != nil {
		return store.Actor{}, err
	}
	return p.store.UsePasskey(c.Request().Context(), k.ID, kept)
}

func refusedPasskey(err error) error {
	return &fault.Error{Kind: fault.Unauthenticated, Code: "passkey-refused", Detail: t("passkey.refused"), Err: err}
}

// passkeyForm signs in by a passkey: first what the browser needs, then its
// answer.
func (p *Pages) passkeyForm(c echo.Context, v *visit) error {
	back := localPath(c.FormValue("back"))
	if c.FormValue("response") == "" {
		k, err := p.askPasskey(c)
		if err != nil {
			return err
		}
		return p.render(c, http.StatusOK, "sign-in", view{Title: t("signin.title"), Nav: "sign-in", Visit: v,
			Body: signInView{Back: back, Passkey: k, Passkeys: true}})
	}
	a, err := p.byPasskey(c)
	if err != nil {
		return err
	}
	if _, err := p.enter(c, v, a); err != nil {
		return err
	}
	return c.Redirect(http.StatusSeeOther, back)
}

// passkeyID is a passkey's ID as a form has it.
func passkeyID(id []byte) string { return base64.RawURLEncoding.EncodeToString(id) }

func passkeyFrom(s string) []byte {
	b, _ := base64.RawURLEncoding.DecodeString(s) // one that is none is nobody's
	return b
}
