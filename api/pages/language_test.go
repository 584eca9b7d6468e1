package pages_test

import (
	"strings"
	"testing"
)

// TestLanguages: a page is in the language that was chosen, else in the one
// that the browser asks for, and no sentence of it is left in another.
func TestLanguages(t *testing.T) {
	w := newSite(t)
	for _, c := range []struct{ accept, cookie, lang, says string }{
		{"", "", "en", "Find a board"},
		{"fr, de;q=0.5", "", "de", "Platine finden"},
		{"de", "language=en", "en", "Find a board"},
		{"en", "language=de", "de", "Platine finden"},
		{"", "language=xx", "en", "Find a board"},
	} {
		h, body := look(t, w, "/", "Accept-Language", c.accept, "Cookie", c.cookie)
		if h.Get("Content-Language") != c.lang || !strings.Contains(h.Get("Vary"), "Accept-Language") ||
			!strings.Contains(body, `<html lang="`+c.lang+`"`) || !strings.Contains(body, c.says) {
			t.Errorf("%+v: %v", c, h)
		}
	}
	_, body := look(t, w, "/boards/"+boardID, "Accept-Language", "de")
	for _, says := range []string{"Warnungen", "Bausatz prüfen", `hreflang="en"`} {
		if !strings.Contains(body, says) {
			t.Errorf("the German page of a board does not say %q", says)
		}
	}
	for _, says := range []string{"page.", "Check a kit", "{1}"} {
		if strings.Contains(body, says) {
			t.Errorf("the German page of a board says %q", says)
		}
	}
}
