package client

import (
	"context"
	"net/http"

	"boardlore/domain/board"
	"boardlore/domain/kit"
)

// BoardFilter says which boards are looked for; what is zero does not matter.
type BoardFilter struct {
	Query    string   `url:"q,omitempty"` // words from name, equipment or markings
	Markings []string `url:"marking,omitempty"`
	Maker    string   `url:"maker,omitempty"`
	Kind     string   `url:"kind,omitempty"`
	Width    float64  `url:"width_mm,omitempty"` // as measured with a ruler
	Height   float64  `url:"height_mm,omitempty"`
	Replaced int      `url:"replaced,omitempty"` // about how many positions are to be replaced
	Sides    string   `url:"sides,omitempty"`    // one or both
	Class    string   `url:"class,omitempty"`    // of a part that stands on the board
	Printed  string   `url:"printed,omitempty"`  // on one of its parts
	Page
}

// Boards searches for boards, the best match first.
func (c *Client) Boards(ctx context.Context, f BoardFilter) (Answer[BoardList], error) {
	return fetch[BoardList](ctx, c, pathOf("boards"), f)
}

// Board tells of one board.
func (c *Client) Board(ctx context.Context, id string) (Answer[Board], error) {
	return fetch[Board](ctx, c, pathOf("boards", id), nil)
}

type variantOf struct {
	Variant string `url:"variant,omitempty"`
}

// Map fetches the current map of a board, as a variant has it where one is
// named. Where the registry can't be reached it is the one that was kept, and
// how old that is is told: a map may have been corrected or withdrawn since.
func (c *Client) Map(ctx context.Context, id, variant string) (Answer[*board.Map], error) {
	return fetch[*board.Map](ctx, c, pathOf("boards", id, "map"), variantOf{variant})
}

type wrapped struct {
	Variant  string `url:"variant,omitempty"`
	Of       string `url:"of,omitempty"`
	Envelope bool   `url:"envelope,omitempty"`
}

// CurrentMap is Map in its envelope, which says which revision it is.
func (c *Client) CurrentMap(ctx context.Context, id, variant string) (Answer[Envelope], error) {
	return fetch[Envelope](ctx, c, pathOf("boards", id, "map"), wrapped{Variant: variant, Envelope: true})
}

// RevisionOf names a map beside its board and number.
type RevisionOf struct {
	Variant string `url:"variant,omitempty"` // "" for the base map
	Of      string `url:"of,omitempty"`      // old ID of a board that was made one with this one, whose revision is meant
}

// RevisionMap fetches a released map, which never changes but may be withdrawn.
func (c *Client) RevisionMap(ctx context.Context, id string, revision int, of RevisionOf) (Answer[Envelope], error) {
	return fetch[Envelope](ctx, c, pathOf("boards", id, "revisions", revision), wrapped{of.Variant, of.Of, true})
}

// MapOf fetches the released map of a digest, wherever it stands.
func (c *Client) MapOf(ctx context.Context, digest string) (Answer[Envelope], error) {
	return fetch[Envelope](ctx, c, pathOf("maps", digest), wrapped{Envelope: true})
}

// Revisions lists the released revisions, newest first.
func (c *Client) Revisions(ctx context.Context, id string, p Page) (Answer[RevisionList], error) {
	return fetch[RevisionList](ctx, c, pathOf("boards", id, "revisions"), p)
}

// Proof proves that a release is in the public log (C2SP tlog-proof).
func (c *Client) Proof(ctx context.Context, id string, revision int) (Answer[[]byte], error) {
	return c.bytes(ctx, pathOf("boards", id, "revisions", revision, "proof"), "text/plain", nil)
}

// Ends are the two maps that a difference is between. To is the current
// revision where it is 0, From the one before it.
type Ends struct {
	From        int    `url:"from,omitempty"`
	To          int    `url:"to,omitempty"`
	Variant     string `url:"variant,omitempty"` // of both
	FromVariant string `url:"from_variant,omitempty"`
	ToVariant   string `url:"to_variant,omitempty"`
}

// Differences compares two revisions, or two variants, of a board.
func (c *Client) Differences(ctx context.Context, id string, e Ends) (Answer[Difference], error) {
	return fetch[Difference](ctx, c, pathOf("boards", id, "differences"), e)
}

type endsAs struct {
	Ends
	As   string     `url:"as,omitempty"`
	Side board.Side `url:"side,omitempty"`
}

