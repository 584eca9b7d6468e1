package board

import (
	"strings"

	"boardlore/domain/message"
)

// Side is a side of the board.
type Side string

// The sides.
const (
	Top    Side = "top"
	Bottom Side = "bottom"
)

// Sides are both sides.
var Sides = []Side{Top, Bottom}

// Opposite is the other side.
func (s Side) Opposite() Side {
	switch s {
	case Top:
		return Bottom
	case Bottom:
		return Top
	}
	return s
}

// Say is the side in the reader's language.
func (s Side) Say() message.Message { return message.Word("side", s) }

// Service is what to do with a position when servicing. The empty value means
// Leave.
type Service string

// The services.
const (
	Replace Service = "replace"
	Inspect Service = "inspect"
	Leave   Service = "leave"
)

// Services are all services, the most first.
var Services = []Service{Replace, Inspect, Leave}

// Say is the service in the reader's language.
func (s Service) Say() message.Message { return message.Word("service", s) }

// Or is the service itself, Leave where none is given.
func (s Service) Or() Service {
	if s == "" {
		return Leave
	}
	return s
}

// Moment is when a caution counts or a check is made. The empty value means
// always.
type Moment string

// The moments, in the order in which they come; a check has BeforePowerUp or
// AfterPowerUp, a caution one of the others.
const (
	BeforeOpening Moment = "before-opening"
	BeforePowerUp Moment = "before-power-up"
	AfterPowerUp  Moment = "after-power-up"
	WhileWorking  Moment = "while-working"
	Afterwards    Moment = "after"
)

// Say is the moment in the reader's language.
func (m Moment) Say() message.Message { return message.Word("moment", m) }

// Words is the moment as people say it.
func (m Moment) Words() string { return strings.ReplaceAll(string(m), "-", " ") }
