package api

import (
	"encoding/xml"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"boardlore/domain/message"
	"boardlore/store"
)

type eventsAnswer struct {
	Events []eventAnswer `json:"events"`
	Last   int64         `json:"last"` // to go on after, also where there is no next page
	Next   string        `json:"next,omitzero"`
	Links  links         `json:"links"`
}

type eventAnswer struct {
	ID         int64           `json:"id"` // 1, 2, 3 … in the order in which the acts took effect
	At         time.Time       `json:"at"`
	Who        string          `json:"who"`
	What       string          `json:"what"`
	Sentence   message.Message `json:"sentence"`
	Board      string          `json:"board,omitzero"`
	Proposal   int64           `json:"proposal,omitzero"`
	Version    int             `json:"version,omitzero"`
	Revision   int             `json:"revision,omitzero"`
	Kit        string          `json:"kit,omitzero"`
	Photograph string          `json:"photograph,omitzero"`
	Links      links           `json:"links,omitzero"`
}

func eventOf(e *store.Event) eventAnswer {
	a := eventAnswer{ID: e.ID, At: e.At, Who: e.Who, What: e.What, Sentence: e.Sentence, Board: e.Board,
		Proposal: e.Proposal,
		Version:  e.Version, Revision: e.Revision, Kit: e.Kit, Photograph: e.Photograph, Links: links{}}
	if e.Board != "" {
		a.Links["board"] = pathOf("boards", e.Board)
	}
	if e.Proposal > 0 {
		a.Links["proposal"] = pathOf("proposals", itoa(e.Proposal))
	}
	if e.Revision > 0 && e.Board != "" {
		a.Links["revision"] = pathOf("boards", e.Board, "revisions", strconv.Itoa(e.Revision))
	}
	if e.Kit != "" {
		a.Links["kit"] = pathOf("kits", e.Kit)
	}
	if e.Photograph != "" {
		a.Links["photograph"] = pathOf("photographs", e.Photograph)
	}
	return a
}

func (s *server) events(c echo.Context) error {
	return s.listEvents(c, "", links{"feed": pathOf("events.atom"), "boards": pathOf("boards")})
}

func (s *server) boardEvents(c echo.Context) error {
	name := c.Param("board")
	if _, err := s.store.BoardName(c.Request().Context(), name); err != nil {
		return err
	}
	return s.listEvents(c, name, links{"feed": pathOf("boards", name, "events.atom"), "board": pathOf("boards", name)})
}

func (s *server) listEvents(c echo.Context, name string, l links) error {
	f := store.EventFilter{Board: name, Proposal: int64(number(c, "proposal", 0)),
		What:  present(c.QueryParams()["what"]),
		After: int64(number(c, "after", 0)), Newest: c.QueryParam("order") == "newest", Page: page(c)}
	list, err := s.awaitEvents(c, f)
	if err != nil {
		return err
	}
	a := eventsAnswer{Events: make([]eventAnswer, len(list.Items)), Last: list.Last, Next: nextLink(c, list.Next),
		Links: l}
	for i := range list.Items {
		a.Events[i] = eventOf(&list.Items[i])
	}
	return reply(c, http.StatusOK, a)
}

// present leaves out empty values of a query, which count as absent.
func present(values []string) []string {
	return slices.DeleteFunc(slices.Clone(values), func(v string) bool { return v == "" })
}

// feedEntries is how many events one page of a feed shows.
const feedEntries = 50

// atomFeed is a page of a feed after RFC 4287 and RFC 5005.
type atomFeed struct {
	XMLName xml.Name    `xml:"http://www.w3.org/2005/Atom feed"`
	ID      string      `xml:"id"`
	Title   string      `xml:"title"`
	Updated string      `xml:"updated"`
	Links   []atomLink  `xml:"link"`
	Entries []atomEntry `xml:"entry"`
}

type atomLink struct {
	Rel  string `xml:"rel,attr"`
	Type string `xml:"type,attr,omitempty"`
	Href string `xml:"href,attr"`
}

type atomEntry struct {
	ID      string     `xml:"id"`
	Title   string     `xml:"title"`
	Updated string     `xml:"updated"`
	Author  string     `xml:"author>name"`
	Links   []atomLink `xml:"link"`
	Content atomText   `xml:"content"`
}

