package api

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/labstack/echo/v4"

	"boardlore/api/coded"
	"boardlore/domain/list"
	"boardlore/domain/message"
)

// links are the ways on from an answer, by what they lead to.
type links map[string]string

// pathOf joins the parts of a path under Prefix, each escaped.
func pathOf(parts ...string) string {
	var b strings.Builder
	b.Grow(128)
	b.WriteString(Prefix)
	for _, s := range parts {
		b.WriteByte('/')
		b.WriteString(url.PathEscape(s))
	}
	return b.String()
}

func itoa(n int64) string { return strconv.FormatInt(n, 10) }

// timeForm is RFC 3339 in UTC, always of one length, so that times in order are
// texts in order.
const timeForm = "2006-01-02T15:04:05.000000Z"

// asJSON is how every answer is written as JSON, in each language.
var asJSON = func() map[*message.Language]json.Options {
	times := json.MarshalToFunc(func(e *jsontext.Encoder, t time.Time) error {
		return e.WriteToken(jsontext.String(t.UTC().Format(timeForm)))
	})
	all := map[*message.Language]json.Options{}
	for _, l := range message.Languages {
		all[l] = json.JoinOptions(json.Deterministic(true),
			json.WithMarshalers(json.JoinMarshalers(times, message.Marshalers(l))))
	}
	return all
}()

// languageTags are the languages that answers are to be had in, as BCP 47 tags.
func languageTags() []string {
	var tags []string
	for _, l := range message.Languages {
		tags = append(tags, l.Tag)
	}
	return tags
}

// tongue is the language of an answer, which its headers name.
func tongue(c echo.Context) *message.Language {
	l := message.Match(c.Request().Header.Get("Accept-Language"))
	h := c.Response().Header()
	if h.Get("Content-Language") == "" {
		h.Add("Vary", "Accept-Language")
		h.Set("Content-Language", l.Tag)
	}
	return l
}

// reply writes v as JSON.
func reply(c echo.Context, status int, v any) error {
	var body Short
	if err := json.MarshalWrite(&body, v, asJSON[tongue(c)]); err != nil {
		return Writing(err)
	}
	return send(c, status, "application/json", append(body.b, '\n'))
}

// send writes a whole body in the form that the client likes best; of a HEAD
// request only its headers. What is read has a strong ETag, and heeds conditions.
func send(c echo.Context, status int, media string, body []byte) error {
	read := c.Request().Method == http.MethodGet || c.Request().Method == http.MethodHead
	if read && status == http.StatusOK {
		sum := hash(body)
		return sendSummed(c, media, sum, sum, body)
	}
	return write(c, status, media, coded.Once(asked(c), media, body), len(body))
}

// Send writes a page, or what belongs to one, as answers of the contract are written.
func Send(c echo.Context, status int, media string, body []byte) error {
	return send(c, status, media, body)
}

// SendSummed is Send of a whole page that was read, whose SHA-256 is known.
func SendSummed(c echo.Context, media, sum string, body []byte) error {
	return sendSummed(c, media, sum, sum, body)
}

// SendMasked writes a body whose secrets look different each time: under a weak
// tag, and coded anew, so that its length tells nothing of them. opaque is of
// what stays the same.
func SendMasked(c echo.Context, status int, media, opaque string, body []byte) error {
	h := c.Response().Header()
	vary(h, media)
	if r := c.Request(); status == http.StatusOK && (r.Method == http.MethodGet || r.Method == http.MethodHead) {
		h.Set("ETag", `W/"`+opaque+`"`)
		if _, same := tagMatch(strings.Join(r.Header.Values("If-None-Match"), ","), opaque, true); same {
			return c.NoContent(http.StatusNotModified)
		}
	}
	return write(c, status, media, coded.Once(asked(c), media, body), len(body))
}

// asked is what the client takes. Whoever takes nothing was refused before.
func asked(c echo.Context) coded.Asked {
	a, _ := coded.Ask(c.Request().Header)
	return a
}

