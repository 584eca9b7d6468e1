// Package board holds the map of a circuit board: the document that says what
// sits where, what it is and which way round it goes, what is known to fail and
// what to fit instead. It checks maps beyond what a schema can say, makes the
// effective map of a variant, compares maps by meaning and carries corrections
// forward.
//
// Frame: millimetres from the lower left corner of the outline, seen from the
// top side, x right, y up; angles in degrees counter-clockwise seen from the
// top side, for parts on either side. Quantities are exact decimals.
//
// Not modelled: tracks, nets, pads and anything else that servicing does not need.
package board

import (
	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// Limits of a map document.
const (
	MaxPositions = 5000
	MaxAltered   = 15_000 // changes of all variants together
	MaxVariants  = 64
	MaxBytes     = 4 << 20
)

// Map is the document that describes a board. Marshalled again and put into
// RFC 8785 form it gives the bytes that it was read from: nil slices and nil
// pointers are absent members, and "x-…" members travel in Extra.
type Map struct {
	Board         string         `json:"board"` // slug
	Equipment     Equipment      `json:"equipment"`
	Name          string         `json:"name"`
	Markings      []string       `json:"markings,omitzero"` // printed or etched on the board
	Licence       string         `json:"licence,omitzero"`  // SPDX identifier; CC0-1.0 where absent
	Frame         Frame          `json:"frame"`
	Positions     []Position     `json:"positions"`
	Variants      []Variant      `json:"variants,omitzero"`
	FailurePoints []FailurePoint `json:"failure_points,omitzero"`
	Checks        []Measurement  `json:"checks,omitzero"`
	Cautions      []Caution      `json:"cautions,omitzero"`
	Photographs   []Photograph   `json:"photographs,omitzero"`
	Variant       string         `json:"variant,omitzero"` // the build that this map was made for; nobody submits such a one
	Of            string         `json:"of,omitzero"`      // digest of the base map that it was made of
	Extra         jsontext.Value `json:",embed"`
}

// Equipment is the product that the board is in.
type Equipment struct {
	Maker string         `json:"maker"`
	Model string         `json:"model"`
	Kind  string         `json:"kind,omitzero"`
	Years []int          `json:"years,omitzero"` // first and last year of make
	Extra jsontext.Value `json:",embed"`
}

// Frame is the board's outline and how its coordinates were had.
type Frame struct {
	Width       float64        `json:"width_mm"`
	Height      float64        `json:"height_mm"`
	Outline     [][2]float64   `json:"outline,omitzero"` // millimetres; the first point is not repeated
	Basis       string         `json:"basis"`            // measured, design-data or photograph
	Uncertainty *float64       `json:"uncertainty_mm,omitzero"`
	Extra       jsontext.Value `json:",embed"`
}

// Position is one place on the board.
type Position struct {
	Designator     string            `json:"designator"` // reference designator, ASME Y14.44
	Side           Side              `json:"side"`       // top or bottom
	X              float64           `json:"x_mm"`
	Y              float64           `json:"y_mm"`
	Rotation       float64           `json:"rotation_deg"`
	Part           part.Part         `json:"part"`
	Body           *part.Body        `json:"body,omitzero"`
	Negative       *float64          `json:"negative_deg,omitzero"` // direction of the negative lead from the body centre
	Function       string            `json:"function,omitzero"`
	Rail           string            `json:"rail,omitzero"`
	WorkingVoltage quantity.Quantity `json:"working_voltage,omitzero"`
	Circuit        part.Circuit      `json:"circuit,omitzero"` // where it stands between mains and people
	Glued          *bool             `json:"glued,omitzero"`
	HeatSensitive  *bool             `json:"heat_sensitive,omitzero"` // the part suffers from the iron
	HotPlace       *bool             `json:"hot_place,omitzero"`      // the position gets hot; see Hot
	Service        Service           `json:"service,omitzero"`        // replace, inspect or leave; leave where absent
	Replacement    *Replacement      `json:"replacement,omitzero"`
	Notes          string            `json:"notes,omitzero"`
	Extra          jsontext.Value    `json:",embed"`
}

// Replacement is the part to fit instead of the original, on purpose.
type Replacement struct {
	Part   part.Part      `json:"part"`
	Reason string         `json:"reason"`
	Extra  jsontext.Value `json:",embed"`
}

// Variant is another build of the same board, written as changes to the map.
type Variant struct {
	Variant      string         `json:"variant"` // slug
	Title        string         `json:"title"`
	IdentifiedBy string         `json:"identified_by"`     // how a person tells this build from the others
	Markings     []string       `json:"markings,omitzero"` // printed or etched on this build
	Changes      []Change       `json:"changes,omitzero"`
	Extra        jsontext.Value `json:",embed"`
}

// Change is one change of a variant: exactly one of Set (with Designator),
// Omit or Fit is there.
type Change struct {
	Designator string         `json:"designator,omitzero"` // the position that Set changes
	Set        jsontext.Value `json:"set,omitzero"`        // RFC 7396 merge patch on the position
	Omit       string         `json:"omit,omitzero"`       // designator that this build lacks
	Fit        *Position      `json:"fit,omitzero"`        // position that only this build has
	Extra      jsontext.Value `json:",embed"`
}

// FailurePoint is a known way in which the board fails.
type FailurePoint struct {
	ID          string         `json:"id"`
	Title       string         `json:"title"`
	Mechanism   string         `json:"mechanism"`
	Positions   []string       `json:"positions,omitzero"`
	Symptoms    []string       `json:"symptoms,omitzero"`
	Consequence string         `json:"consequence,omitzero"`
	Severity    string         `json:"severity"` // minor, major or hazard
	BarsPowerUp *bool          `json:"bars_power_up,omitzero"`
	Remedy      string         `json:"remedy,omitzero"`
	Extra       jsontext.Value `json:",embed"`
}

// Measurement is a check: a measurement that shows a board sound.
type Measurement struct {
	ID      string         `json:"id"`
	Title   string         `json:"title"`
	When    Moment         `json:"when"`    // before-power-up or after-power-up
	Measure string         `json:"measure"` // resistance, voltage, current or continuity
	Between []string       `json:"between"` // points, by designator or in words
	Expect  *Range         `json:"expect,omitzero"`
	Note    string         `json:"note,omitzero"`
	Extra   jsontext.Value `json:",embed"`
}

// Range is what is right; either end may be absent.
type Range struct {
	Min   quantity.Quantity `json:"min,omitzero"`
	Max   quantity.Quantity `json:"max,omitzero"`
	Extra jsontext.Value    `json:",embed"`
}

// Caution is a warning to the person at the bench.
type Caution struct {
	Text  string         `json:"text"`
	When  Moment         `json:"when,omitzero"` // before-opening, before-power-up, while-working or after
	Extra jsontext.Value `json:",embed"`
}

// Wanted is the part to fit at a position: the replacement where the map
// names one, else the original.
func (p *Position) Wanted() *part.Part {
	if p.Replacement != nil {
		return &p.Replacement.Part
	}
	return &p.Part
}

// Hot reports whether the position gets hot. A map from before the two were told
// apart says heat_sensitive alone and means both, so that counts where nothing
// is said of the place itself.
func (p *Position) Hot() bool {
	if p.HotPlace != nil {
		return *p.HotPlace
	}
	return p.HeatSensitive != nil && *p.HeatSensitive
}

// Place is what a suitability judgement may know of the position.
func (p *Position) Place() part.Place {
	pl := part.Place{
		Function: p.Function, Rail: p.Rail, WorkingVoltage: p.WorkingVoltage,
		PolarityKnown: p.Negative != nil,
		Glued:         p.Glued != nil && *p.Glued,
		HeatSensitive: p.HeatSensitive != nil && *p.HeatSensitive,
		HotPlace:      p.Hot(), Circuit: p.Circuit,
	}
	if p.Body != nil {
		pl.Body = *p.Body
	}
	return pl
}

// Photograph is a kept photograph of one side of the board, with places that
// are known in it, by which it can be laid flat under the drawing.
type Photograph struct {
	SHA256  string            `json:"sha256"`           // of the picture as the server keeps it, 64 hexadecimal digits
	Side    Side              `json:"side"`             // top or bottom: the side that it shows
	Points  []PhotographPoint `json:"points"`           // four or more
	Taken   string            `json:"taken,omitzero"`   // date, RFC 3339
	Licence string            `json:"licence,omitzero"` // SPDX identifier; that of the map where absent
	Extra   jsontext.Value    `json:",embed"`
}

// PhotographPoint is a place whose pixel is known. Pixels count from the upper
// left, right and down; millimetres lie in the map's frame.
type PhotographPoint struct {
	Pixel [2]float64     `json:"pixel"`
	MM    [2]float64     `json:"mm"`
	Extra jsontext.Value `json:",embed"`
}

// Altered counts the changes of all variants.
func (m *Map) Altered() (n int) {
	for i := range m.Variants {
		n += len(m.Variants[i].Changes)
	}
	return n
}
