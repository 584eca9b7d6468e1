package api

import (
	"errors"
	"net/http"
	"slices"
	"strings"

	"github.com/elnormous/contenttype"

	"boardlore/api/coded"
)

// tagMatch says whether a list of entity tags (If-Match, If-None-Match) names
// the representation of strong tag opaque, and returns the tag as it was
// named. Weak tags match only where weak comparison is asked for.
func tagMatch(header, opaque string, weak bool) (string, bool) {
	for rest := strings.TrimSpace(header); rest != ""; {
		if rest[0] == '*' {
			return `"` + opaque + `"`, true
		}
		tag, isWeak, after, ok := nextTag(rest)
		if !ok {
			return "", false
		}
		if (weak || !isWeak) && coded.PlainTag(tag) == opaque {
			return `"` + tag + `"`, true
		}
		rest = strings.TrimLeft(after, " \t,")
	}
	return "", false
}

// nextTag cuts one entity tag off the front of s.
func nextTag(s string) (tag string, weak bool, after string, ok bool) {
	s, weak = strings.CutPrefix(s, "W/")
	if s == "" || s[0] != '"' {
		return "", false, "", false
	}
	tag, after, ok = strings.Cut(s[1:], `"`)
	return tag, weak, after, ok
}

// ifMatch reads the If-Match header of an act: none where it is absent, "*", or
// the opaque tags without quotes, of the plain form where they name a coded one. A header
// that holds no entity tag is refused rather than taken for an absent one.
func ifMatch(h http.Header) ([]string, error) {
	values := h.Values("If-Match")
	if len(values) == 0 {
		return nil, nil
	}
	var tags []string
	for rest := strings.TrimSpace(strings.Join(values, ",")); rest != ""; {
		if rest[0] == '*' {
			return []string{"*"}, nil
		}
		tag, weak, after, ok := nextTag(rest)
		if !ok {
			return nil, badTag()
		}
		if !weak {
			tags = append(tags, coded.PlainTag(tag))
		}
		rest = strings.TrimLeft(after, " \t,")
	}
	if tags == nil {
		return nil, badTag()
	}
	return tags, nil
}

func badTag() error {
	return refuse("malformed", "api.if-match-needs-strong")
}

// precondition evaluates the conditional headers of a GET or HEAD against the
// strong tag opaque, in the order of RFC 9110 section 13.2.2. It returns 0 to
// go on, 304 with the tag to name, or 412.
func precondition(h http.Header, opaque string) (status int, tag string) {
	if m := h.Values("If-Match"); len(m) > 0 {
		if _, ok := tagMatch(strings.Join(m, ","), opaque, false); !ok {
			return http.StatusPreconditionFailed, ""
		}
	}
	if m := h.Values("If-None-Match"); len(m) > 0 {
		if t, ok := tagMatch(strings.Join(m, ","), opaque, true); ok {
			return http.StatusNotModified, t
		}
	}
	return 0, ""
}

// accepted picks the first of the offered media types that the Accept header
// ranks highest; "" where it takes none of them. A header that cannot be read
// takes anything, as does none.
func accepted(header string, offered ...string) string {
	header = strings.TrimSpace(header)
	if header == "" || header == "*/*" {
		return offered[0]
	}
	if slices.Contains(offered, header) {
		return header
	}
	available := make([]contenttype.MediaType, len(offered))
	for i, o := range offered {
		available[i] = contenttype.NewMediaType(o)
		available[i].Parameters = contenttype.Parameters{"charset": "utf-8"} // what clients like to ask for unasked
	}
	got, _, err := contenttype.GetAcceptableMediaTypeFromHeader(strings.ToLower(header), available)
	switch {
	case errors.Is(err, contenttype.ErrNoAcceptableTypeFound):
		return ""
	case err != nil:
		return offered[0]
	}
	return got.MIME()
}
