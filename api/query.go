package api

import (
	"boardlore/domain/message"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/labstack/echo/v4"

	"boardlore/domain/finding"
	"boardlore/store"
)

// param describes one parameter of a query. Exactly the described ones are
// taken: a mistyped "varaint" that went unnoticed would answer with the wrong
// board.
type param struct {
	name    string
	about   string
	choices []string // the values that it may have, for texts
	number  bool     // a whole number from min to max
	decimal bool     // any number from min to max
	min     int      // also the fewest characters of a text
	max     int
	many    bool // may stand several times
	figure  bool // as decimal, where the contract answers 422: the handler holds it to that
}

// Parameters that several routes share.
var (
	limitParam    = param{name: "limit", about: "entries of one page", number: true, min: 1, max: 200}
	cursorParam   = param{name: "cursor", about: "where the page begins, as a next link gave it"}
	envelopeParam = param{name: "envelope", about: "the map in its envelope, which says what it is",
		choices: []string{"true", "false"}}
	variantParam = param{name: "variant", about: "build of the board; the base map where absent"}
)

// maxText bounds a text in a query, in bytes.
const maxText = 1000

// checkQuery holds a query to the described parameters and names every fault.
// An empty value counts as absent.
func checkQuery(u *url.URL, params []param) error {
	if u.RawQuery == "" {
		return nil
	}
	values, err := url.ParseQuery(u.RawQuery)
	if err != nil {
		return refuse("parameter-invalid", "api.query-unreadable", err)
	}
	var errs []ProblemError
	names := make([]string, 0, len(values))
	for n := range values {
		names = append(names, n)
	}
	slices.Sort(names)
	for _, n := range names {
		if sentence := paramFault(n, values[n], params); !sentence.IsZero() {
			errs = append(errs, ProblemError{Parameter: n, Code: "parameter-invalid", Severity: finding.Stop,
				Detail: sentence})
		}
	}
	if errs == nil {
		return nil
	}
	p := refused("parameter-invalid", errs[0].Detail)
	p.Errors = errs
	return p
}

func paramFault(name string, values []string, params []param) message.Message {
	i := slices.IndexFunc(params, func(p param) bool { return p.name == name })
	if i < 0 {
		return message.Of("api.there-no-parameter-quoted", clip(name), paramNames(params))
	}
	p := params[i]
	if len(values) > 1 && !p.many {
		return message.Of("api.parameter-quoted-stands-times", name, len(values))
	}
	for _, v := range values {
		if s := p.fault(v); !s.IsZero() {
			return s
		}
	}
	return message.Message{}
}

func (p param) fault(v string) message.Message {
	switch {
	case v == "":
		return message.Message{}
	case p.number:
		if n, err := strconv.Atoi(v); err != nil || n < p.min || n > p.max || v[0] == '+' {
			return message.Of("api.no-whole-number-from", p.name, clip(v), p.min, p.max)
		}
	case p.decimal:
		if x, err := strconv.ParseFloat(v, 64); err != nil || !(x >= float64(p.min) && x <= float64(p.max)) {
			return message.Of("api.no-number-from", p.name, clip(v), p.min, p.max)
		}
	case p.choices != nil && !slices.Contains(p.choices, v):
		return message.Of("api.not-one", p.name, clip(v), strings.Join(p.choices, ", "))
	case utf8.RuneCountInString(v) < p.min:
		return message.Of("api.takes-characters-more", p.name, p.min)
	case !plainText(v):
		return message.Of("api.value-not-plain-text", p.name, maxText)
	}
	return message.Message{}
}

func plainText(v string) bool {
	return len(v) <= maxText && utf8.ValidString(v) && !strings.ContainsFunc(v, func(r rune) bool {
		return r < ' ' ||
			r == 0x7f
	})
}

func paramNames(params []param) message.Message {
	if len(params) == 0 {
		return message.Of("api.address-takes-none")
	}
	names := make([]string, len(params))
	for i, p := range params {
		names[i] = p.name
	}
	return message.Of("api.use-parameters", message.Commas(names))
}

// clip keeps what is quoted back short.
func clip(s string) string {
	if r := []rune(strings.ToValidUTF8(s, "�")); len(r) > 60 {
		return string(r[:59]) + "…"
	}
	return strings.ToValidUTF8(s, "�")
}

// number is a parameter that checkQuery has held to its range; absent is what
// an absent one means.
func number(c echo.Context, name string, absent int) int {
	n, err := strconv.Atoi(c.QueryParam(name))
	if err != nil {
		return absent
	}
	return n
}

// decimal is a parameter that checkQuery has held to its range, with a
// fraction perhaps; absent is what an absent one means.
func decimal(c echo.Context, name string, absent float64) float64 {
	x, err := strconv.ParseFloat(c.QueryParam(name), 64)
	if err != nil {
		return absent
	}
	return x
}

// page is which page of a list is asked for.
func page(c echo.Context) store.Page {
	return store.Page{After: c.QueryParam("cursor"), Limit: number(c, "limit", 0)}
}

// checkPath holds the parameters of a path to their form, before they reach a
// look-up: "abc" is no number of a proposal, and NUL no part of any name.
func checkPath(c echo.Context) error {
	for _, name := range c.ParamNames() {
		v := c.Param(name)
		if !plainText(v) {
			return refuse("not-found", "api.not-found")
		}
		if name == "id" || name == "n" || name == "review" {
			if n, err := strconv.ParseInt(v, 10, 64); err != nil || n < 1 || n > 1<<53 || v[0] == '+' {
				return refuse("parameter-invalid", "api.parameter-invalid", clip(v))
			}
		}
	}
	return nil
}

// id is a numeric parameter of the path that checkPath has held to its form.
func id(c echo.Context, name string) int64 {
	n, _ := strconv.ParseInt(c.Param(name), 10, 64)
	return n
}
