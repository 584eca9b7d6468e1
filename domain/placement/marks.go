package placement

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/list"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/photograph"
)

// PhotographRequest is a board as photographs show it: where some known places
// are in them, and where the parts are that a person marked.
type PhotographRequest struct {
	Board     string          `json:"board"`
	Equipment board.Equipment `json:"equipment"`
	Name      string          `json:"name"`
	Frame     struct {
		Width  float64 `json:"width_mm"`
		Height float64 `json:"height_mm"`
	} `json:"frame"`
	Photographs []Marked `json:"photographs"`
}

// Marked is one photograph with its marks. Pixels count from the upper left, u
// right and v down.
type Marked struct {
	SHA256 string                  `json:"sha256,omitzero"` // where the server keeps the picture
	Width  int                     `json:"width_px"`
	Height int                     `json:"height_px"`
	Side   board.Side              `json:"side"` // top or bottom: what it shows
	Points []board.PhotographPoint `json:"points"`
	Marks  []Mark                  `json:"marks"`
}

// Mark is a part that a person pointed at: by its two leads, and perhaps which
// of them is the negative one, or by its centre alone.
type Mark struct {
	Designator string        `json:"designator"`
	Text       string        `json:"text,omitzero"` // as printed on it
	Service    board.Service `json:"service,omitzero"`
	Leads      [][2]float64  `json:"leads,omitzero"` // two pixels
	Negative   *[2]float64   `json:"negative,omitzero"`
	Centre     *[2]float64   `json:"centre,omitzero"`
}

// PhotographResult is a draft map with how far off it may be.
type PhotographResult struct {
	Map         *board.Map          `json:"map"`
	Photographs []PhotographFit     `json:"photographs"`
	Marks       []MarkFit           `json:"marks"`
	Problems    []PhotographProblem `json:"problems"`
	Questions   []Question          `json:"questions"`
}

// PhotographFit is how well the points of one photograph fit a flat board.
type PhotographFit struct {
	Side  board.Side `json:"side"`
	RMS   float64    `json:"rms_mm"`
	Max   float64    `json:"max_mm"`
	Pixel float64    `json:"pixel_mm"` // of the board that one pixel shows
}

// MarkFit is one standard deviation of the distance from the true place.
type MarkFit struct {
	Designator  string  `json:"designator"`
	Uncertainty float64 `json:"uncertainty_mm"`
}

// PhotographProblem is a point or mark that a person should look at.
type PhotographProblem struct {
	Pointer string          `json:"pointer"`
	Code    string          `json:"code"`
	Text    message.Message `json:"text"`
}

// FromPhotographs makes a draft map of marks. Points that leave it open how
// the board lies in a photograph are findings, with which there is no map;
// what else does not fit is a problem or a question of the result.
func FromPhotographs(r PhotographRequest) (PhotographResult, []finding.Finding) {
	m := &marker{request: r, placed: map[string]string{}, result: PhotographResult{
		Photographs: []PhotographFit{}, Marks: []MarkFit{}, Problems: []PhotographProblem{}, Questions: []Question{}}}
	m.result.Map = &board.Map{Board: r.Board, Equipment: r.Equipment, Name: r.Name, Positions: []board.Position{},
		Frame: board.Frame{Width: r.Frame.Width, Height: r.Frame.Height, Basis: "photograph"}}
	for i := range r.Photographs {
		m.photograph(i)
	}
	if len(m.findings) > 0 {
		return PhotographResult{}, m.findings
	}
	slices.SortStableFunc(m.result.Map.Positions, func(a, b board.Position) int {
		return board.CompareDesignators(a.Designator, b.Designator)
	})
	m.uncertainty()
	m.ask()
	return m.result, nil
}

type marker struct {
	request  PhotographRequest
	result   PhotographResult
	findings []finding.Finding
	placed   map[string]string // designator to the pointer of its mark
	unturned []string          // designators whose rotation nothing says
	unread   []string          // designators whose text could not be read for certain
}

func (m *marker) problem(pointer, code, key string, values ...any) {
	m.result.Problems = append(m.result.Problems, PhotographProblem{Pointer: pointer, Code: code,
		Text: message.Of(key, values...)})
}

