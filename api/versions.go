package api

import (
	"net/http"
	"strconv"
	"time"
)

// aboutVersions is what tool authors may rely on, a line a rule.
var aboutVersions = []string{
	"The prefix /v1 names the version of the contract. Within it a program that worked goes on working.",
	"May come within v1: routes, parameters, members of answers, kinds of event, types of problem, rules, media types. Ignore what you do not know.",
	"May come within v1 in documents: members that may be left out. A document says with $schema for which schema it was written, and an envelope with schema.",
	"Never within v1: a member, route or parameter that goes or gets another meaning or type; a limit that is narrowed; a code that changes.",
	"An exception: what proves dangerous to people at the bench is refused or told at once, and stands in the changes with the reason.",
	"A released revision keeps its bytes and its digest whatever the version; the digest is that of its RFC 8785 form.",
	"Sentences are for people and may be reworded at any time; programs go by code, kind, severity and pointer.",
	"What is to go is announced a year ahead: its answers bear Deprecation (RFC 9745) and Sunset (RFC 8594), and a Link (rel=deprecation) to what takes its place.",
	"A route that is announced so has deprecated: true in the description, and goes with the next prefix at the earliest.",
	"The server's own version is SemVer (GET /v1); its minor number rises with what comes, its major one with a new prefix.",
}

// ending is the announcement that a route is to go.
type ending struct {
	since  time.Time // when that was announced
	sunset time.Time // when it may be gone
	see    string    // address of what takes its place
}

// tell puts an announcement on an answer, as RFC 9745 and RFC 8594 have it.
func (e *ending) tell(h http.Header) {
	if e == nil {
		return
	}
	h.Set("Deprecation", "@"+strconv.FormatInt(e.since.Unix(), 10))
	h.Set("Sunset", e.sunset.UTC().Format(http.TimeFormat))
	h.Add("Link", "<"+e.see+`>; rel="deprecation"`)
}
