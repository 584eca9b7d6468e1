package api

import (
	"errors"
	"net/http"

	"github.com/labstack/echo/v4"

	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
	"boardlore/domain/reading"
)

// partText is the body of POST /parts/read.
type partText struct {
	Text    string           `json:"text"`
	Class   string           `json:"class"`
	Context quantity.Context `json:"context"`
}

type partReadings struct {
	Readings []part.Reading `json:"readings"`
	LeftOver []string       `json:"left_over"`
	Sure     bool           `json:"sure"`

	Spans []reading.Explained `json:"spans,omitzero"` // where they were asked for
}

// readParts reads a line of text as a part. Text in which nothing can be read
// is refused rather than answered with nothing.
func (s *server) readParts(c echo.Context) error {
	var in partText
	if _, err := readJSON(c, "part-text", &in); err != nil {
		return err
	}
	if in.Class != "" {
		in.Context.Class = in.Class
	}
	t, err := part.Read(in.Text, in.Context)
	return replyPart(c, &t, err)
}

// askParts is readParts for a text in the address, which may ask how it was
// understood.
func (s *server) askParts(c echo.Context) error {
	known := quantity.Context{Class: c.QueryParam("class"), Found: c.QueryParam("found"),
		Language: c.QueryParam("language")}
	read := part.Read
	if c.QueryParam("explain") == "true" {
		read = part.Explain
	}
	t, err := read(c.QueryParam("text"), known)
	return replyPart(c, &t, err)
}

func replyPart(c echo.Context, t *part.Text, err error) error {
	if err != nil {
		return unreadable(err)
	}
	for i := range t.Readings {
		t.Readings[i].Fields, t.Readings[i].Doubts = full(t.Readings[i].Fields), full(t.Readings[i].Doubts)
	}
	return reply(c, http.StatusOK, partReadings{full(t.Readings), full(t.LeftOver), t.Sure, t.Spans})
}

// unreadable refuses a text in which nothing can be read.
func unreadable(err error) error {
	reason := message.Text(err.Error())
	var re *reading.Refusal
	if e, ok := fault.As(err); ok {
		reason = e.Detail
	} else if errors.As(err, &re) {
		reason = re.Say()
	}
	p := refused("text-unreadable", message.Of("schema.reason", reason))
	p.Errors = []ProblemError{{Pointer: "/text", Code: p.Code, Severity: finding.Stop, Detail: p.Detail}}
	p.cause = err
	return p
}

// quantityText is the body of POST /quantities/read.
type quantityText struct {
	Text    string           `json:"text"`
	Kind    quantity.Kind    `json:"kind"`
	Context quantity.Context `json:"context"`
}

type quantityReadings struct {
	Readings []quantityReading `json:"readings"`
	Sure     bool              `json:"sure"`
}

type quantityReading struct {
	Canonical string            `json:"canonical"`
	SI        string            `json:"si"` // exact decimal in the base unit
	Tolerance string            `json:"tolerance,omitzero"`
	Doubts    []message.Message `json:"doubts,omitzero"`
}

func (s *server) readQuantity(c echo.Context) error {
	var in quantityText
	if _, err := readJSON(c, "quantity-text", &in); err != nil {
		return err
	}
	read, err := reading.Quantity(in.Text, in.Kind, in.Context)
	if err != nil {
		return unreadable(err)
	}
	a := quantityReadings{Readings: make([]quantityReading, len(read.Amounts)), Sure: read.Sure}
	for i, r := range read.Amounts {
		a.Readings[i] = quantityReading{Canonical: r.Canonical(), SI: r.SI(), Doubts: r.Doubts}
		if in.Kind != quantity.ToleranceKind && !r.Tolerance.IsZero() {
			a.Readings[i].Tolerance = r.Tolerance.String()
		}
	}
	return reply(c, http.StatusOK, a)
}

// rulesAnswer is every rule of suitability, what weighs how much, and the words
// for functions that the rules know.
type rulesAnswer struct {
	Steps     []part.Step     `json:"steps"`
	Rules     []part.Rule     `json:"rules"`
	Functions []part.Function `json:"functions"`
}

func (s *server) rules(c echo.Context) error {
	return reply(c, http.StatusOK, rulesAnswer{part.Steps(), part.Rules(), part.Functions()})
}