// photograph lays one photograph flat and places its marks.
func (m *marker) photograph(i int) {
	r, pointer := &m.request.Photographs[i], fmt.Sprintf("/photographs/%d", i)
	plane, misfits, err := photograph.Lie(Points(r.Points), r.Side == "bottom")
	if err != nil {
		m.findings = append(m.findings, openPoints(err, pointer+"/points"))
		return
	}
	m.result.Photographs = append(m.result.Photographs, PhotographFit{Side: r.Side, RMS: plane.RMS, Max: plane.Max,
		Pixel: plane.Pixel})
	for _, k := range misfits {
		q := r.Points[k]
		at := plane.To(q.Pixel)
		m.problem(fmt.Sprintf("%s/points/%d", pointer, k), "point-does-not-fit", "placement.point-does-not-fit",
			figure(q.MM[0]), figure(q.MM[1]), figure(at[0]), figure(at[1]))
	}
	if plane.Disagree() {
		m.problem(pointer+"/points", "points-disagree", "placement.points-disagree", figure(plane.Max))
	}
	if r.SHA256 != "" {
		m.result.Map.Photographs = append(m.result.Map.Photographs, board.Photograph{SHA256: r.SHA256, Side: r.Side,
			Points: r.Points})
	}
	for k := range r.Marks {
		m.mark(r, &r.Marks[k], plane, fmt.Sprintf("%s/marks/%d", pointer, k))
	}
}

// Points are a map's points as the fit takes them.
func Points(points []board.PhotographPoint) []photograph.Point {
	out := make([]photograph.Point, len(points))
	for i, q := range points {
		out[i] = photograph.Point{Pixel: q.Pixel, MM: q.MM}
	}
	return out
}

// openPoints is the finding that points leave it open how the board lies.
func openPoints(err error, pointer string) finding.Finding {
	var u *photograph.Undetermined
	if errors.As(err, &u) && u.Point >= 0 {
		pointer = fmt.Sprintf("%s/%d", pointer, u.Point)
	}
	return finding.Finding{Code: "points-open", Severity: finding.Stop, Pointer: pointer,
		Basis:    message.Of("basis.plane"),
		Sentence: message.Of("placement.points-open", err)}
}

// overEdge is how far over the board's edge, in mm, a mark may lie where it is
// known no better.
const overEdge = 1.0

// mark places one part.
func (m *marker) mark(r *Marked, k *Mark, plane *photograph.Plane, pointer string) {
	if first, twice := m.placed[k.Designator]; twice {
		m.problem(pointer, "designator-again", "placement.marked-already", k.Designator, first)
		return
	}
	pixels := k.Leads
	if len(pixels) == 0 && k.Centre != nil {
		pixels = [][2]float64{*k.Centre}
	}
	if !m.seen(r, k, plane, pixels, pointer) {
		return
	}
	at := middle(plane, pixels)
	p := board.Position{Designator: k.Designator, Side: r.Side, X: round(at[0]), Y: round(at[1]), Service: k.Service}
	off := plane.Uncertainty(pixels...)
	m.result.Marks = append(m.result.Marks, MarkFit{k.Designator, off})
	if f, edge := &m.request.Frame, min(2*off, overEdge); p.X < -edge || p.Y < -edge || p.X > f.Width+edge ||
		p.Y > f.Height+edge {
		m.problem(pointer, "mark-off-board", "placement.off-board",
			k.Designator, figure(p.X), figure(p.Y), figure(f.Width), figure(f.Height))
		return
	}
	m.placed[k.Designator] = pointer
	m.directions(&p, k, plane, at, pointer)
	m.part(&p, k)
	m.result.Map.Positions = append(m.result.Map.Positions, p)
}

// seen reports whether the pixels lie in the picture and show the board's plane.
func (m *marker) seen(r *Marked, k *Mark, plane *photograph.Plane, pixels [][2]float64, pointer string) bool {
	for _, q := range pixels {
		if q[0] < 0 || q[1] < 0 || q[0] > float64(r.Width) || q[1] > float64(r.Height) {
			m.problem(pointer, "mark-off-photograph", "placement.off-picture", k.Designator, r.Width, r.Height)
			return false
		}
		if !plane.Sees(q) {
			m.problem(pointer, "mark-off-board", "placement.off-plane", k.Designator)
			return false
		}
	}
	return len(pixels) > 0
}

