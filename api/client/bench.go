package client

import (
	"context"
	"net/http"

	"boardlore/domain/bench"
	"boardlore/domain/placement"
	"boardlore/domain/quantity"
	"boardlore/domain/record"
)

// Planned says what a plan is for; what is zero has the registry's default.
type Planned struct {
	Variant   string   `url:"variant,omitempty"`
	Revision  int      `url:"revision,omitempty"`
	Scope     string   `url:"scope,omitempty"`
	HalfWidth *float64 `url:"tool_half_width_mm,omitempty"`
	Reach     *float64 `url:"reach_mm,omitempty"`
	Clearance *float64 `url:"clearance_mm,omitempty"`
	Resistor  string   `url:"resistor,omitempty"`
	ToVolts   float64  `url:"to_v,omitempty"`
}

// Plan is the working order for a board.
func (c *Client) Plan(ctx context.Context, id string, p Planned) (Answer[bench.Plan], error) {
	return fetch[bench.Plan](ctx, c, pathOf("boards", id, "plan"), p)
}

// RecordFilter says which records are wanted.
type RecordFilter struct {
	Variant string `url:"variant,omitempty"` // base for the base build
	Page
}

// Records lists the records of a board, newest first.
func (c *Client) Records(ctx context.Context, id string, f RecordFilter) (Answer[RecordList], error) {
	return fetch[RecordList](ctx, c, pathOf("boards", id, "records"), f)
}

type recordsAs struct {
	RecordFilter
	As string `url:"as,omitempty"`
}

// RecordsCSV is Records as a table with a row for each position.
func (c *Client) RecordsCSV(ctx context.Context, id string, f RecordFilter) (Answer[[]byte], error) {
	return c.bytes(ctx, pathOf("boards", id, "records"), "text/csv", recordsAs{f, "csv"})
}

// OwnRecords lists the records that the account filed, with the units' marks.
func (c *Client) OwnRecords(ctx context.Context, p Page) (Answer[RecordList], error) {
	return own[RecordList](ctx, c, pathOf("records"), p)
}

// Record is one record; the mark of its unit stands in it for its author alone.
func (c *Client) Record(ctx context.Context, id int64) (Answer[Record], error) {
	return own[Record](ctx, c, pathOf("records", id), nil)
}

// KeepRecord files a record of a serviced unit.
func (c *Client) KeepRecord(ctx context.Context, r *record.Record) (Record, error) {
	return transmit[Record](ctx, c, http.MethodPost, pathOf("boards", r.Board, "records"), r, how{keyed: true})
}

// Withdrawing says why something is taken out of use.
type Withdrawing struct {
	Reason string `json:"reason"`
	Kind   string `json:"kind,omitzero"` // dangerous, illegal or mistaken
}

// WithdrawRecord takes a record out of use, as its author or a steward.
func (c *Client) WithdrawRecord(ctx context.Context, id int64, w Withdrawing) (WithdrawalReceipt, error) {
	return transmit[WithdrawalReceipt](ctx, c, http.MethodPost, pathOf("records", id, "withdrawal"), w, how{keyed: true})
}

// Experience is what all records of a board amount to, or those of a variant;
// base for the base build.
func (c *Client) Experience(ctx context.Context, id, variant string) (Answer[Experience], error) {
	return fetch[Experience](ctx, c, pathOf("boards", id, "experience"), variantOf{variant})
}

// Symptoms tells what may be behind what is noticed, on one board or, where it
// is "", on all.
func (c *Client) Symptoms(ctx context.Context, noticed, id string) (Answer[Suspects], error) {
	return fetch[Suspects](ctx, c, pathOf("symptoms"), struct {
		Query string `url:"q"`
		Board string `url:"board,omitempty"`
	}{noticed, id})
}

// SuspectsBeside tells what had failed too in units of a board in which one of
// the positions had.
func (c *Client) SuspectsBeside(ctx context.Context, id string, failed ...string) (Answer[Suspects], error) {
	return fetch[Suspects](ctx, c, pathOf("symptoms"), struct {
		Failed []string `url:"failed"`
		Board  string   `url:"board"`
	}{failed, id})
}

// FromPlacements makes a draft map of a placement list.
func (c *Client) FromPlacements(ctx context.Context, r placement.Request) (placement.Result, error) {
	return transmit[placement.Result](ctx, c, http.MethodPost, pathOf("maps", "from-placements"), r, how{again: true})
}

// FromPhotograph makes a draft map of parts that were marked on photographs.
func (c *Client) FromPhotograph(ctx context.Context, r placement.PhotographRequest) (placement.PhotographResult,
	error) {
	return transmit[placement.PhotographResult](ctx, c, http.MethodPost, pathOf("maps", "from-photograph"), r,
		how{again: true})
}

// Rules lists the rules by which a part is judged in place of another.
func (c *Client) Rules(ctx context.Context) (Answer[Rules], error) {
	return fetch[Rules](ctx, c, pathOf("rules"), nil)
}

// ReadPart reads a text as a part.
func (c *Client) ReadPart(ctx context.Context, text string, known quantity.Context) (PartReadings, error) {
	in := struct {
		Text    string           `json:"text"`
		Context quantity.Context `json:"context"`
	}{text, known}
	return transmit[PartReadings](ctx, c, http.MethodPost, pathOf("parts", "read"), in, how{again: true})
}

// ExplainPart tells span by span how a text was understood.
func (c *Client) ExplainPart(ctx context.Context, text string, known quantity.Context) (Answer[PartReadings], error) {
	return fetch[PartReadings](ctx, c, pathOf("parts", "read"), struct {
		Text     string `url:"text"`
		Class    string `url:"class,omitempty"`
		Found    string `url:"found,omitempty"`
		Language string `url:"language,omitempty"`
		Explain  bool   `url:"explain"`
	}{text, known.Class, known.Found, known.Language, true})
}

// ReadQuantity reads a text as a quantity of a kind such as capacitance.
func (c *Client) ReadQuantity(ctx context.Context, text, kind string, known quantity.Context) (QuantityReadings,
	error) {
	in := struct {
		Text    string           `json:"text"`
		Kind    string           `json:"kind"`
		Context quantity.Context `json:"context"`
	}{text, kind, known}
	return transmit[QuantityReadings](ctx, c, http.MethodPost, pathOf("quantities", "read"), in, how{again: true})
}
