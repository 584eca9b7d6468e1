package api

import (
	"encoding/xml"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"github.com/labstack/echo/v4"

	"boardlore/store"
)

type eventsAnswer struct {
	Events []eventAnswer `json:"events"`
	Next   string        `json:"next,omitzero"`
	Links  links         `json:"links"`
}

type eventAnswer struct {
	ID         int64     `json:"id"` // 1, 2, 3 … in the order in which the acts took effect
	At         time.Time `json:"at"`
	Who        string    `json:"who"`
	What       string    `json:"what"`
	Sentence   string    `json:"sentence"`
	Board      string    `json:"board,omitzero"`
	Proposal   int64     `json:"proposal,omitzero"`
	Version    int       `json:"version,omitzero"`
	Revision   int       `json:"revision,omitzero"`
	Kit        string    `json:"kit,omitzero"`
	Photograph string    `json:"photograph,omitzero"`
	Links      links     `json:"links,omitzero"`
}

func eventOf(e *store.Event) eventAnswer {
	a := eventAnswer{ID: e.ID, At: e.At, Who: e.Who, What: e.What, Sentence: e.Sentence, Board: e.Board, Proposal: e.Proposal,
		Version: e.Version, Revision: e.Revision, Kit: e.Kit, Photograph: e.Photograph, Links: links{}}
	if e.Board != "" {
		a.Links["board"] = at("boards", e.Board)
	}
	if e.Proposal > 0 {
		a.Links["proposal"] = at("proposals", itoa(e.Proposal))
	}
	if e.Revision > 0 && e.Board != "" {
		a.Links["revision"] = at("boards", e.Board, "revisions", strconv.Itoa(e.Revision))
	}
	if e.Kit != "" {
		a.Links["kit"] = at("kits", e.Kit)
	}
	if e.Photograph != "" {
		a.Links["photograph"] = at("photographs", e.Photograph)
	}
	return a
}

func (s *server) events(c echo.Context) error {
	return s.listEvents(c, "", links{"feed": at("events.atom"), "boards": at("boards")})
}

func (s *server) boardEvents(c echo.Context) error {
	name := c.Param("board")
	if _, err := s.store.BoardName(c.Request().Context(), name); err != nil {
		return err
	}
	return s.listEvents(c, name, links{"feed": at("boards", name, "events.atom"), "board": at("boards", name)})
}

func (s *server) listEvents(c echo.Context, name string, l links) error {
	list, err := s.store.Events(c.Request().Context(), store.EventFilter{
		Board: name, Proposal: int64(number(c, "proposal", 0)), Newest: c.QueryParam("order") == "newest", Page: page(c)})
	if err != nil {
		return err
	}
	a := eventsAnswer{Events: make([]eventAnswer, len(list.Items)), Next: nextLink(c, list.Next), Links: l}
	for i := range list.Items {
		a.Events[i] = eventOf(&list.Items[i])
	}
	return reply(c, http.StatusOK, a)
}

// feedEntries is how many of the newest events a feed shows; the JSON list has
// them all.
const feedEntries = 50

// atomFeed is a feed after RFC 4287.
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
	return s.writeFeed(c, "", "Board maps: what happens", at("events"))
}

func (s *server) boardFeed(c echo.Context) error {
	id := c.Param("board")
	name, err := s.store.BoardName(c.Request().Context(), id)
	if err != nil {
		return err
	}
	return s.writeFeed(c, id, fmt.Sprintf("%s (%s): what happens to its map", name, id), at("boards", id, "events"))
}

func (s *server) writeFeed(c echo.Context, name, title, list string) error {
	found, err := s.store.Events(c.Request().Context(), store.EventFilter{Board: name, Things: true, Newest: true, Page: store.Page{Limit: feedEntries}})
	if err != nil {
		return err
	}
	base := s.base(c)
	self := base + c.Request().URL.Path
	f := atomFeed{ID: self, Title: title, Updated: time.Unix(0, 0).UTC().Format(time.RFC3339),
		Links: []atomLink{{"self", "application/atom+xml", self}, {"alternate", "application/json", base + list}}}
	for i := range found.Items {
		e := &found.Items[i]
		if i == 0 {
			f.Updated = e.At.Format(time.RFC3339Nano)
		}
		f.Entries = append(f.Entries, entryOf(e, base))
	}
	body, err := xml.MarshalIndent(&f, "", " ")
	if err != nil {
		return err
	}
	body = append([]byte(xml.Header), append(body, '\n')...)
	return sendTagged(c, http.StatusOK, "application/atom+xml; charset=utf-8", hash(body), body)
}

func entryOf(e *store.Event, base string) atomEntry {
	a := eventOf(e)
	href := base + at("events")
	for _, rel := range []string{"revision", "proposal", "kit", "photograph", "board"} {
		if to := a.Links[rel]; to != "" {
			href = base + to
			break
		}
	}
	return atomEntry{ID: base + at("events") + "#" + itoa(e.ID), Title: e.Sentence, Updated: e.At.Format(time.RFC3339Nano), Author: e.Who,
		Links: []atomLink{{"alternate", "", href}}, Content: atomText{"text", e.Sentence}}
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
