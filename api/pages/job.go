package pages

import (
	"crypto/sha256"
	"fmt"
	"html/template"
	"math"
	"net/http"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/labstack/echo/v4"

	"boardlore/api/paper"
	"boardlore/domain/bench"
	"boardlore/domain/board"
	"boardlore/domain/drawing"
	"boardlore/domain/fault"
	"boardlore/domain/kit"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
	"boardlore/domain/record"
	"boardlore/store"
)

// jobView is one unit's work along the plan. What is ticked, found and
// measured is kept by the browser; the page is the same for everybody.
type jobView struct {
	*boardPage
	Plan   *bench.Plan
	Out    []jobStage // in the order of removal
	Fit    []jobStage // in the order of fitting
	Steps  int        // positions in scope
	Sides  []template.HTML
	Made   string // when this page was made, RFC 3339
	Today  string // UTC: no unit was serviced after it
	Founds []string
	Known  []jobPoint
	Kits   []store.Kit // kept for the board, one of which may have been used
	Filed  int64       // record that was just made of a job
	Job    string
	Scope  string
	Own    []store.Record // of this board, that the visitor filed; newest first
}

// jobStage is a stage with what the page says of each position.
type jobStage struct {
	Title, Reason message.Message
	Steps         []jobStep
}

// jobStep is a position on its way out or in.
type jobStep struct {
	Position *board.Position
	Angle    int // free, degrees
	bench.Method
	Reads  []jobReading
	Arrow  *float64        // direction of the minus lead on the screen, clockwise from right; nil for none
	Seen   message.Message // what other units showed
	Barred bool            // a failure point that bars power-up names it
}

// jobReading is a field for a reading, with the unit that figures alone have.
type jobReading struct{ Of, Unit string }

// jobPoint is a failure point with its symptoms, for a look without a network.
type jobPoint struct {
	ID, Title           string
	Positions, Symptoms []string
	Seen                message.Message
}

// maxDrawn is how many positions a drawing on this page has at most: a phone
// turns and zooms no more.
const maxDrawn = 600

func (p *Pages) job(c echo.Context, v *visit) error {
	j, err := p.loadJob(c)
	if err != nil {
		return err
	}
	j.show()
	kits, err := p.store.Kits(c.Request().Context(), store.KitFilter{Board: j.at.board,
		Page: store.Page{Limit: maxKits}})
	if err != nil {
		return err
	}
	j.Kits = kits.Items
	j.Filed, _ = strconv.ParseInt(c.QueryParam("filed"), 10, 64)
	j.Job = c.QueryParam("job")
	if v.SignedIn() {
		own, err := p.store.Records(c.Request().Context(), store.RecordFilter{Board: j.at.board, Author: v.Actor.ID})
		if err != nil {
			return err
		}
		j.Own = own.Items
	}
	// The script asks what lies behind a symptom, and shows pictures that only this browser has.
	c.Response().Header().Set("Content-Security-Policy", strings.Replace(policy, "img-src 'self'",
		"img-src 'self' blob:", 1)+"; connect-src 'self'")
	return p.render(c, http.StatusOK, "job", view{Title: titled(t("job.title"), j.Name()), Nav: "home", Visit: v,
		Extra: "job",
		JSON: query("/v1/boards/"+j.at.board+"/plan", "variant", j.Variant, "revision", j.at.revision, "scope",
			j.Scope), Body: j})
}

// maxKits is how many of the kits that are kept for a board a job may choose from.
const maxKits = 50

func (p *Pages) loadJob(c echo.Context) (*jobView, error) {
	b, err := p.loadBoard(c)
	if err != nil {
		return nil, err
	}
	j := &jobView{boardPage: b, Scope: c.QueryParam("scope"), Made: time.Now().UTC().Format(time.RFC3339),
		Today:  time.Now().UTC().Format(time.DateOnly),
		Founds: record.Founds}
	j.Plan, err = bench.Make(bench.Request{Map: b.Map, Revision: b.Revision.Number, Variant: b.Variant,
		Digest: b.Revision.Digest,
		Scope:  kit.ParseScope(j.Scope), Tool: bench.StandardTool, ToVolts: 5})
	return j, err
}

// show prepares what is on the screen alone.
func (j *jobView) show() {
	j.stages()
	j.points()
	if len(j.Map.Positions) <= maxDrawn {
		for _, o := range j.sideOptions() {
			j.Sides = append(j.Sides, inline(drawing.Board(j.Map, o)))
		}
	}
}

// sideOptions are the drawings of the sides that bear parts.
func (b *boardPage) sideOptions() []drawing.Options {
	var out []drawing.Options
	for _, s := range board.Sides {
		if slices.ContainsFunc(b.Map.Positions, func(p board.Position) bool { return p.Side == s }) {
			o := b.drawingOptions()
			o.Side = s
			out = append(out, o)
		}
	}
	return out
}

