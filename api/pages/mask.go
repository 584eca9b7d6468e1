package pages

import (
	"bytes"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"encoding/json"
	"net/http"

	"github.com/labstack/echo/v4"

	"boardlore/api"
)

const pageMedia = "text/html; charset=UTF-8"

// keyMark is where the key of a visitor's forms goes in a page. Nobody can
// guess it, so that no text of a map can have it.
var keyMark = rand.Text()

// send writes a page. The key in its forms looks different each time: a page
// that is compressed with the same secret again and again, beside words that
// somebody else chose, gives the secret away by its length.
func (p *Pages) send(c echo.Context, status int, v *visit, page []byte) error {
	keep(c, status, page)
	if !hasKey(page) {
		return api.Send(c, status, pageMedia, page)
	}
	if err := api.Bounded(c, len(page)); err != nil {
		return err
	}
	same := sha256.New()
	same.Write(page)
	same.Write([]byte(v.key))
	return api.SendMasked(c, status, pageMedia, hex.EncodeToString(same.Sum(nil)),
		bytes.ReplaceAll(page, []byte(keyMark), []byte(v.masked())))
}

// sendJSON answers what a page's script asks for.
func sendJSON(c echo.Context, v any) error {
	b, err := json.Marshal(v)
	if err != nil {
		return err
	}
	return api.Send(c, http.StatusOK, echo.MIMEApplicationJSON, b)
}

// hasKey tells a page that is to have the visitor's key in it.
func hasKey(page []byte) bool { return bytes.Contains(page, []byte(keyMark)) }

// masked is the visitor's key under a mask, behind the mask.
func (v *visit) masked() string {
	key := []byte(v.key)
	out := make([]byte, 2*len(key))
	mask := out[:len(key)]
	_, _ = rand.Read(mask) // never fails, by its documentation
	subtle.XORBytes(out[len(key):], key, mask)
	return hex.EncodeToString(out)
}

// made says whether a form was made for this visitor.
func (v *visit) made(masked string) bool {
	b, err := hex.DecodeString(masked)
	if err != nil || len(b) != 2*len(v.key) {
		return false
	}
	key := make([]byte, len(v.key))
	subtle.XORBytes(key, b[:len(key)], b[len(key):])
	return hmac.Equal(key, []byte(v.key))
}
