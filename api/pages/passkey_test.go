package pages_test

import (
	"net/url"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/webauthn"
	"github.com/chromedp/chromedp"
)

// TestPasskey makes a passkey and signs in with it, in a browser with a virtual
// authenticator (WebAuthn Level 2, section 11), on the one name by which a
// plain-http server has passkeys: the machine's own.
func TestPasskey(t *testing.T) {
	w := newSite(t)
	w.URL = strings.Replace(w.URL, "127.0.0.1", "localhost", 1)
	p := w.person(t, w.author, sees{true, wide})
	_, err := chromedp.Call(p.ctx, webauthn.Enable, webauthn.EnableParams{})
	p.ok(err)
	device, err := chromedp.Call(p.ctx, webauthn.AddVirtualAuthenticator,
		webauthn.AddVirtualAuthenticatorParams{Options: &webauthn.VirtualAuthenticatorOptions{
			Protocol: webauthn.AuthenticatorProtocolCtap2, Transport: webauthn.AuthenticatorTransportInternal,
			HasResidentKey: true, HasUserVerification: true,
			IsUserVerified: true, AutomaticPresenceSimulation: true}})
	p.ok(err)
	p.open("/account")
	p.follow("Make a passkey")
	p.follow("Ask this device")
	p.see("Made on")
	made, err := chromedp.Call(p.ctx, webauthn.GetCredentials, webauthn.GetCredentialsParams(device))
	p.ok(err)
	if len(made.Credentials) != 1 || !made.Credentials[0].IsResidentCredential ||
		made.Credentials[0].RpID != "localhost" {
		t.Fatalf("the authenticator holds %+v", made)
	}
	p.follow("Sign out Ada")
	p.open("/sign-in?back=/account")
	p.follow("Sign in with a passkey")
	p.follow("Ask this device")
	p.see("You are Ada, a contributor.", "last used")
}

// TestNoPasskeys holds that the pages of a plain-http network say so, and that
// what a browser makes up is refused.
func TestNoPasskeys(t *testing.T) {
	w := newSite(t) // by the number 127.0.0.1, which is no name for a passkey
	v := w.visitor(t, w.author)
	_, body := v.get("/account")
	want(t, body, "browsers give passkeys to https alone")
	_, body = w.visitor(t, "").get("/sign-in")
	want(t, body, "browsers give passkeys to https alone")
	if status, _ := v.post("/account", "/account", url.Values{"act": {"passkey"}}); status != 409 {
		t.Errorf("a passkey on a plain address: %d", status)
	}
	w.URL = strings.Replace(w.URL, "127.0.0.1", "localhost", 1)
	v = w.visitor(t, "")
	for name, form := range map[string]url.Values{
		"no ceremony": {"act": {"passkey"}, "ceremony": {"none"}, "response": {"{}"}},
		"no answer":   {"act": {"passkey"}, "ceremony": {v.ceremony()}, "response": {"{}"}},
	} {
		if status, _ := v.post("/sign-in", "/sign-in", form); status != 404 && status != 401 {
			t.Errorf("%s: %d", name, status)
		}
	}
}

// ceremony begins to sign in by a passkey and gives the secret that ends it.
func (v *visitor) ceremony() string {
	v.t.Helper()
	_, body := v.post("/sign-in", "/sign-in", url.Values{"act": {"passkey"}})
	m := regexp.MustCompile(`name="ceremony" value="([^"]+)"`).FindStringSubmatch(body)
	if m == nil {
		v.t.Fatalf("no ceremony: %s", body)
	}
	return m[1]
}
