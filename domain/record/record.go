// Package record holds records of serviced units, what one unit of a board
// showed, and what all of a board's records amount to: how often each position
// failed, with its interval, which parts were found as the map says, and what
// lies behind a symptom.
//
// A share of three in four is worth little and one of three hundred in four
// hundred much; so every share comes with the limits between which it may lie.
// A unit counts once, by its latest word on each position. Dates are calendar
// days; today is passed in.
//
// Not modelled: the age and use of a unit, who looks how closely, and that
// people rather record what failed than what did not.
package record

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
	"boardlore/domain/reading"
)

// MaxBytes bounds a record as a document.
const MaxBytes = 4 << 20

// Base is the reserved ID of the base build, where records of a variant are asked for.
const Base = "base"

// Record is what one serviced unit showed.
type Record struct {
	Board       string         `json:"board"`
	Revision    int            `json:"revision"`
	Variant     string         `json:"variant,omitzero"` // absent, or Base, for the base build
	Unit        string         `json:"unit,omitzero"`    // the submitter's own mark; shown to nobody else
	ServicedOn  string         `json:"serviced_on"`      // date, RFC 3339 full-date
	Outcome     string         `json:"outcome"`          // working, partly, not-working or not-tested
	Symptoms    []string       `json:"symptoms,omitzero"`
	Positions   []Entry        `json:"positions"`
	Checks      []CheckReading `json:"checks,omitzero"`
	Kit         *KitUse        `json:"kit,omitzero"`
	Notes       string         `json:"notes,omitzero"`
	Photographs []string       `json:"photographs,omitzero"` // SHA-256
	Extra       jsontext.Value `json:",embed"`
}

// Entry is what one position showed and what was done there.
type Entry struct {
	Designator string         `json:"designator"`
	Found      string         `json:"found"`
	Measured   []Measured     `json:"measured,omitzero"`
	Done       string         `json:"done"` // left, replaced, cleaned or repaired
	Fitted     *Fitted        `json:"fitted,omitzero"`
	Text       string         `json:"text,omitzero"`
	Extra      jsontext.Value `json:",embed"`
}

// Measured is one reading at a position.
type Measured struct {
	Of    string         `json:"of"` // capacitance, esr, resistance, voltage, current or dissipation
	Value string         `json:"value"`
	Note  string         `json:"note,omitzero"`
	Extra jsontext.Value `json:",embed"`
}

// Fitted is what was fitted instead.
type Fitted struct {
	Part  part.Part      `json:"part"`
	Extra jsontext.Value `json:",embed"`
}

// CheckReading is the reading of one of the map's checks.
type CheckReading struct {
	ID    string         `json:"id"`
	Value string         `json:"value"`
	Extra jsontext.Value `json:",embed"`
}

// KitUse tells how a kit served.
type KitUse struct {
	Kit      string         `json:"kit"`
	LeftOver []int          `json:"left_over,omitzero"` // numbers of its lines
	Missing  []string       `json:"missing,omitzero"`   // designators that it had nothing for
	Extra    jsontext.Value `json:",embed"`
}

// What a position may be found as. Good and Differs are no failures; a part
// that is Missing was not there to fail.
const (
	Good    = "good"
	Missing = "missing"
	Differs = "differs"
)

// Founds are all of them, as the schema lists them.
var Founds = []string{Good, "open", "shorted", "leaking", "bulged", "drifted", "cracked", "corroded", "burnt", Missing,
	Differs}

// Failed tells whether a part that was found so has failed.
func Failed(found string) bool { return found != Good && found != Missing && found != Differs }

// Build is the build that the record names: Base or a variant.
func (r *Record) Build() string {
	if r.Variant == "" {
		return Base
	}
	return r.Variant
}

// Facts is what a record is judged by.
type Facts struct {
	Board      string                   // the board that it is filed under
	Map        *board.Map               // of the revision and build that it names, or the nearest there is
	Newest     int                      // revision
	Revision   bool                     // the revision is there
	Variant    bool                     // and has the variant
	Today      string                   // the day in UTC, as 2024-03-01
	Photograph func(sha256 string) bool // whether it is kept
	Kit        func(id string) bool     // likewise
}

// Judge lists every fault of a record and spells its readings canonically.
func (r *Record) Judge(f Facts) []finding.Finding {
	j := &judge{r: r, f: f}
	j.head()
	j.positions()
	j.checks()
	j.rest()
	return j.findings
}

type judge struct {
	r        *Record
	f        Facts
	findings []finding.Finding
}

func (j *judge) stop(code, pointer, found, key string, values ...any) {
	j.findings = append(j.findings, finding.Finding{Code: code, Severity: finding.Stop, Pointer: pointer, Found: found,
		Sentence: message.Of(key, values...)})
}

