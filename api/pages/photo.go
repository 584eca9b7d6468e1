package pages

import (
	"cmp"
	"fmt"
	"math"
	"net/http"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/domain/photograph"
	"boardlore/domain/placement"
)

// photoView is a map in the making from photographs. All of it travels in the
// form: the places that are known and the parts that are marked, a line each,
// which a script fills in and anybody can type.
type photoView struct {
	Board, Name, Maker, Model, Kind string
	Width, Height                   string // mm
	Sides                           []photoSide
	Refusal                         message.Message
	Problems                        []message.Message
	Result                          *placement.PhotographResult
	Worst                           []placement.MarkFit
	Signed                          bool
	Known                           bool // the board has a map, which what is marked comes into
}

// photoSide is a photograph of one side.
type photoSide struct {
	Side   board.Side
	SHA256 string // where the server keeps it
	Wide   int    // pixels
	High   int
	Points string // a line each: u v x y
	Marks  string // a line each: designator, pixels, text
	Fit    *placement.PhotographFit
}

func newPhotoView() *photoView {
	v := &photoView{}
	for _, s := range board.Sides {
		v.Sides = append(v.Sides, photoSide{Side: s})
	}
	return v
}

// photo begins, for a known board with its name and size filled in, and with the
// photographs that its map names as they were laid.
func (p *Pages) photo(c echo.Context, v *visit) error {
	f := newPhotoView()
	if id := c.QueryParam("board"); id != "" {
		r, err := p.store.Revision(c.Request().Context(), id, 0, "")
		if err != nil {
			return err
		}
		f.known(r.Map)
		f.Board = r.Board
	}
	return p.showPhoto(c, v, http.StatusOK, f)
}

// known fills in what a map says.
func (f *photoView) known(m *board.Map) {
	e := &m.Equipment
	f.Known, f.Name, f.Maker, f.Model, f.Kind = true, m.Name, e.Maker, e.Model, e.Kind
	f.Width, f.Height = number(m.Frame.Width), number(m.Frame.Height)
	for i := range m.Photographs {
		p := &m.Photographs[i]
		for k := range f.Sides {
			if s := &f.Sides[k]; s.Side == p.Side && s.SHA256 == "" {
				s.SHA256, s.Points = p.SHA256, pointLines(p.Points)
			}
		}
	}
}

// pointLines are known places as the form has them.
func pointLines(points []board.PhotographPoint) string {
	var b strings.Builder
	for _, q := range points {
		for _, x := range []float64{q.Pixel[0], q.Pixel[1], q.MM[0], q.MM[1]} {
			b.WriteString(strconv.FormatFloat(x, 'f', -1, 64) + " ")
		}
		b.WriteString("\n")
	}
	return b.String()
}

func (p *Pages) showPhoto(c echo.Context, v *visit, status int, f *photoView) error {
	f.Signed = v.SignedIn()
	// The script looks at pictures from the visitor's own disk, and asks what a text says.
	c.Response().Header().Set("Content-Security-Policy", strings.Replace(policy, "img-src 'self'",
		"img-src 'self' blob:", 1)+"; connect-src 'self'")
	return p.render(c, status, "photo", view{Title: t("photo.title"), Nav: "contribute", Wide: true, Extra: "photo",
		JSON: "/v1/schemas/photograph-import", Visit: v, Body: f})
}

// photoForm lays the photographs flat and goes on to the editor, or keeps one.
func (p *Pages) photoForm(c echo.Context, v *visit) error {
	f, in, faults := readPhoto(c)
	kept, err := p.keepPhotos(c, v, f, &in)
	switch status, ok := refused(err); {
	case fault.Is(err, fault.Unauthenticated), fault.Is(err, fault.TooLarge), ok:
		f.Refusal = message.Text(err.Error())
		if e, is := fault.As(err); is {
			f.Refusal = e.Detail
		}
		return p.showPhoto(c, v, max(status, http.StatusUnprocessableEntity), f)
	case err != nil:
		return err
	}
	if c.FormValue("act") == "keep" {
		return sendJSON(c, kept)
	}
	f.Problems = faults
	if len(faults) > 0 {
		f.Refusal = t("photo.unread")
		return p.showPhoto(c, v, http.StatusUnprocessableEntity, f)
	}
	in.Photographs = slices.DeleteFunc(in.Photographs, func(m placement.Marked) bool {
		return len(m.Points) == 0 &&
			len(m.Marks) == 0 && m.SHA256 == ""
	})
	r, fs := placement.FromPhotographs(in)
	if len(fs) > 0 {
		f.Refusal = fs[0].Sentence
		return p.showPhoto(c, v, http.StatusUnprocessableEntity, f)
	}
	f.show(r)
	if c.FormValue("act") == "draft" && len(in.Photographs) > 0 {
		return p.photoDraft(c, v, f, r)
	}
	return p.showPhoto(c, v, http.StatusOK, f)
}

