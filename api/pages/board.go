package pages

import (
	"cmp"
	"context"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"boardlore/api/paper"
	"boardlore/domain/board"
	"boardlore/domain/drawing"
	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/photograph"
	"boardlore/domain/record"
	"boardlore/store"
)

// boardPage is the page of one board.
type boardPage struct {
	Board    *store.Board
	Revision *store.Revision
	Map      *board.Map
	Variant  string
	Build    *board.Variant // the variant shown
	Base     *board.Map     // with its variants

	Side          board.Side
	Service, Mark string
	Zoom          int
	Drawing       template.HTML
	Marked        *board.Position // what Mark names
	Both          bool            // parts sit on both sides
	Likes         []*like         // to replace or to inspect
	Rest          []*like         // to leave
	Near          int             // times as large as a phone's width, for a finger
	Photo         bool            // the photograph lies under the drawing
	Lost          string          // what was looked for and is not on the board
	Moments       []moment
	Stops         []message.Message // what must not be overlooked, each in a few words
	Waiting       []store.Proposal
	Shown         int
	Counts        map[string]int // positions by service, "" for all
	Failures      []failure
	Cautions      []caution
	Before, After []board.Measurement
	Old           bool // not the current revision
	Seen          *record.Experience
	Doubts        *doubts

	in        *message.Language
	at        address
	landmarks *drawing.Landmarks
}

// address is the state of the board page, as its links keep it.
type address struct {
	board, revision, variant, side, service, zoom, mark, photo string
}

func (a address) String() string {
	return query("/boards/"+a.board, "revision", a.revision, "variant", a.variant, "side", a.side, "service", a.service,
		"zoom", a.zoom, "mark", a.mark, "photo", a.photo)
}

// Name is what a board is called wherever it stands alone.
func (b *boardPage) Name() string { return boardName(b.Map) }

// boardName is the equipment with the board in it.
func boardName(m *board.Map) string { return board.Called(&m.Equipment, m.Name) }

// SeenAt says what serviced units showed at a position, and whether they bear
// the map's value out; the one place where pages make these sentences.
func (b *boardPage) SeenAt(designator string) []message.Message {
	p := b.Seen.Position(designator)
	return slices.DeleteFunc([]message.Message{p.Words(), p.Evidence()}, message.Message.IsZero)
}

// maxSeen is how many positions the board page tells of.
const maxSeen = 12

// SeenFirst says what failed in most units, the surest first.
func (b *boardPage) SeenFirst() []message.Message {
	ps := slices.DeleteFunc(slices.Clone(b.Seen.Positions), func(p record.PositionSeen) bool { return p.Failed == 0 })
	slices.SortStableFunc(ps, func(x, y record.PositionSeen) int { return cmp.Compare(y.Low, x.Low) })
	var out []message.Message
	for i := range ps[:min(len(ps), maxSeen)] {
		out = append(out, ps[i].Words())
	}
	return out
}

// JobLink leads to the bench.
func (b *boardPage) JobLink() string {
	return query("/boards/"+b.at.board+"/job", "revision", b.at.revision, "variant", b.at.variant)
}

// kept is a part of the page's state that its forms carry along.
type kept struct{ Name, Value string }

// Kept is what the box for a designator keeps: the build and the revision, not
// the side, since the part may sit on the other.
func (b *boardPage) Kept() (out []kept) {
	for _, k := range []kept{{"revision", b.at.revision}, {"variant", b.at.variant}, {"service", b.at.service},
		{"zoom", b.at.zoom}, {"photo", b.at.photo}} {
		if k.Value != "" {
			out = append(out, k)
		}
	}
	return out
}

// Links of the page; each changes one thing and keeps the rest.

func (b *boardPage) SideLink(side string) string {
	a := b.at
	a.side, a.mark = side, ""
	return a.String() + "#drawing"
}

func (b *boardPage) ZoomLink(n int) string {
	a := b.at
	a.zoom = strconv.Itoa(n)
	return a.String() + "#drawing"
}

