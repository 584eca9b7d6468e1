package api

import (
	"boardlore/domain/message"
	"math"
	"net/http"
	"strconv"

	"github.com/labstack/echo/v4"

	"boardlore/domain/bench"
	"boardlore/domain/finding"
	"boardlore/domain/kit"
	"boardlore/domain/quantity"
	"boardlore/domain/reading"
)

// maxToVolts is the highest voltage that a discharge may be asked to stop at;
// what is left then is for whoever asks to know.
const maxToVolts = 1000

var planParams = []param{
	variantParam,
	{name: "revision", about: "the revision; the current one where absent", number: true, min: 1, max: 1<<31 - 1},
	{name: "scope", about: "service (where absent), all, or designators such as C1-C5, R7"},
	{name: "tool_half_width_mm", about: "half of the width that the tool takes; 1 where absent", figure: true,
		max: bench.MaxHalfWidth},
	{name: "reach_mm", about: "how far away an obstacle still matters; 15 where absent", figure: true,
		max: bench.MaxReach},
	{name: "clearance_mm", about: "bodies no higher than this don't matter; 0 where absent", figure: true,
		max: bench.MaxClearance},
	{name: "resistor", about: "to discharge through, such as 1 kΩ; chosen for each charge where absent"},
	{name: "to_v", about: "the voltage that counts as discharged, above 0; 5 where absent", figure: true,
		max: maxToVolts},
}

const aboutPlan = "Within a stage, removal runs from first to last; stages run as listed for removal, and in reverse for fitting. " +
	"angle_deg is the widest sector of directions that is free of obstacles at that moment."

// plan answers the working order of a board.
func (s *server) plan(c echo.Context) error {
	in, err := planAsked(c)
	if err != nil {
		return err
	}
	rev, err := s.store.Revision(c.Request().Context(), c.Param("board"), number(c, "revision", 0),
		c.QueryParam("variant"))
	if err != nil {
		return err
	}
	in.Map, in.Revision, in.Variant, in.Digest = rev.Map, rev.Number, rev.Variant, rev.Digest
	p, err := bench.Make(in)
	if err != nil {
		return err
	}
	return reply(c, http.StatusOK, p)
}

// planAsked is what the query asks for; every fault of it is told at once.
func planAsked(c echo.Context) (bench.Request, error) {
	in := bench.Request{Scope: kit.ParseScope(c.QueryParam("scope")), Tool: bench.StandardTool, ToVolts: 5}
	var faults []ProblemError
	fault := func(name string, detail message.Message) {
		faults = append(faults, ProblemError{Parameter: name, Code: "parameter-invalid", Severity: finding.Stop,
			Detail: detail, Found: clip(c.QueryParam(name))})
	}
	for _, f := range []struct {
		name string
		into *float64
	}{{"tool_half_width_mm", &in.Tool.HalfWidth}, {"reach_mm", &in.Tool.Reach}, {"clearance_mm", &in.Tool.Clearance},
		{"to_v", &in.ToVolts}} {
		if s := figure(c, f.name, planParams, f.into); !s.IsZero() {
			fault(f.name, s)
		}
	}
	if in.ToVolts <= 0 {
		fault("to_v", message.Of("api.above-nothing-discharges-nought"))
	}
	if text := c.QueryParam("resistor"); text != "" {
		var s message.Message
		if in.Resistor, s = resistor(text); !s.IsZero() {
			fault("resistor", s)
		}
	}
	if faults == nil {
		return in, nil
	}
	p := refused("plan-invalid", faults[0].Detail)
	p.Errors = faults
	return in, p
}

// figure reads a number of the query into place, where there is one; it says
// what is wrong with it.
func figure(c echo.Context, name string, params []param, into *float64) message.Message {
	text := c.QueryParam(name)
	if text == "" {
		return message.Message{}
	}
	for _, p := range params {
		if p.name != name {
			continue
		}
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || math.IsNaN(v) || v < float64(p.min) || v > float64(p.max) {
			return message.Of("api.no-number-from", name, clip(text), p.min, p.max)
		}
		*into = v
	}
	return message.Message{}
}

// resistor reads a resistance that a charge can go through.
func resistor(text string) (quantity.Quantity, message.Message) {
	read, err := reading.Quantity(text, quantity.Resistance, quantity.Context{Class: "resistor", Found: "list"})
	rs := read.Amounts
	switch {
	case err != nil:
		return quantity.Quantity{}, message.Of("api.resistor", err)
	case !read.Sure:
		return quantity.Quantity{}, message.Of("api.resistor-reads-more-than", clip(text))
	case rs[0].Quantity.Sign() <= 0:
		return quantity.Quantity{}, message.Of("api.resistor-above-what-none")
	}
	return rs[0].Quantity, message.Message{}
}