// show puts the fit beside its photograph and the marks that are known least on top.
func (f *photoView) show(r placement.PhotographResult) {
	f.Result = &r
	for i := range r.Photographs {
		for k := range f.Sides {
			if f.Sides[k].Side == r.Photographs[i].Side {
				f.Sides[k].Fit = &r.Photographs[i]
			}
		}
	}
	f.Worst = slices.Clone(r.Marks)
	slices.SortStableFunc(f.Worst, func(a, b placement.MarkFit) int {
		return cmp.Compare(b.Uncertainty,
			a.Uncertainty)
	})
	for _, x := range r.Problems {
		f.Problems = append(f.Problems, x.Text)
	}
}

// photoDraft goes on with the editor.
func (p *Pages) photoDraft(c echo.Context, v *visit, f *photoView, r placement.PhotographResult) error {
	e := &draftView{Questions: r.Questions}
	if now, err := p.store.Revision(c.Request().Context(), r.Map.Board, 0, ""); err == nil {
		m, merged := placement.MergePhotographs(now.Map, &r)
		if a, b := now.Map.Frame, r.Map.Frame; math.Hypot(a.Width-b.Width, a.Height-b.Height) > 1 {
			f.Problems = append(f.Problems, t("photo.frame", number(a.Width), number(a.Height)))
		}
		r.Map, e.Base, e.Said = m, now.Number, mergedSaid(now.Number, &merged)
		for _, x := range merged.Differs {
			if x.Member == "negative_deg" {
				f.Problems = append(f.Problems, t("photo.turned", x.Designator, x.Map, x.List))
			}
		}
	}
	data, err := r.Map.Canonical()
	if err != nil {
		return err
	}
	e.Map = string(data)
	for _, x := range f.Problems {
		e.Problems = append(e.Problems, placement.Problem{Reason: x})
	}
	return p.beginDraft(c, v, e)
}

// readPhoto reads the form; what can't be read is told by side and line.
func readPhoto(c echo.Context) (*photoView, placement.PhotographRequest, []message.Message) {
	value := func(name string) string { return strings.TrimSpace(c.FormValue(name)) }
	f := newPhotoView()
	f.Board, f.Name, f.Maker, f.Model, f.Kind = value("board"), value("name"), value("maker"), value("model"),
		value("kind")
	f.Width, f.Height, f.Known = value("width"), value("height"), value("known") != ""
	in := placement.PhotographRequest{Board: f.Board, Name: f.Name, Equipment: board.Equipment{Maker: f.Maker,
		Model: f.Model, Kind: f.Kind}}
	in.Frame.Width, in.Frame.Height = figure(f.Width), figure(f.Height)
	var faults []message.Message
	if in.Frame.Width <= 0 || in.Frame.Height <= 0 {
		faults = append(faults, t("photo.nosize"))
	}
	for i := range f.Sides {
		s := &f.Sides[i]
		at := string(s.Side) + "."
		s.SHA256, s.Points, s.Marks = value(at+"sha256"), c.FormValue(at+"points"), c.FormValue(at+"marks")
		s.Wide, _ = strconv.Atoi(value(at + "wide"))
		s.High, _ = strconv.Atoi(value(at + "high"))
		m, told := s.read()
		in.Photographs = append(in.Photographs, m)
		faults = append(faults, told...)
	}
	return f, in, faults
}

// maxLines bounds what one side's lists have, maxTold how much is said of them:
// the rest is said when that is mended.
const (
	maxLines = 5000
	maxTold  = 100
)