// zoneLink shows one zone, near times as large as the whole.
func (b *boardPage) zoneLink(zone string, near int) string {
	a := b.at
	a.zoom = strconv.Itoa(near)
	return a.String() + "#zone-" + zone
}

// PhotoLink lays the photograph under the drawing, or takes it away.
func (b *boardPage) PhotoLink() string {
	a := b.at
	if a.photo = "1"; b.Photo {
		a.photo = ""
	}
	return a.String() + "#drawing"
}

// Pictured reports whether there is a photograph of the side shown.
func (b *boardPage) Pictured() bool {
	return slices.ContainsFunc(b.Base.Photographs, func(p board.Photograph) bool { return p.Side == b.Side })
}

// Years are those in which the equipment was made.
func (b *boardPage) Years() string {
	ys := b.Map.Equipment.Years
	if len(ys) == 0 {
		return ""
	}
	if first, last := ys[0], ys[len(ys)-1]; first != last {
		return strconv.Itoa(first) + "–" + strconv.Itoa(last)
	}
	return strconv.Itoa(ys[0])
}

// Frame says how the places were had, and how far off they may be.
func (b *boardPage) Frame() message.Message {
	f := &b.Map.Frame
	text := t("basis." + f.Basis)
	if f.Uncertainty != nil {
		return titled(text, "±"+number(*f.Uncertainty)+" mm")
	}
	return text
}

// Keep are the addresses of what a device keeps for where there is no network:
// both sides, and the working order.
func (b *boardPage) Keep() string {
	a := address{board: b.at.board, revision: b.at.revision, variant: b.at.variant}
	keep := []string{a.String(), b.JobLink()}
	if b.Both {
		for _, a.side = range part.Names(board.Sides) {
			keep = append(keep, a.String())
		}
	}
	return strings.Join(keep, " ")
}

// RestOpen reports whether what is left alone is to be seen at once.
func (b *boardPage) RestOpen() bool {
	return len(b.Likes) == 0 || b.Marked != nil && b.Marked.Service.Or() == board.Leave
}

func (b *boardPage) VariantLink(variant string) string {
	a := b.at
	a.variant, a.mark = variant, ""
	return a.String()
}

// MarkLink marks a position on the drawing and goes to it there, so that it
// is in sight however far the drawing is zoomed in.
func (b *boardPage) MarkLink(p *board.Position) string {
	a := b.at
	a.mark, a.side = p.Designator, string(p.Side)
	return a.String() + "#pos-" + url.PathEscape(p.Designator)
}

func (b *boardPage) rowLink(designator string) string {
	a := b.at
	a.mark, a.side = designator, string(b.Side)
	return a.String() + "#row-" + url.PathEscape(designator)
}

func (b *boardPage) DetailLink(designator string) string {
	return query("/boards/"+b.at.board+"/positions/"+url.PathEscape(designator), "variant", b.at.variant)
}

// OtherSide is the drawing of the side that is not on the page, for paper.
func (b *boardPage) OtherSide() string {
	return query("/v1/boards/"+b.at.board+"/drawing.svg", "side", string(b.Side.Opposite()), "variant", b.Variant,
		"revision", b.at.revision, "language", b.in.Tag)
}

func (b *boardPage) SheetLink() string {
	return query("/boards/"+b.at.board+"/sheet.pdf", "revision", b.at.revision, "variant", b.at.variant)
}

func (b *boardPage) KitLink() string {
	return query("/boards/"+b.at.board+"/kit-check", "variant", b.at.variant)
}

// PartsLink is the page of what to buy for the board without any kit.
func (b *boardPage) PartsLink() string {
	return query("/boards/"+b.at.board+"/parts-list", "variant", b.at.variant)
}

// failure is a failure point with the positions it names that this build has.
type failure struct {
	board.FailurePoint
	Bars bool
}

