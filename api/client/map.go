package client

import (
	"context"
	"fmt"
	"net/http"
	"net/url"

	"github.com/go-json-experiment/json"

	"boardlore/domain/board"
)

// Map fetches the current map of a board, as a variant has it where one is
// named. Where the registry can't be reached it is the one that was kept, and
// how old that is is told: a map may have been corrected or withdrawn since.
func (c *Client) Map(ctx context.Context, id, variant string) (*board.Map, Freshness, error) {
	path := "/v1/boards/" + url.PathEscape(id) + "/map"
	if variant != "" {
		path += "?variant=" + url.QueryEscape(variant)
	}
	a, err := c.get(ctx, path, "application/json")
	if err != nil {
		return nil, Freshness{}, err
	}
	m := new(board.Map)
	if err := json.Unmarshal(a.body, m); err != nil {
		return nil, Freshness{}, fmt.Errorf("map of %s: %w", id, err)
	}
	return m, a.fresh, nil
}

// Submission is a map to be proposed.
type Submission struct {
	Board    string     `json:"board"`
	Base     int        `json:"base_revision"` // 0 for a new board
	Map      *board.Map `json:"map"`
	Summary  string     `json:"summary"`
	Evidence []string   `json:"evidence,omitempty"`
}

// Propose submits a map and gives the number of the proposal. However often it
// has to be tried, one proposal comes of it.
func (c *Client) Propose(ctx context.Context, in Submission) (int64, error) {
	body, err := json.Marshal(in)
	if err != nil {
		return 0, err
	}
	a, err := c.act(ctx, http.MethodPost, "/v1/proposals", "application/json", body)
	if err != nil {
		return 0, err
	}
	var receipt struct {
		ID int64 `json:"id"`
	}
	if err := json.Unmarshal(a.body, &receipt); err != nil {
		return 0, fmt.Errorf("answer to a submission: %w", err)
	}
	return receipt.ID, nil
}