func (s *photoSide) read() (placement.Marked, []message.Message) {
	m := placement.Marked{SHA256: s.SHA256, Side: s.Side, Width: cmp.Or(s.Wide, photograph.MaxSide),
		Height: cmp.Or(s.High, photograph.MaxSide), Marks: []placement.Mark{}}
	var faults []message.Message
	each := func(text string, what message.Message, read func(line string) bool) {
		n := 0
		for line := range strings.Lines(text) {
			if len(faults) > maxTold {
				break
			}
			if n++; strings.TrimSpace(line) != "" && (n > maxLines || !read(strings.TrimSpace(line))) {
				faults = append(faults, t("photo.line", t("side."+string(s.Side)), what, n, clipped(line)))
			}
		}
	}
	each(s.Points, t("photo.points"), func(line string) bool {
		x := figures(line)
		if len(x) != 4 || len(m.Points) >= maxPoints {
			return false
		}
		m.Points = append(m.Points, board.PhotographPoint{Pixel: [2]float64{x[0], x[1]}, MM: [2]float64{x[2], x[3]}})
		return true
	})
	each(s.Marks, t("photo.marks"), func(line string) bool {
		k, ok := readMark(line)
		if ok {
			m.Marks = append(m.Marks, k)
		}
		return ok
	})
	return m, faults
}

// maxPoints is how many known places one photograph has, as the contract has it.
const maxPoints = 64

func clipped(line string) string {
	r := []rune(strings.TrimSpace(line))
	return string(r[:min(len(r), 60)])
}

// figures are the numbers of a line, parted by blanks or semicolons; nil where
// anything else stands in it.
func figures(line string) (out []float64) {
	for _, w := range strings.FieldsFunc(line, func(r rune) bool { return r == ' ' || r == '\t' || r == ';' }) {
		x, ok := typedNumber(w).(float64)
		if !ok {
			return nil
		}
		out = append(out, x)
	}
	return out
}

// markLine is a marked part: its designator, the pixels of both leads or of its
// centre, a minus where the first lead is the negative one, what to do when
// servicing, and after a bar what is printed on it.
var markLine = regexp.MustCompile(`^(\S+)((?:[ \t;]+-?[0-9]+(?:[.,][0-9]+)?){2,4})([ \t]+[-−])?(?:[ \t]+\[(replace|inspect|leave)\])?(?:[ \t]*\|(.*))?$`)

func readMark(line string) (k placement.Mark, ok bool) {
	w := markLine.FindStringSubmatch(line)
	if w == nil {
		return k, false
	}
	x := figures(w[2])
	k = placement.Mark{Designator: w[1], Text: strings.TrimSpace(w[5]), Service: board.Service(w[4])}
	switch len(x) {
	case 2:
		k.Centre = &[2]float64{x[0], x[1]}
	case 4:
		k.Leads = [][2]float64{{x[0], x[1]}, {x[2], x[3]}}
		if w[3] != "" {
			k.Negative = &k.Leads[0]
		}
	}
	return k, len(x) != 3
}

// keptPhoto is what the script learns of a photograph that it brought.
type keptPhoto struct {
	Side   board.Side `json:"side"`
	SHA256 string     `json:"sha256"`
	Wide   int        `json:"width_px"`
	High   int        `json:"height_px"`
}

// keepPhotos keeps the photographs that came with the form, each as the
// evidence that the map will be.
func (p *Pages) keepPhotos(c echo.Context, v *visit, f *photoView, in *placement.PhotographRequest) ([]keptPhoto,
	error) {
	kept := []keptPhoto{}
	for i := range f.Sides {
		s := &f.Sides[i]
		data, err := upload(c, string(s.Side)+".photo", photograph.MaxBytes)
		if err != nil || len(data) == 0 {
			if err != nil {
				return nil, err
			}
			continue
		}
		ph, _, err := p.store.PutPhotograph(c.Request().Context(), v.Actor, data)
		if err != nil {
			return nil, fmt.Errorf("keep the photograph: %w", err)
		}
		s.SHA256, s.Wide, s.High = ph.SHA256, ph.Width, ph.Height
		in.Photographs[i].SHA256, in.Photographs[i].Width, in.Photographs[i].Height = ph.SHA256, ph.Width, ph.Height
		kept = append(kept, keptPhoto{s.Side, ph.SHA256, ph.Width, ph.Height})
	}
	return kept, nil
}