func (p *Pages) board(c echo.Context, v *visit) error {
	b, err := p.loadBoard(c)
	if err != nil {
		return err
	}
	if b.Doubts, err = p.doubtsAbout(c, v, b, ""); err != nil {
		return err
	}
	o := b.drawingOptions()
	o.Bare, o.Side, o.Link, o.Zone = true, b.Side, b.rowLink, b.zoneLink
	if b.Mark != "" {
		o.Marks = []string{b.Mark}
	}
	if b.Photo {
		o.Photo = query("/v1/boards/"+b.at.board+"/photograph", "side", string(b.Side), "revision",
			strconv.Itoa(b.Revision.Number))
	}
	scene := drawing.Layout(b.Map, o)
	b.Drawing, b.Near = inline(scene.SVG()), scene.Near
	twin := query("/v1/boards/"+b.at.board+"/map", "variant", b.Variant)
	if b.at.revision != "" {
		twin = query("/v1/boards/"+b.at.board+"/revisions/"+b.at.revision, "variant", b.Variant)
	}
	return p.render(c, http.StatusOK, "board", view{Title: message.Text(b.Name()), Nav: "home", JSON: twin, Wide: true,
		Visit: v, Notice: doubtNotice(c), Share: p.sharedOf(c, b), Body: b})
}

// inline puts a drawing of ours into a page; it escapes what it holds itself.
func inline(svg []byte) template.HTML { return template.HTML(svg) }

// paper is the board as it is printed.
func (b *boardPage) paper(in *message.Language) *paper.Board {
	return &paper.Board{Map: b.Map, Build: b.Build, Revision: b.Revision.Number, Digest: b.Revision.Digest,
		ReleasedAt: b.Revision.ReleasedAt,
		Seen:       b.SeenFirst(), In: in}
}

// sheet is the board sheet as a PDF.
func (p *Pages) sheet(c echo.Context, _ *visit) error {
	b, err := p.loadBoard(c)
	if err != nil {
		return err
	}
	sheet := b.paper(b.in)
	sheet.Address = p.here(c) + "/b/" + b.Board.ID
	sheet.Pictures = p.sheetPictures(c.Request().Context(), b)
	pdf, err := paper.Sheet(sheet)
	if err != nil {
		return err
	}
	return sendPDF(c, b.Board.ID+"-r"+strconv.Itoa(b.Revision.Number)+".pdf", pdf)
}

// sheetPicture is how wide a photograph is printed, pixels: some 200 dots an inch.
const sheetPicture = 1500

// sheetPictures are the photographs that the revision's map names, laid flat; the
// sheet is made without one that is withdrawn or open.
func (p *Pages) sheetPictures(ctx context.Context, b *boardPage) (out []paper.Picture) {
	size := [2]float64{b.Map.Frame.Width, b.Map.Frame.Height}
	for _, side := range board.Sides {
		k := slices.IndexFunc(b.Map.Photographs, func(x board.Photograph) bool { return x.Side == side })
		if k < 0 {
			continue
		}
		f, err := p.store.FlatPhotograph(ctx, b.Revision, side)
		if err != nil {
			continue
		}
		sheet := photograph.SheetOf(size, side == board.Bottom, min(sheetPicture, photograph.WidestFlat(size)))
		if jpeg, err := photograph.Scale(f.JPEG, sheet); err == nil {
			out = append(out, paper.Picture{Side: side, SHA256: b.Map.Photographs[k].SHA256, JPEG: jpeg})
		}
	}
	return out
}

func (b *boardPage) drawingOptions() drawing.Options {
	return drawing.Options{In: b.in, Revision: b.Revision.Number, Variant: b.Variant, Digest: b.Revision.Digest,
		Date: date(b.Revision.ReleasedAt)}
}