// DifferencesAs gives a difference as text, json-patch (RFC 6902) or svg, of
// which side says the side of the board.
func (c *Client) DifferencesAs(ctx context.Context, id string, e Ends, as string, side board.Side) (Answer[[]byte],
	error) {
	return c.bytes(ctx, pathOf("boards", id, "differences"), "*/*", endsAs{e, as, side})
}

// Seen says how a board is looked at.
type Seen struct {
	Side     board.Side `url:"side,omitempty"` // top where it is ""
	Variant  string     `url:"variant,omitempty"`
	Revision int        `url:"revision,omitempty"` // the current one where it is 0
	Mark     []string   `url:"mark,omitempty"`     // designators to highlight
	Language string     `url:"language,omitempty"` // a BCP 47 tag; that of the requests where it is ""
}

// Drawing draws one side of a map as SVG.
func (c *Client) Drawing(ctx context.Context, id string, s Seen) (Answer[[]byte], error) {
	return c.bytes(ctx, pathOf("boards", id, "drawing.svg"), "image/svg+xml", s)
}

// Laid says which photograph is laid flat, and how wide.
type Laid struct {
	Side     board.Side `url:"side,omitempty"`
	Revision int        `url:"revision,omitempty"`
	Width    int        `url:"width,omitempty"` // pixels; 1200 where it is 0
}

// FlatPhotograph is the photograph of one side, exactly the frame's rectangle,
// as JPEG.
func (c *Client) FlatPhotograph(ctx context.Context, id string, l Laid) (Answer[[]byte], error) {
	return c.bytes(ctx, pathOf("boards", id, "photograph"), "image/jpeg", l)
}

// PositionHistory tells who changed a position, when, and on what evidence.
func (c *Client) PositionHistory(ctx context.Context, id, designator string) (Answer[History], error) {
	return fetch[History](ctx, c, pathOf("boards", id, "positions", designator, "history"), nil)
}

// Bought says for what a parts list is.
type Bought struct {
	Variant  string `url:"variant,omitempty"`
	Revision int    `url:"revision,omitempty"`
	Scope    string `url:"scope,omitempty"` // service where it is "", all, or designators such as C1-C5, R7
}

// PartsList is what to buy for a board, without any kit.
func (c *Client) PartsList(ctx context.Context, id string, b Bought) (Answer[kit.PartsList], error) {
	return fetch[kit.PartsList](ctx, c, pathOf("boards", id, "parts-list"), b)
}

type boughtAs struct {
	Bought
	As string `url:"as,omitempty"`
}

// PartsListCSV is PartsList as a table.
func (c *Client) PartsListCSV(ctx context.Context, id string, b Bought) (Answer[[]byte], error) {
	return c.bytes(ctx, pathOf("boards", id, "parts-list"), "text/csv", boughtAs{b, "csv"})
}

// DoubtFilter says which doubts are wanted.
type DoubtFilter struct {
	State string `url:"state,omitempty"` // open for those without an answer
	Page
}

// Doubts lists what readers think is wrong with a board's maps, newest first.
func (c *Client) Doubts(ctx context.Context, id string, f DoubtFilter) (Answer[DoubtList], error) {
	return fetch[DoubtList](ctx, c, pathOf("boards", id, "doubts"), f)
}

// NewDoubt is what a reader thinks is wrong.
type NewDoubt struct {
	Designator  string   `json:"designator,omitzero"`
	Revision    int      `json:"revision"`
	Text        string   `json:"text"`
	Photographs []string `json:"photographs,omitempty"` // SHA-256 of each
}

// RaiseDoubt says what is wrong with a released map.
func (c *Client) RaiseDoubt(ctx context.Context, id string, d NewDoubt) (DoubtReceipt, error) {
	return transmit[DoubtReceipt](ctx, c, http.MethodPost, pathOf("boards", id, "doubts"), d, how{keyed: true})
}

// AnswerDoubt answers a doubt; proposal is that which follows of it, 0 for none.
func (c *Client) AnswerDoubt(ctx context.Context, id string, doubt int64, text string, proposal int64) (DoubtReceipt,
	error) {
	in := struct {
		Text     string `json:"text"`
		Proposal int64  `json:"proposal,omitzero"`
	}{text, proposal}
	return transmit[DoubtReceipt](ctx, c, http.MethodPost, pathOf("boards", id, "doubts", doubt, "answer"), in,
		how{keyed: true})
}
