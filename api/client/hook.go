package client

import (
	"context"
	"net/http"
	"time"
)

// WatchList is what an account watches, newest first.
type WatchList struct {
	Watches    []Watch   `json:"watches"`
	FeedMadeAt time.Time `json:"feed_made_at,omitzero"` // zero where its feed has no address
	Links      Links     `json:"links"`
}

// Watch is a board, or a maker, that an account watches.
type Watch struct {
	ID     int64     `json:"id"`
	Board  string    `json:"board,omitzero"`
	Maker  string    `json:"maker,omitzero"`
	MadeAt time.Time `json:"made_at"`
	Links  Links     `json:"links"`
}

// NewWatch is what is to be watched: one of them.
type NewWatch struct {
	Board string `json:"board,omitzero"`
	Maker string `json:"maker,omitzero"`
}

// FeedMade is the address of an account's own feed, which is told once.
type FeedMade struct {
	Address string `json:"address"`
	Links   Links  `json:"links"`
}

// Watches lists what the account watches.
func (c *Client) Watches(ctx context.Context) (Answer[WatchList], error) {
	return own[WatchList](ctx, c, pathOf("account", "watches"), nil)
}

// AddWatch watches a board or a maker; twice is once.
func (c *Client) AddWatch(ctx context.Context, w NewWatch) (Watch, error) {
	return transmit[Watch](ctx, c, http.MethodPost, pathOf("account", "watches"), w, how{again: true})
}

// Unwatch watches something no more.
func (c *Client) Unwatch(ctx context.Context, id int64) error {
	return drop(ctx, c, pathOf("account", "watches", id))
}

// MakeFeed makes the address of the account's own feed; the one before ends.
func (c *Client) MakeFeed(ctx context.Context) (FeedMade, error) {
	return transmit[FeedMade](ctx, c, http.MethodPost, pathOf("account", "feed"), nil, how{})
}

// EndFeed has the address of the account's own feed lead nowhere.
func (c *Client) EndFeed(ctx context.Context) error { return drop(ctx, c, pathOf("account", "feed")) }

// HookList is who is told of releases and withdrawals, newest first.
type HookList struct {
	Hooks []Hook `json:"hooks"`
	Links Links  `json:"links"`
}

// Hook is an address that is told of releases and withdrawals.
type Hook struct {
	ID      int64     `json:"id"`
	Account string    `json:"account"`
	Address string    `json:"address"`
	Board   string    `json:"board,omitzero"` // the only one; "" for all
	Private bool      `json:"private"`        // may lie in a private network
	MadeAt  time.Time `json:"made_at"`
	GoneAt  time.Time `json:"gone_at,omitzero"` // when it said that it is no more
	Waiting int       `json:"waiting"`
	Dead    int       `json:"dead"` // deliveries that were given up
	Links   Links     `json:"links"`
}

// HookMade is a new hook with its secret, which is told once.
type HookMade struct {
	Hook
	Secret string `json:"secret"`
}

// NewHook is who wants to be told.
type NewHook struct {
	Address string `json:"address"`
	Board   string `json:"board,omitzero"`
	Private bool   `json:"private,omitzero"` // for stewards alone
}

// DeliveryList is the newest tellings of a hook.
type DeliveryList struct {
	Deliveries []Delivery `json:"deliveries"`
	Links      Links      `json:"links"`
}

// Delivery is one telling.
type Delivery struct {
	ID        int64     `json:"id"`
	Event     int64     `json:"event"`
	State     string    `json:"state"` // waiting, delivered or dead
	Attempts  int       `json:"attempts"`
	MadeAt    time.Time `json:"made_at"`
	NextAt    time.Time `json:"next_at,omitzero"`
	LastError string    `json:"last_error,omitzero"`
}

// Hooks lists the account's own hooks; a steward's token lists everybody's.
func (c *Client) Hooks(ctx context.Context) (Answer[HookList], error) {
	return own[HookList](ctx, c, pathOf("hooks"), nil)
}

// MakeHook has an address told of releases and withdrawals.
func (c *Client) MakeHook(ctx context.Context, h NewHook) (HookMade, error) {
	return transmit[HookMade](ctx, c, http.MethodPost, pathOf("hooks"), h, how{})
}

// EndHook has an address told no more.
func (c *Client) EndHook(ctx context.Context, id int64) error {
	return drop(ctx, c, pathOf("hooks", id))
}

// Deliveries lists the newest tellings of a hook.
func (c *Client) Deliveries(ctx context.Context, hook int64) (Answer[DeliveryList], error) {
	return own[DeliveryList](ctx, c, pathOf("hooks", hook, "deliveries"), nil)
}