// write writes a body that has its form, and was so many bytes without it.
func write(c echo.Context, status int, media string, b coded.Body, bytes int) error {
	if err := Bounded(c, bytes); err != nil {
		return err
	}
	h := c.Response().Header()
	h["Content-Type"] = []string{media}
	if len(h["Cache-Control"]) == 0 {
		h["Cache-Control"] = noCache
	}
	vary(h, media)
	if b.Form != coded.Plain {
		h.Set("Content-Encoding", b.Form.Name())
	}
	h["Content-Length"] = []string{strconv.Itoa(len(b.Bytes))}
	c.Response().WriteHeader(status)
	if c.Request().Method == http.MethodHead {
		return nil
	}
	_, err := c.Response().Write(b.Bytes)
	return err
}

const acceptEncoding = "Accept-Encoding"

// Values of Vary and Cache-Control that many answers have.
var (
	onCoding = []string{acceptEncoding}
	noCache  = []string{"no-cache"}
)

// vary says, once, that what is sent depends on the codings that are taken.
func vary(h http.Header, media string) {
	switch {
	case !coded.Varies(media) || slices.ContainsFunc(h["Vary"],
		func(v string) bool { return strings.Contains(v, acceptEncoding) }):
	case len(h["Vary"]) == 0:
		h["Vary"] = onCoding
	default:
		h.Add("Vary", acceptEncoding)
	}
}

// sendCSV writes rows as a table, the first of them its headings.
func sendCSV(c echo.Context, rows [][]string) error {
	return send(c, http.StatusOK, "text/csv; charset=utf-8; header=present", list.CSV(rows))
}

// cacheImmutable marks an answer that never changes.
func cacheImmutable(c echo.Context) {
	c.Response().Header().Set("Cache-Control", "public, max-age=31536000, immutable")
}

// cacheDaily marks an answer that never changes but may be withdrawn: caches have to
// ask again after a day, so that a withdrawal reaches people.
func cacheDaily(c echo.Context) {
	c.Response().Header().Set("Cache-Control", "public, max-age=86400, must-revalidate")
}

// sendTagged writes a body under a strong ETag, or 304 or 412 as the request's
// conditions have it.
func sendTagged(c echo.Context, media, opaque string, body []byte) error {
	return sendSummed(c, media, opaque, hash(body), body)
}

// sendSummed is sendTagged of a body whose SHA-256 is known.
func sendSummed(c echo.Context, media, opaque, sum string, body []byte) error {
	h := c.Response().Header()
	vary(h, media)
	if done, err := conditional(c, opaque); done || err != nil {
		return err
	}
	b := coded.Keep(asked(c), media, sum, body)
	h["Etag"] = []string{`"` + b.Form.Tag(opaque) + `"`}
	h["Repr-Digest"] = []string{b.Digest}
	if b.Form == coded.Plain {
		h["Repr-Digest"] = []string{reprDigest(sum)}
	}
	return write(c, http.StatusOK, media, b, len(body))
}

// conditional sets the ETag of a GET and answers 304 or 412 where the request's
// conditions ask for it.
func conditional(c echo.Context, opaque string) (done bool, err error) {
	h := c.Response().Header()
	switch status, tag := precondition(c.Request().Header, opaque); status {
	case http.StatusNotModified:
		notModified(h, tag)
		return true, c.NoContent(http.StatusNotModified)
	case http.StatusPreconditionFailed:
		return true, refuse("stale", "api.what-here-now-not")
	}
	h["Etag"] = []string{`"` + opaque + `"`}
	return false, nil
}

// notModified leaves of the headers what a 304 has to say: whatever else there
// is, whoever asks has already (RFC 9110, section 15.4.5).
func notModified(h http.Header, tag string) {
	h["Etag"] = []string{tag}
	if len(h["Cache-Control"]) == 0 {
		h["Cache-Control"] = noCache
	}
	for _, known := range []string{"X-Content-Type-Options", "Referrer-Policy", "Content-Security-Policy", "Link"} {
		delete(h, known)
	}
}

// nextLink is the address of the page after this one, "" at the end; it also
// goes into the Link header (RFC 8288), as does the first page's.
func nextLink(c echo.Context, next string) string {
	u := *c.Request().URL
	q := u.Query()
	q.Del("cursor")
	u.RawQuery = q.Encode()
	h := c.Response().Header()
	h.Add("Link", "<"+u.RequestURI()+`>; rel="first"`)
	if next == "" {
		return ""
	}
	q.Set("cursor", next)
	u.RawQuery = q.Encode()
	h.Add("Link", "<"+u.RequestURI()+`>; rel="next"`)
	return u.RequestURI()
}
