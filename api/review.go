package api

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"boardlore/domain/review"
	"boardlore/store"
)

// verdict is the body of POST /proposals/{id}/reviews.
type verdict struct {
	Verdict string          `json:"verdict"`
	Summary string          `json:"summary"`
	Remarks []review.Remark `json:"remarks"`
	Seen    []review.Seen   `json:"seen"`
}

func (s *server) review(c echo.Context) error {
	var in verdict
	body, err := readJSON(c, "review", &in)
	if err != nil {
		return err
	}
	match, err := s.matched(c)
	if err != nil {
		return err
	}
	r, err := s.store.Review(c.Request().Context(), actor(c), store.Verdict{
		Proposal: id(c, "id"), Verdict: in.Verdict, Summary: in.Summary, Remarks: in.Remarks, Seen: in.Seen,
		IfMatch: match, Once: once(c, body)})
	if err != nil {
		return err
	}
	c.Response().Header().Set("Location", pathOf("proposals", itoa(r.Proposal), "reviews", itoa(r.Review)))
	return reply(c, http.StatusCreated, receiptOf(r))
}

type reviewsAnswer struct {
	Proposal int64           `json:"proposal"`
	Reviews  []review.Review `json:"reviews"` // in the order in which they came
	Standing review.Standing `json:"standing"`
	Links    links           `json:"links"`
}

func (s *server) reviews(c echo.Context) error {
	d, err := s.store.Proposal(c.Request().Context(), id(c, "id"))
	if err != nil {
		return err
	}
	return reply(c, http.StatusOK, reviewsAnswer{d.ID, full(d.Reviews), d.Standing, proposalLinks(d.ID, d.Board,
		d.State)})
}

func (s *server) oneReview(c echo.Context) error {
	d, err := s.store.Proposal(c.Request().Context(), id(c, "id"))
	if err != nil {
		return err
	}
	for i := range d.Reviews {
		if d.Reviews[i].ID == id(c, "review") {
			return reply(c, http.StatusOK, d.Reviews[i])
		}
	}
	return refuse("review-unknown", "api.review-unknown", d.ID, c.Param("review"), pathOf("proposals", itoa(d.ID),
		"reviews"))
}

// answerReview says something to a review.
func (s *server) answerReview(c echo.Context) error {
	var in struct {
		Text string `json:"text"`
	}
	body, err := readJSON(c, "review-answer", &in)
	if err != nil {
		return err
	}
	r, err := s.store.Answer(c.Request().Context(), actor(c), store.Answering{
		Proposal: id(c, "id"), Review: id(c, "review"), Text: in.Text, Once: once(c, body)})
	if err != nil {
		return err
	}
	c.Response().Header().Set("Location", pathOf("proposals", itoa(r.Proposal), "reviews", itoa(r.Review)))
	return reply(c, http.StatusCreated, receiptOf(r))
}

// setAside ends an objection.
func (s *server) setAside(c echo.Context) error {
	var in decision
	body, err := readJSON(c, "decision", &in)
	if err != nil {
		return err
	}
	r, err := s.store.SetAside(c.Request().Context(), actor(c), store.SettingAside{
		Proposal: id(c, "id"), Review: id(c, "review"), Reason: in.Reason, Once: once(c, body)})
	if err != nil {
		return err
	}
	return reply(c, http.StatusOK, receiptOf(r))
}

// checklist answers what a reviewer should have looked at.
func (s *server) checklist(c echo.Context) error {
	list, err := s.store.Checklist(c.Request().Context(), id(c, "id"))
	if err != nil {
		return err
	}
	return reply(c, http.StatusOK, list)
}