func (j *judge) head() {
	r, f := j.r, j.f
	if r.Board != f.Board {
		j.stop("record-elsewhere", "/board", r.Board, "record.elsewhere", f.Board, r.Board)
	}
	if !f.Revision {
		j.stop("revision-unknown", "/revision", fmt.Sprint(r.Revision), "record.revision-unknown", f.Board, r.Revision,
			f.Newest)
	}
	if !f.Variant {
		j.stop("variant-not-found", "/variant", r.Variant, "record.variant-unknown", r.Variant)
	}
	switch {
	case !isDate(r.ServicedOn):
		j.stop("date-invalid", "/serviced_on", r.ServicedOn, "record.date-invalid", r.ServicedOn)
	case r.ServicedOn > f.Today: // dates of this form order as texts do
		j.stop("date-future", "/serviced_on", r.ServicedOn, "record.date-future", r.ServicedOn, f.Today)
	}
}

var dateForm = regexp.MustCompile(`^\d{4}-\d{2}-\d{2}$`)

// isDate tells a day of the Gregorian calendar, in the form of RFC 3339.
func isDate(s string) bool {
	if !dateForm.MatchString(s) {
		return false
	}
	year, _ := strconv.Atoi(s[:4])
	month, _ := strconv.Atoi(s[5:7])
	day, _ := strconv.Atoi(s[8:])
	if month < 1 || month > 12 || year < 1 {
		return false
	}
	days := [...]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}[month-1]
	if month == 2 && year%4 == 0 && (year%100 != 0 || year%400 == 0) {
		days = 29
	}
	return day >= 1 && day <= days
}

func (j *judge) positions() {
	known := make(map[string]bool, len(j.f.Map.Positions))
	for i := range j.f.Map.Positions {
		known[j.f.Map.Positions[i].Designator] = true
	}
	seen := map[string]bool{}
	for i := range j.r.Positions {
		e, at := &j.r.Positions[i], fmt.Sprintf("/positions/%d", i)
		j.designator(known, e.Designator, at+"/designator")
		if seen[e.Designator] {
			j.stop("designator-twice", at+"/designator", e.Designator, "record.designator-twice", e.Designator)
		}
		seen[e.Designator] = true
		for k := range e.Measured {
			m := &e.Measured[k]
			j.reading(&m.Value, m.Of, fmt.Sprintf("%s/measured/%d/value", at, k))
		}
	}
	if k := j.r.Kit; k != nil {
		for i, d := range k.Missing {
			j.designator(known, d, fmt.Sprintf("/kit/missing/%d", i))
		}
		if !j.f.Kit(k.Kit) {
			j.stop("kit-unknown", "/kit/kit", k.Kit, "record.kit-unknown", k.Kit)
		}
	}
}

func (j *judge) designator(known map[string]bool, designator, pointer string) {
	if !known[designator] {
		j.stop("designator-unknown", pointer, designator, "record.designator-unknown", designator)
	}
}

func (j *judge) checks() {
	measure := make(map[string]string, len(j.f.Map.Checks))
	for i := range j.f.Map.Checks {
		measure[j.f.Map.Checks[i].ID] = j.f.Map.Checks[i].Measure
	}
	seen := map[string]bool{}
	for i := range j.r.Checks {
		c, at := &j.r.Checks[i], fmt.Sprintf("/checks/%d", i)
		of, ok := measure[c.ID]
		switch {
		case !ok:
			j.stop("check-unknown", at+"/id", c.ID, "record.check-unknown", c.ID)
			continue
		case seen[c.ID]:
			j.stop("check-twice", at+"/id", c.ID, "record.check-twice", c.ID)
		}
		seen[c.ID] = true
		j.reading(&c.Value, of, at+"/value")
	}
}

var sha256Name = regexp.MustCompile(`^[0-9a-f]{64}$`)

func (j *judge) rest() {
	for i, sum := range j.r.Photographs {
		if !sha256Name.MatchString(sum) || !j.f.Photograph(sum) {
			j.stop("photograph-unknown", fmt.Sprintf("/photographs/%d", i), sum, "record.photograph-unknown", sum)
		}
	}
}

// kinds says what a reading of something is a quantity of.
var kinds = map[string]quantity.Kind{"capacitance": quantity.Capacitance, "esr": quantity.Resistance,
	"resistance": quantity.Resistance,
	"continuity": quantity.Resistance, "voltage": quantity.Voltage, "current": quantity.Current}

// figuresOnly is a text without a unit, whatever its figures.
var figuresOnly = regexp.MustCompile(`^[\s\d.,'+±−-]*$`)