// loadBoard reads what the address names and prepares everything but the
// drawing.
func (p *Pages) loadBoard(c echo.Context) (*boardPage, error) {
	ctx := c.Request().Context()
	id := param(c, "board")
	n, err := revisionNumber(c.QueryParam("revision"))
	if err != nil {
		return nil, err
	}
	s, err := p.store.Board(ctx, id)
	if err != nil {
		return nil, err
	}
	variant := c.QueryParam("variant")
	r, err := p.store.Revision(ctx, id, n, variant)
	if err != nil {
		return nil, err
	}
	base := r
	if variant != "" {
		if base, err = p.store.Revision(ctx, id, r.Number, ""); err != nil {
			return nil, err
		}
	}
	b := &boardPage{in: languageOf(c), Board: s, Revision: r, Map: r.Map, Variant: variant, Base: base.Map,
		Old: r.Number != s.Revision, Zoom: 1,
		Service: oneOf(c.QueryParam("service"), part.Names(board.Services)...), Mark: c.QueryParam("mark")}
	if z, err := strconv.Atoi(c.QueryParam("zoom")); err == nil && z >= 1 && z <= maxZoom {
		b.Zoom = z
	}
	b.at = address{board: id, revision: c.QueryParam("revision"), variant: variant, side: c.QueryParam("side"),
		service: b.Service,
		zoom:    c.QueryParam("zoom"), mark: b.Mark, photo: oneOf(c.QueryParam("photo"), "1")}
	if b.Seen, err = p.store.Experience(ctx, id, ""); err != nil {
		return nil, err
	}
	open, err := p.store.Proposals(ctx, store.ProposalFilter{Board: id, State: store.AnyOpen})
	if err != nil {
		return nil, err
	}
	b.Waiting = open.Items
	b.fill(c.QueryParam("side"))
	b.Photo = b.at.photo != "" && b.Pictured()
	return b, nil
}

// maxZoom is how many times as large a drawing is shown at most.
const maxZoom = 12

func oneOf(s string, allowed ...string) string {
	if slices.Contains(allowed, s) {
		return s
	}
	return ""
}

func revisionNumber(s string) (int, error) {
	if s == "" {
		return 0, nil
	}
	n, err := strconv.Atoi(s)
	if err != nil || n < 1 {
		return 0, fault.New(fault.Malformed, "parameter-invalid", "page.revision.malformed")
	}
	return n, nil
}

// fill prepares the lists of the page.
func (b *boardPage) fill(side string) {
	m := b.Map
	count := map[board.Side]int{}
	b.Counts = map[string]int{"": len(m.Positions)}
	for i := range m.Positions {
		p := &m.Positions[i]
		count[p.Side]++
		for _, s := range part.Names(board.Services) {
			if has(p, s) {
				b.Counts[s]++
			}
		}
		if strings.EqualFold(p.Designator, b.Mark) && (b.Marked == nil || p.Designator == b.Mark) {
			b.Marked = p
		}
	}
	if b.Marked == nil {
		b.Lost = b.Mark
	} else {
		b.Mark = b.Marked.Designator
		side = cmp.Or(side, string(b.Marked.Side))
	}
	b.Both = count[board.Top] > 0 && count[board.Bottom] > 0
	b.Side = board.Side(oneOf(side, part.Names(board.Sides)...))
	if b.Side == "" {
		b.Side = board.Top
		if count[board.Top] == 0 && count[board.Bottom] > 0 {
			b.Side = board.Bottom
		}
	}
	areas := drawing.WorkingOrder(m, func(p *board.Position) bool { return b.Service == "" || has(p, b.Service) })
	for _, a := range areas {
		b.Shown += len(a.Positions)
	}
	for _, l := range likes(areas) {
		if l.Service.Or() == board.Leave {
			b.Rest = append(b.Rest, l)
		} else {
			b.Likes = append(b.Likes, l)
		}
	}
	for i := range b.Base.Variants {
		if b.Base.Variants[i].Variant == b.Variant {
			b.Build = &b.Base.Variants[i]
		}
	}
	b.Failures = failuresOf(m)
	b.Cautions = cautionsOf(m)
	b.Moments, b.Stops = momentsOf(b.Cautions), stopsOf(m)
	for _, k := range m.Checks {
		if k.When == board.AfterPowerUp {
			b.After = append(b.After, k)
		} else {
			b.Before = append(b.Before, k)
		}
	}
}