func (j *jobView) stages() {
	at := make(map[string]*board.Position, len(j.Map.Positions))
	for i := range j.Map.Positions {
		at[j.Map.Positions[i].Designator] = &j.Map.Positions[i]
	}
	barred := map[string]bool{}
	for _, f := range j.boardPage.Failures {
		for _, d := range f.Positions {
			barred[d] = barred[d] || f.Bars
		}
	}
	for _, s := range j.Plan.Stages {
		out, fit := jobStage{Title: s.Title, Reason: s.Reason}, jobStage{Title: s.Title}
		for _, r := range s.Removal {
			p := at[r.Designator]
			out.Steps = append(out.Steps, jobStep{Position: p, Angle: int(math.Round(r.Angle)), Method: r.Method,
				Reads: readsOf(p), Arrow: arrow(p),
				Seen: j.Seen.Position(r.Designator).Words()})
		}
		for _, f := range s.Fitting {
			p := at[f.Designator]
			fit.Steps = append(fit.Steps, jobStep{Position: p, Angle: int(math.Round(f.Angle)), Arrow: arrow(p),
				Barred: barred[f.Designator]})
		}
		j.Out, j.Fit = append(j.Out, out), append(j.Fit, fit)
		j.Steps += len(out.Steps)
	}
	slices.Reverse(j.Fit)
}

// arrow is where the minus lead points on a drawing of the position's own
// side: clockwise, as screens turn; the bottom is seen from the bottom.
func arrow(p *board.Position) *float64 {
	if p.Negative == nil {
		return nil
	}
	deg := -*p.Negative
	if p.Side == board.Bottom {
		deg = *p.Negative + 180
	}
	return &deg
}

// readsOf is what is worth measuring at a part that was taken out.
func readsOf(p *board.Position) []jobReading {
	unit := func(usual string) string {
		if _, u, ok := strings.Cut(p.Part.Value.String(), " "); ok && !p.Part.Value.IsZero() {
			return u
		}
		return usual
	}
	switch p.Part.Class {
	case part.Capacitor:
		return []jobReading{{"capacitance", unit("µF")}, {"esr", "Ω"}}
	case part.Resistor, part.Potentiometer, part.Thermistor:
		return []jobReading{{"resistance", unit("Ω")}}
	case part.Cell:
		return []jobReading{{"voltage", "V"}}
	case part.Fuse, part.Inductor, part.Switch, part.Relay, part.Lamp:
		return []jobReading{{"resistance", "Ω"}}
	}
	return nil
}

func (j *jobView) points() {
	for i, f := range j.Map.FailurePoints {
		p := jobPoint{ID: f.ID, Title: f.Title, Positions: f.Positions, Symptoms: f.Symptoms}
		if i < len(j.Seen.FailurePoints) && j.Seen.FailurePoints[i].ID == f.ID {
			p.Seen = j.Seen.FailurePoints[i].Words()
		}
		j.Known = append(j.Known, p)
	}
}

// Graves are the cautions that stand open on the page; Lessers fold away, since
// whoever works along the list is told each of them again in its place.
func (j *jobView) Graves() []caution { return j.cautions(true) }

func (j *jobView) Lessers() []caution { return j.cautions(false) }

func (j *jobView) cautions(grave bool) []caution {
	return slices.DeleteFunc(kitCautions(j.Plan.Cautions), func(c caution) bool { return c.Grave != grave })
}

// readingSteps are checks with what the page around them knows.
type readingSteps struct {
	Job    *jobView
	Stage  string
	Checks []bench.Check
}

// probePoint is the designator in a probe's place, without its lead: C4+, R2.1.
var probePoint = regexp.MustCompile(`^[\pL\d_]+`)

// Probes are the drawings on which the probes' places are marked, one for each
// side that has any; what is no position of the board stands in words alone.
func (j *jobView) Probes(c bench.Check) (out []string) {
	marks := map[board.Side][]string{}
	for _, b := range c.Between {
		name := probePoint.FindString(b)
		for i := range j.Map.Positions {
			if q := &j.Map.Positions[i]; q.Designator == name && name != "" {
				marks[q.Side] = append(marks[q.Side], name)
			}
		}
	}
	for _, s := range board.Sides {
		if len(marks[s]) == 0 {
			continue
		}
		pairs := []string{"side", string(s), "variant", j.Variant, "revision", strconv.Itoa(j.Revision.Number),
			"language", j.in.Tag}
		for _, m := range marks[s] {
			pairs = append(pairs, "mark", m)
		}
		out = append(out, query("/v1/boards/"+j.Board.ID+"/drawing.svg", pairs...))
	}
	return out
}

// Behind are the positions that a reading outside casts doubt on: those of the
// failure points that the probes' places or their rails belong to, the places
// themselves, then what is to be replaced on these rails.
func (j *jobView) Behind(c bench.Check) (out []string) {
	at, rails := map[string]bool{}, map[string]bool{}
	for _, p := range c.Points {
		at[p.Designator] = true
	}
	said := " " + strings.Join(c.Between, " ") + " "
	for i := range j.Map.Positions {
		p := &j.Map.Positions[i]
		if p.Rail != "" && (at[p.Designator] || strings.Contains(said, " "+p.Rail+" ")) {
			rails[p.Rail] = true
		}
	}
	on := func(p *board.Position) bool { return at[p.Designator] || p.Rail != "" && rails[p.Rail] }
	add := func(d string) {
		if !slices.Contains(out, d) && len(out) < maxBehind {
			out = append(out, d)
		}
	}
	for _, f := range j.Map.FailurePoints {
		if slices.ContainsFunc(j.Map.Positions, func(p board.Position) bool { return on(&p) && slices.Contains(f.Positions, p.Designator) }) {
			for _, d := range f.Positions {
				add(d)
			}
		}
	}
	for _, p := range c.Points {
		add(p.Designator)
	}
	for i := range j.Map.Positions {
		if p := &j.Map.Positions[i]; on(p) && p.Service.Or() == "replace" {
			add(p.Designator)
		}
	}
	return out
}