type atomText struct {
	Type string `xml:"type,attr"`
	Text string `xml:",chardata"`
}

func (s *server) feed(c echo.Context) error {
	return s.writeFeed(c, feedFilter{}, message.Of("feed.all"), pathOf("events"))
}

func (s *server) boardFeed(c echo.Context) error {
	id := c.Param("board")
	name, err := s.store.BoardName(c.Request().Context(), id)
	if err != nil {
		return err
	}
	return s.writeFeed(c, feedFilter{board: id}, message.Of("feed.board", name, id), pathOf("boards", id, "events"))
}

// feedFilter says whose events a feed has: all where it is zero.
type feedFilter struct {
	board   string
	watched int64 // account
}

// named is what the feed is called for ever.
func (f feedFilter) named(list string) string {
	if f.watched > 0 {
		return "accounts/" + itoa(f.watched) + "/watches"
	}
	return strings.TrimPrefix(list, Prefix+"/")
}

func (s *server) writeFeed(c echo.Context, f feedFilter, title message.Message, list string) error {
	ctx, in := c.Request().Context(), tongue(c)
	found, err := s.store.Events(ctx, store.EventFilter{Board: f.board, Watched: f.watched, Things: true,
		Newest: true,
		What:   present(c.QueryParams()["what"]),
		Page:   store.Page{After: c.QueryParam("cursor"), Limit: feedEntries}})
	if err != nil {
		return err
	}
	log, err := s.store.Log(ctx)
	if err != nil {
		return err
	}
	authority := strings.ReplaceAll(log.First, "/", "-")
	out := atomFeed{ID: tagURI(authority, epoch, f.named(list)), Title: in.Speak(title),
		Updated: epoch.Format(timeForm)}
	base := s.base(c)
	out.Links = append(pagesOf(c, base, nextLink(c, found.Next)), atomLink{"alternate", "application/json", base + list})
	for i := range found.Items {
		e := &found.Items[i]
		if i == 0 {
			out.Updated = e.At.Format(timeForm)
		}
		out.Entries = append(out.Entries, entryOf(in, e, base, authority))
	}
	body, err := xml.MarshalIndent(&out, "", " ")
	if err != nil {
		return err
	}
	body = append([]byte(xml.Header), append(body, '\n')...)
	return send(c, http.StatusOK, "application/atom+xml; charset=utf-8", body)
}

// pagesOf are the links between the pages of a feed (RFC 5005, section 3).
func pagesOf(c echo.Context, base, next string) []atomLink {
	const media = "application/atom+xml"
	u := *c.Request().URL
	pages := []atomLink{{"self", media, base + u.RequestURI()}}
	q := u.Query()
	q.Del("cursor")
	u.RawQuery = q.Encode()
	pages = append(pages, atomLink{"first", media, base + u.RequestURI()})
	if next != "" {
		pages = append(pages, atomLink{"next", media, base + next})
	}
	return pages
}

// epoch dates what has always been there.
var epoch = time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)

// tagURI is a name for ever (RFC 4151), whichever address the registry has. The
// day makes the events of a registry and of one that was brought back from its
// backup differ. No domain of .invalid can become anybody's (RFC 2606).
func tagURI(authority string, at time.Time, what string) string {
	return "tag:" + authority + ".invalid," + at.Format(time.DateOnly) + ":" + what
}

func entryOf(in *message.Language, e *store.Event, base, authority string) atomEntry {
	a, sentence := eventOf(e), in.Speak(e.Sentence)
	href := base + pathOf("events")
	for _, rel := range []string{"revision", "proposal", "kit", "photograph", "board"} {
		if to := a.Links[rel]; to != "" {
			href = base + to
			break
		}
	}
	return atomEntry{ID: tagURI(authority, e.At, "events/"+itoa(e.ID)), Title: sentence, Updated: e.At.Format(timeForm),
		Author: e.Who,
		Links:  []atomLink{{"alternate", "", href}}, Content: atomText{"text", sentence}}
}

// base is the server's address as the world sees it.
func (s *server) base(c echo.Context) string {
	if s.public != "" {
		return s.public
	}
	scheme := "http" // what a proxy says of itself is nobody's to believe; PublicURL is there for it
	if c.IsTLS() {
		scheme = "https"
	}
	return scheme + "://" + c.Request().Host
}