// failuresOf puts what bars power-up first, then what is most dangerous.
func failuresOf(m *board.Map) []failure {
	fs := make([]failure, len(m.FailurePoints))
	for i, f := range m.FailurePoints {
		fs[i] = failure{FailurePoint: f, Bars: f.BarsPowerUp != nil && *f.BarsPowerUp}
	}
	rank := func(f failure) int {
		n := map[string]int{"hazard": 3, "major": 2, "minor": 1}[f.Severity]
		if f.Bars {
			n += 10
		}
		return -n
	}
	slices.SortStableFunc(fs, func(a, b failure) int { return rank(a) - rank(b) })
	return fs
}

// positionView is the page of one position.
type positionView struct {
	*boardPage
	Position *board.Position
	Zone     string
	Near     any    // drawing of it and what stands round it
	Earlier  string // the position before it in natural order, empty for the first
	Later    string
	Found    *record.PositionSeen // what serviced units showed; nil for too few
	Failures []failure
	Checks   []board.Measurement
	History  []store.Change
	Gone     bool // the current map has no such position; only its history is left
}

func (p *Pages) position(c echo.Context, v *visit) error {
	b, err := p.loadBoard(c)
	if err != nil {
		return err
	}
	d := param(c, "designator")
	pv := positionView{boardPage: b}
	if pv.History, err = p.store.PositionHistory(c.Request().Context(), b.at.board, d); err != nil &&
		!fault.Is(err, fault.NotFound) {
		return err
	}
	for i := range b.Map.Positions {
		if b.Map.Positions[i].Designator == d {
			pv.Position = &b.Map.Positions[i]
		}
	}
	if pv.Position == nil && len(pv.History) == 0 {
		return fault.New(fault.NotFound, "designator-unknown", "page.position.unknown", d)
	}
	if pv.Doubts, err = p.doubtsAbout(c, v, b, d); err != nil {
		return err
	}
	title := d
	if pv.Position != nil {
		pv.Cautions = cautionsOf(b.Map, d)
		pv.see(d)
	} else {
		pv.Gone = true
		pv.Position = &board.Position{Designator: d}
	}
	return p.render(c, http.StatusOK, "position", view{Title: titled(message.Text(title), b.Name()), Nav: "home",
		Wide: true, Visit: v, Notice: doubtNotice(c),
		JSON: "/v1/boards/" + b.at.board + "/positions/" + url.PathEscape(d) + "/history", Body: &pv})
}

// see gathers what the map knows of a position that it has.
func (pv *positionView) see(d string) {
	pv.Zone = drawing.Zone(&pv.Map.Frame, pv.Position)
	pv.Moments = momentsOf(pv.Cautions)
	pv.Near = cutout(pv.Map, "", d, "near", pv.in)
	pv.Earlier, pv.Later = neighbours(pv.Map, d)
	if len(pv.SeenAt(d)) > 0 {
		pv.Found = pv.Seen.Position(d)
	}
	for _, f := range pv.boardPage.Failures {
		if slices.Contains(f.Positions, d) {
			pv.Failures = append(pv.Failures, f)
		}
	}
	for _, k := range pv.Map.Checks {
		if slices.ContainsFunc(k.Between, func(s string) bool {
			return s == d || len(s) > len(d) && s[:len(d)] == d &&
				!isWord(s[len(d)])
		}) {
			pv.Checks = append(pv.Checks, k)
		}
	}
	o := pv.drawingOptions()
	o.Side, o.Marks = pv.Position.Side, []string{d}
	o.Link = func(other string) string { return pv.DetailLink(other) }
	pv.Drawing = inline(drawing.Board(pv.Map, o))
}

// neighbours gives the positions next to one in natural order, empty at the ends.
func neighbours(m *board.Map, d string) (earlier, later string) {
	for i := range m.Positions {
		other := m.Positions[i].Designator
		switch c := board.CompareDesignators(other, d); {
		case c < 0 && (earlier == "" || board.CompareDesignators(other, earlier) > 0):
			earlier = other
		case c > 0 && (later == "" || board.CompareDesignators(other, later) < 0):
			later = other
		}
	}
	return earlier, later
}

func isWord(c byte) bool {
	return c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'
}