// maxBehind keeps the list of what to look at short.
const maxBehind = 8

// CheckUnit is the unit that figures alone have at a check.
func (j *jobView) CheckUnit(c bench.Check) string {
	if c.Expect != nil {
		for _, q := range []quantity.Quantity{c.Expect.Min, c.Expect.Max} {
			if _, unit, ok := strings.Cut(q.String(), " "); ok && !q.IsZero() {
				return unit
			}
		}
	}
	return map[string]string{"voltage": "V", "current": "A", "resistance": "Ω", "continuity": "Ω"}[c.Measure]
}

// Low is the least right figure in that unit, "" for none; High the greatest.
func (j *jobView) Low(c bench.Check) string {
	if c.Expect == nil {
		return ""
	}
	return figureIn(c.Expect.Min, j.CheckUnit(c))
}

func (j *jobView) High(c bench.Check) string {
	if c.Expect == nil {
		return ""
	}
	return figureIn(c.Expect.Max, j.CheckUnit(c))
}

func figureIn(q quantity.Quantity, unit string) string {
	one, err := quantity.Parse("1 " + unit)
	if q.IsZero() || err != nil {
		return ""
	}
	return strconv.FormatFloat(q.Float()/one.Float(), 'g', 12, 64)
}

// AllLink is the same for every position of the board.
func (j *jobView) AllLink() string {
	return query("/boards/"+j.at.board+"/job", "revision", j.at.revision, "variant", j.Variant, "scope", kit.ScopeAll)
}

// JobSheet is the address of the same on paper.
func (j *jobView) JobSheet() string {
	return query("/boards/"+j.at.board+"/job/sheet.pdf", "revision", j.at.revision, "variant", j.Variant, "scope",
		j.Scope)
}

// jobSheet is the job sheet as a PDF.
func (p *Pages) jobSheet(c echo.Context, _ *visit) error {
	j, err := p.loadJob(c)
	if err != nil {
		return err
	}
	pdf, err := paper.Job(j.paper(languageOf(c)), j.Plan)
	if err != nil {
		return err
	}
	return sendPDF(c, j.Board.ID+"-job-r"+strconv.Itoa(j.Revision.Number)+".pdf", pdf)
}

// jobRecord makes a record of a job, and leads back to the page, where the
// browser notes that it is filed.
func (p *Pages) jobRecord(c echo.Context, v *visit) error {
	id, doc := param(c, "board"), []byte(c.FormValue("record"))
	once := store.Once{Key: c.FormValue("once"), BodySHA256: sha256.Sum256(doc)}
	r, err := p.store.KeepRecord(c.Request().Context(), v.Actor, id, doc, time.Now(), once)
	if err != nil {
		return placedInRecord(err, doc)
	}
	return c.Redirect(http.StatusSeeOther, query("/boards/"+id+"/job", "variant", c.FormValue("variant"), "job",
		c.FormValue("job"), "filed", fmt.Sprint(r.ID)))
}

// recordFields are the members of a record by the label that they have on the page.
var recordFields = map[string]string{"unit": "job.unit", "serviced_on": "job.day", "outcome": "job.outcome",
	"symptoms": "job.symptoms", "kit": "job.kit", "notes": "job.notes", "photographs": "job.photo"}

// placedInRecord has what is wrong with a record say where in words: at which
// position, at which check, in which field.
func placedInRecord(err error, doc []byte) error {
	f, ok := fault.As(err)
	if !ok || len(f.Findings) == 0 {
		return err
	}
	var r record.Record
	_ = json.Unmarshal(doc, &r) // what can't be read is told without its place
	out := *f
	out.Findings = slices.Clone(f.Findings)
	for i := range out.Findings {
		x := &out.Findings[i]
		if at := placeInRecord(&r, x.Pointer); !at.IsZero() {
			x.Sentence = message.Of("record.at", at, x.Sentence)
		}
		x.Pointer = ""
	}
	return &out
}

func placeInRecord(r *record.Record, pointer string) message.Message {
	steps := strings.Split(strings.TrimPrefix(pointer, "/"), "/")
	if len(steps) > 1 {
		n, _ := strconv.Atoi(steps[1])
		switch {
		case steps[0] == "positions" && n < len(r.Positions):
			return message.Text(r.Positions[n].Designator)
		case steps[0] == "checks" && n < len(r.Checks):
			return message.Text(r.Checks[n].ID)
		}
	}
	if key := recordFields[steps[0]]; key != "" {
		return t(key)
	}
	return message.Message{}
}
