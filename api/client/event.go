package client

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"net/http"
	"net/url"
	"time"

	"github.com/go-json-experiment/json/jsontext"
)

// EventFilter says which events are wanted.
type EventFilter struct {
	Proposal int64    `url:"proposal,omitempty"` // of all events alone
	After    int64    `url:"after,omitempty"`    // number of the event after which to go on
	What     []string `url:"what,omitempty"`     // kinds; none for all
	Order    string   `url:"order,omitempty"`    // oldest, which is first, or newest
	Page
}

// Events lists everything that happened, in order.
func (c *Client) Events(ctx context.Context, f EventFilter) (Answer[EventList], error) {
	return fetch[EventList](ctx, c, pathOf("events"), f)
}

// BoardEvents lists what happened to a board.
func (c *Client) BoardEvents(ctx context.Context, id string, f EventFilter) (Answer[EventList], error) {
	f.Proposal = 0
	return fetch[EventList](ctx, c, pathOf("boards", id, "events"), f)
}

// longestWait is how long a registry is asked to wait for an event, in seconds;
// well below the time that a client gives a request.
const longestWait = 25

// Watch gives events as they come, from the one after f.After on, of one board
// or, where id is "", of all. It ends with ctx, and with an error that trying
// again would not mend; while the registry is away it waits for it to come back.
func (c *Client) Watch(ctx context.Context, id string, f EventFilter) iter.Seq2[Event, error] {
	path := pathOf("events")
	if id != "" {
		path, f.Proposal = pathOf("boards", id, "events"), 0
	}
	f.Order, f.Cursor = "", ""
	return func(yield func(Event, error) bool) {
		for {
			r := request{path: path, accept: jsonMedia,
				header: http.Header{"Prefer": {fmt.Sprintf("wait=%d", longestWait)}}}
			a, err := read[EventList](ctx, c, r, f)
			switch {
			case ctx.Err() != nil:
				return
			case err != nil && !away(err):
				yield(Event{}, err)
				return
			case err != nil:
				c.trouble(err)
				if !rest(ctx, 5*time.Second) {
					return
				}
				continue
			}
			for _, e := range a.Value.Events {
				if !yield(e, nil) {
					return
				}
			}
			if a.Value.Last <= f.After && len(a.Value.Events) > 0 {
				yield(Event{}, errors.New("the registry gives the same events again"))
				return
			}
			f.After = max(f.After, a.Value.Last)
		}
	}
}

// rest waits; false where ctx ended meanwhile.
func rest(ctx context.Context, d time.Duration) bool {
	select {
	case <-ctx.Done():
		return false
	case <-time.After(d):
		return true
	}
}

type feedOf struct {
	What   []string `url:"what,omitempty"`
	Cursor string   `url:"cursor,omitempty"`
}

const atomMedia = "application/atom+xml"

// Feed is the events as an Atom feed in pages; cursor is "" for the first.
func (c *Client) Feed(ctx context.Context, what []string, cursor string) (Answer[[]byte], error) {
	return c.bytes(ctx, pathOf("events.atom"), atomMedia, feedOf{what, cursor})
}

// BoardFeed is Feed of one board.
func (c *Client) BoardFeed(ctx context.Context, id string, what []string, cursor string) (Answer[[]byte], error) {
	return c.bytes(ctx, pathOf("boards", id, "events.atom"), atomMedia, feedOf{what, cursor})
}

// WatchedFeed is Feed of what an account watches, by the secret of its address.
func (c *Client) WatchedFeed(ctx context.Context, secret string, what []string, cursor string) (Answer[[]byte],
	error) {
	return c.bytes(ctx, pathOf("watched.atom"), atomMedia, struct {
		Feed string `url:"feed"`
		feedOf
	}{secret, feedOf{what, cursor}})
}

// Index tells what is here.
func (c *Client) Index(ctx context.Context) (Answer[Index], error) {
	return fetch[Index](ctx, c, "/v1", nil)
}

// Description is the OpenAPI 3.1 description.
func (c *Client) Description(ctx context.Context) (Answer[jsontext.Value], error) {
	return fetch[jsontext.Value](ctx, c, pathOf("openapi.json"), nil)
}

// Reference is the description as a page (HTML), with what may change.
func (c *Client) Reference(ctx context.Context) (Answer[[]byte], error) {
	return c.bytes(ctx, pathOf("reference"), "text/html", nil)
}

// Schemas lists the JSON Schema documents.
func (c *Client) Schemas(ctx context.Context) (Answer[SchemaList], error) {
	return fetch[SchemaList](ctx, c, pathOf("schemas"), nil)
}

// Schema is one of them, with what it refers to.
func (c *Client) Schema(ctx context.Context, name string) (Answer[[]byte], error) {
	return c.bytes(ctx, pathOf("schemas", name), "application/schema+json", nil)
}

// Problems lists the types of problem, as text.
func (c *Client) Problems(ctx context.Context) (Answer[[]byte], error) {
	return c.bytes(ctx, "/problems", "text/plain", nil)
}

// Problem tells of one type of problem, by the code of a Refusal.
func (c *Client) Problem(ctx context.Context, code string) (Answer[[]byte], error) {
	return c.bytes(ctx, "/problems/"+url.PathEscape(code), "text/plain", nil)
}

// Health tells whether the process answers.
func (c *Client) Health(ctx context.Context) (Answer[Health], error) {
	return own[Health](ctx, c, "/healthz", nil)
}

// Ready tells whether requests can be served.
func (c *Client) Ready(ctx context.Context) (Answer[Health], error) {
	return own[Health](ctx, c, "/readyz", nil)
}
