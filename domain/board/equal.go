package board

import (
	"slices"

	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/part"
)

// Two values of the map's types are the same exactly when their canonical
// bytes are the same; these comparisons say so without writing any bytes.

func samePosition(a, b *Position) bool {
	return a.Designator == b.Designator && a.Side == b.Side && a.X == b.X && a.Y == b.Y && a.Rotation == b.Rotation &&
		samePart(&a.Part, &b.Part) && sameBody(a.Body, b.Body) && sameFlag(a.Negative, b.Negative) &&
		a.Function == b.Function && a.Rail == b.Rail && a.WorkingVoltage == b.WorkingVoltage &&
		sameFlag(a.Glued, b.Glued) && sameFlag(a.HeatSensitive, b.HeatSensitive) && sameFlag(a.HotPlace, b.HotPlace) &&
		a.Circuit == b.Circuit && a.Service == b.Service &&
		sameReplacement(a.Replacement, b.Replacement) && a.Notes == b.Notes && sameExtra(a.Extra, b.Extra)
}

func samePart(a, b *part.Part) bool { return a.Same(b) && sameExtra(a.Extra, b.Extra) }

func sameBody(a, b *part.Body) bool {
	if a == nil || b == nil {
		return a == b
	}
	return a.Mount == b.Mount && a.Shape == b.Shape && a.Diameter == b.Diameter && a.Length == b.Length &&
		a.Width == b.Width && a.Height == b.Height && a.HeightLimit == b.HeightLimit && a.LeadPitch == b.LeadPitch &&
		sameExtra(a.Extra, b.Extra)
}

func sameReplacement(a, b *Replacement) bool {
	if a == nil || b == nil {
		return a == b
	}
	return samePart(&a.Part, &b.Part) && a.Reason == b.Reason && sameExtra(a.Extra, b.Extra)
}

func sameEquipment(a, b *Equipment) bool {
	return a.Maker == b.Maker && a.Model == b.Model && a.Kind == b.Kind && sameList(a.Years, b.Years) &&
		sameExtra(a.Extra, b.Extra)
}

func sameFrame(a, b *Frame) bool {
	return a.Width == b.Width && a.Height == b.Height && sameList(a.Outline, b.Outline) && a.Basis == b.Basis &&
		sameFlag(a.Uncertainty, b.Uncertainty) && sameExtra(a.Extra, b.Extra)
}

func sameVariant(a, b *Variant) bool {
	return a.Variant == b.Variant && a.Title == b.Title && a.IdentifiedBy == b.IdentifiedBy &&
		sameList(a.Markings, b.Markings) && (a.Changes == nil) == (b.Changes == nil) &&
		slices.EqualFunc(a.Changes, b.Changes, sameChange) && sameExtra(a.Extra, b.Extra)
}

func sameChange(a, b Change) bool {
	if a.Designator != b.Designator || a.Omit != b.Omit || (a.Fit == nil) != (b.Fit == nil) {
		return false
	}
	return (a.Fit == nil || samePosition(a.Fit, b.Fit)) && sameValue(a.Set, b.Set) && sameExtra(a.Extra, b.Extra)
}

func sameFailurePoint(a, b *FailurePoint) bool {
	return a.ID == b.ID && a.Title == b.Title && a.Mechanism == b.Mechanism && sameList(a.Positions, b.Positions) &&
		sameList(a.Symptoms, b.Symptoms) && a.Consequence == b.Consequence && a.Severity == b.Severity &&
		sameFlag(a.BarsPowerUp, b.BarsPowerUp) && a.Remedy == b.Remedy && sameExtra(a.Extra, b.Extra)
}

func sameMeasurement(a, b *Measurement) bool {
	return a.ID == b.ID && a.Title == b.Title && a.When == b.When && a.Measure == b.Measure &&
		slices.Equal(a.Between, b.Between) && sameRange(a.Expect, b.Expect) && a.Note == b.Note &&
		sameExtra(a.Extra, b.Extra)
}

func sameRange(a, b *Range) bool {
	if a == nil || b == nil {
		return a == b
	}
	return a.Min == b.Min && a.Max == b.Max && sameExtra(a.Extra, b.Extra)
}

func sameCaution(a, b *Caution) bool {
	return a.Text == b.Text && a.When == b.When && sameExtra(a.Extra, b.Extra)
}

func samePhotograph(a, b *Photograph) bool {
	return a.SHA256 == b.SHA256 && a.Side == b.Side && (a.Points == nil) == (b.Points == nil) &&
		slices.EqualFunc(a.Points, b.Points, samePhotographPoint) && a.Taken == b.Taken && a.Licence == b.Licence &&
		sameExtra(a.Extra, b.Extra)
}

func samePhotographPoint(a, b PhotographPoint) bool {
	return a.Pixel == b.Pixel && a.MM == b.MM && sameExtra(a.Extra, b.Extra)
}

// The entries of lists that are the same but for their key.

func sameVariantContent(a, b *Variant) bool {
	x := *a
	x.Variant = b.Variant
	return sameVariant(&x, b)
}

func samePhotographContent(a, b *Photograph) bool {
	x := *a
	x.SHA256 = b.SHA256
	return samePhotograph(&x, b)
}

func sameFailurePointContent(a, b *FailurePoint) bool {
	x := *a
	x.ID = b.ID
	return sameFailurePoint(&x, b)
}

func sameMeasurementContent(a, b *Measurement) bool {
	x := *a
	x.ID = b.ID
	return sameMeasurement(&x, b)
}

// sameFlag compares optional members.
func sameFlag[T comparable](a, b *T) bool {
	if a == nil || b == nil {
		return a == b
	}
	return *a == *b
}

// sameList compares optional lists: an absent list is not an empty one.
func sameList[T comparable](a, b []T) bool {
	return (a == nil) == (b == nil) && slices.Equal(a, b)
}

func sameExtra(a, b jsontext.Value) bool { return part.SameExtra(a, b) }

func sameValue(a, b jsontext.Value) bool { return part.SameValue(a, b) }

func orEmpty(v jsontext.Value) jsontext.Value {
	if len(v) == 0 {
		return jsontext.Value("{}")
	}
	return v
}