// middle is the mean of the places that pixels show.
func middle(plane *photograph.Plane, pixels [][2]float64) (at [2]float64) {
	for _, q := range pixels {
		mm := plane.To(q)
		at[0], at[1] = at[0]+mm[0]/float64(len(pixels)), at[1]+mm[1]/float64(len(pixels))
	}
	return at
}

// directions turns a part from its first lead to its second, and points to the
// negative one.
func (m *marker) directions(p *board.Position, k *Mark, plane *photograph.Plane, centre [2]float64, pointer string) {
	if len(k.Leads) < 2 {
		m.unturned = append(m.unturned, k.Designator)
		if k.Negative != nil && plane.Sees(*k.Negative) {
			p.Negative = direction(centre, plane.To(*k.Negative))
		}
		return
	}
	a, b := plane.To(k.Leads[0]), plane.To(k.Leads[1])
	rotation := direction(a, b)
	if rotation == nil {
		m.unturned = append(m.unturned, k.Designator)
		m.problem(pointer+"/leads", "leads-in-one-place", "placement.leads-in-one-place", k.Designator)
		return
	}
	p.Rotation = *rotation
	p.Body = &part.Body{LeadPitch: math.Round(math.Hypot(b[0]-a[0], b[1]-a[1])*100) / 100}
	if k.Negative == nil {
		return
	}
	if k.nearerFirst() {
		p.Negative = direction(centre, a)
	} else {
		p.Negative = direction(centre, b)
	}
}

// nearerFirst reports whether the mark of the negative lead is nearer the first.
func (k *Mark) nearerFirst() bool {
	far := func(q [2]float64) float64 { return math.Hypot(q[0]-k.Negative[0], q[1]-k.Negative[1]) }
	return far(k.Leads[0]) <= far(k.Leads[1])
}

// direction is the direction from one place to another, in degrees counter-
// clockwise, nil where they are one.
func direction(from, to [2]float64) *float64 {
	if math.Hypot(to[0]-from[0], to[1]-from[1]) < 1e-6 {
		return nil
	}
	deg := turn(math.Round(math.Atan2(to[1]-from[1], to[0]-from[0])*180/math.Pi*100) / 100)
	return &deg
}

// part reads what is printed on the part; what is not read for certain stays
// as text.
func (m *marker) part(p *board.Position, k *Mark) {
	class := ClassOf(k.Designator)
	text := strings.TrimSpace(k.Text)
	if text == "" {
		p.Part = part.Part{Class: class}
		return
	}
	read, ok := readPart(text, class)
	if p.Part = read; !ok {
		m.unread = append(m.unread, k.Designator)
	}
}

// uncertainty is the frame's: that of the mark that is known least.
func (m *marker) uncertainty() {
	most := 0.0
	for _, k := range m.result.Marks {
		most = max(most, k.Uncertainty)
	}
	for _, f := range m.result.Photographs {
		most = max(most, f.RMS)
	}
	most = math.Ceil(most*100) / 100
	m.result.Map.Frame.Uncertainty = &most
}

// ask puts what the marks leave open, each kind of question once.
func (m *marker) ask() {
	if len(m.unturned) > 0 {
		m.question("rotation", message.Of("placement.rotation-open", spans(m.unturned)), "0", "90", "180", "270")
	}
	if len(m.unread) > 0 {
		m.question("part", message.Of("placement.print-unread", spans(m.unread)))
	}
}

func (m *marker) question(code string, text message.Message, choices ...string) {
	m.result.Questions = append(m.result.Questions, Question{Code: code, Text: text, Choices: append([]string{},
		choices...)})
}

func spans(designators []string) string {
	slices.SortFunc(designators, func(a, b string) int {
		return cmp.Or(board.CompareDesignators(a, b),
			cmp.Compare(a, b))
	})
	return list.Ranges(designators)
}

// figure is a number of millimetres to two decimals.
func figure(x float64) string {
	return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.2f", x), "0"), ".")
}
