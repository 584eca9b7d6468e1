package client

import (
	"context"
	"net/http"

	"boardlore/domain/kit"
)

// KitFilter says which kits are wanted.
type KitFilter struct {
	Board string `url:"board,omitempty"` // that they are for
	Page
}

// Kits lists the kits that the registry keeps.
func (c *Client) Kits(ctx context.Context, f KitFilter) (Answer[KitList], error) {
	return fetch[KitList](ctx, c, pathOf("kits"), f)
}

// Kit is one kit; 0 for its newest version.
func (c *Client) Kit(ctx context.Context, id string, version int) (Answer[*kit.Kit], error) {
	return fetch[*kit.Kit](ctx, c, pathOf("kits", id), versionOf{version})
}

// KitVersions lists the versions of a kit, newest first.
func (c *Client) KitVersions(ctx context.Context, id string, p Page) (Answer[KitList], error) {
	return fetch[KitList](ctx, c, pathOf("kits", id, "versions"), p)
}

// KitBoards ranks the boards that a kit serves, at most so many of them; 0 for
// the registry's own measure.
func (c *Client) KitBoards(ctx context.Context, id string, most int) (Answer[KitBoards], error) {
	return fetch[KitBoards](ctx, c, pathOf("kits", id, "boards"), struct {
		Limit int `url:"limit,omitempty"`
	}{most})
}

// KeepKit keeps a kit under its ID. tag names the version that is followed; ""
// for a new one.
func (c *Client) KeepKit(ctx context.Context, tag string, k *kit.Kit) (KeptKit, error) {
	return transmit[KeptKit](ctx, c, http.MethodPut, pathOf("kits", k.ID), k, how{match: tag})
}

// ListOf says of a list what the list does not.
type ListOf struct {
	Title string   `url:"title,omitempty"`
	For   []string `url:"for,omitempty"` // boards that it is meant for
}

// KeepList is KeepKit of a list as people keep it, of a media type such as
// text/csv or text/plain.
func (c *Client) KeepList(ctx context.Context, id, tag, media string, list []byte, of ListOf) (KeptKit, error) {
	return transmit[KeptKit](ctx, c, http.MethodPut, pathOf("kits", id), list, how{match: tag, media: media, query: of})
}

// Reconciling says what a kit is held against. Kit is a document, and KitID
// one that the registry keeps.
type Reconciling struct {
	Revision int
	Variant  string
	Scope    kit.Scope
	Kit      *kit.Kit
	KitID    string
	Pairs    bool // list every allowed pair
}

type pairs struct {
	Pairs bool `url:"pairs,omitempty"`
}

// Reconcile holds a kit against a map of the board.
func (c *Client) Reconcile(ctx context.Context, id string, r Reconciling) (kit.Report, error) {
	in := struct {
		Revision int       `json:"revision,omitzero"`
		Variant  string    `json:"variant,omitzero"`
		Scope    kit.Scope `json:"scope"`
		Kit      any       `json:"kit"`
	}{r.Revision, r.Variant, r.Scope, r.KitID}
	if r.Kit != nil {
		in.Kit = r.Kit
	}
	return transmit[kit.Report](ctx, c, http.MethodPost, pathOf("boards", id, "reconciliations"), in,
		how{again: true, query: pairs{r.Pairs}})
}

// ListHeld says what a list is held against.
type ListHeld struct {
	Revision int    `url:"revision,omitempty"`
	Variant  string `url:"variant,omitempty"`
	Scope    string `url:"scope,omitempty"`
	Pairs    bool   `url:"pairs,omitempty"`
}

// ReconcileList is Reconcile of a list as people keep it, of a media type such
// as text/csv or text/plain.
func (c *Client) ReconcileList(ctx context.Context, id, media string, list []byte, h ListHeld) (kit.Report, error) {
	return transmit[kit.Report](ctx, c, http.MethodPost, pathOf("boards", id, "reconciliations"), list,
		how{again: true, media: media, query: h})
}