// reading holds a reading to its kind and spells it canonically.
func (j *judge) reading(value *string, of, pointer string) {
	if of == "dissipation" {
		j.dissipation(value, pointer)
		return
	}
	if figuresOnly.MatchString(*value) {
		j.stop("reading-without-unit", pointer, *value, "record.unit-missing", *value, message.Word("measured", of),
			examples[of])
		return
	}
	read, err := reading.Quantity(*value, kinds[of], quantity.Context{Found: "list"})
	rs := read.Amounts
	switch {
	case err != nil:
		j.stop("reading-unreadable", pointer, *value, "record.reading-unreadable", *value, message.Word("measured", of),
			examples[of])
	case !read.Sure && !rs[0].Alternating() || rs[0].Quantity.IsZero():
		j.stop("reading-unsure", pointer, *value, "record.reading-unsure", *value, message.Word("measured", of),
			examples[of])
	case rs[0].Quantity.Unit() != kinds[of].Unit():
		j.stop("reading-unreadable", pointer, *value, "record.reading-other", *value, message.Word("measured", of),
			examples[of])
	default:
		*value = rs[0].Quantity.String()
	}
}

var examples = map[string]string{"capacitance": "31.5 µF", "esr": "1.9 Ω", "resistance": "220 kΩ",
	"continuity": "200 mΩ", "voltage": "4.93 V", "current": "630 mA"}

// ratio is a dissipation factor: a figure that has no unit, or per cent.
var ratio = regexp.MustCompile(`^(\d{1,6}(?:[.,]\d{1,9})?)\s*(%?)$`)

func (j *judge) dissipation(value *string, pointer string) {
	m := ratio.FindStringSubmatch(strings.TrimSpace(*value))
	if m == nil {
		j.stop("reading-unreadable", pointer, *value, "record.dissipation-unreadable", *value)
		return
	}
	*value = strings.Replace(m[1], ",", ".", 1)
	if m[2] != "" {
		*value += " %"
	}
}

// sameSpecies are the readings that tell the value of a class.
var sameSpecies = map[part.Class]string{"capacitor": "capacitance", "resistor": "resistance",
	"potentiometer": "resistance", "thermistor": "resistance", "varistor": "voltage"}

// AsMapped tells whether what was measured or fitted at a position is of the
// map's class and within its tolerance, or of the part that it wants instead.
func (e *Entry) AsMapped(p *board.Position) bool {
	if e.Found == Missing {
		return false
	}
	for _, want := range []*part.Part{&p.Part, p.Wanted()} {
		if e.Fitted != nil && e.Fitted.Part.Class == want.Class && within(e.Fitted.Part.Value, want) {
			return true
		}
	}
	return slices.ContainsFunc(e.Measured, func(m Measured) bool {
		v, err := quantity.Parse(m.Value)
		return err == nil && m.Of == sameSpecies[p.Part.Class] && within(v, &p.Part)
	})
}

// Other is the value of what was there in place of the part that the map names:
// of what was fitted and left, else as measured. Absent where the entry does not
// say that it differs, or by nothing that tells a value.
func (e *Entry) Other(p *board.Position) quantity.Quantity {
	if e.Found != Differs {
		return quantity.Quantity{}
	}
	if e.Fitted != nil && e.Done == "left" {
		return e.Fitted.Part.Value
	}
	for _, m := range e.Measured {
		if m.Of == sameSpecies[p.Part.Class] {
			v, _ := quantity.Parse(m.Value)
			return v
		}
	}
	return quantity.Quantity{}
}

// usualTolerance is taken where the map gives none, per cent.
const usualTolerance = 20

// within tells whether a value lies within a part's tolerance, exactly.
func within(v quantity.Quantity, of *part.Part) bool {
	nominal := of.Value
	if v.IsZero() || nominal.IsZero() || v.Unit() != nominal.Unit() {
		return false
	}
	low, high := of.Tolerance.Low(), of.Tolerance.High()
	if of.Tolerance.IsZero() {
		return v.CompareScaled(nominal, 100-usualTolerance, 100) >= 0 && v.CompareScaled(nominal, 100+usualTolerance,
			100) <= 0
	}
	least, ok1 := edge(nominal, low)
	most, ok2 := edge(nominal, high)
	return ok1 && ok2 && v.Compare(least) >= 0 && v.Compare(most) <= 0
}

// edge is a nominal value with a deviation, in its unit or per cent.
func edge(nominal, deviation quantity.Quantity) (quantity.Quantity, bool) {
	if deviation.Unit() != quantity.Percent {
		return nominal.Plus(deviation)
	}
	thousandths, ok := deviation.MulRatio(1000, 1)
	if !ok {
		return quantity.Quantity{}, false
	}
	return nominal.MulRatio(100_000+int64(thousandths.Float()), 100_000)
}
