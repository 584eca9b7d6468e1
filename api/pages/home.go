package pages

import (
	"context"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/part"
	"boardlore/domain/record"
	"boardlore/store"
)

// homeView is the page on which a board is found.
type homeView struct {
	Query, Marking, Maker, Kind string
	Width, Height               string // millimetres
	Replaced                    string // about how many positions are to be replaced
	Sides, Class, Printed       string
	Classes                     []string // of parts, to choose from
	Asked, Looked               bool
	Boards                      []boardCard
	Behind                      []suspected // what may be behind the words, where they tell of a symptom
	Next                        string
}

type boardCard struct {
	*store.Board
	Size  string
	Exact bool // what was asked for is just its ID, its name or one of its markings
}

// suspected is what may be behind a symptom.
type suspected struct {
	record.Ranked
	Link   string
	Called string // the board
}

// maxSuspected keeps the page short: whoever has the board goes on at its bench.
const maxSuspected = 8

// suspects looks for what may be behind a symptom; none where the words tell of none.
func (p *Pages) suspects(ctx context.Context, words string) ([]suspected, error) {
	found, err := p.store.Suspects(ctx, words, "")
	if fault.Is(err, fault.Malformed) {
		return nil, nil
	}
	var out []suspected
	names := map[string]string{}
	for _, r := range found {
		if len(out) == maxSuspected {
			break
		}
		if r.Share.Share != nil && *r.Share.Share == 0 { // no unit with it had it
			continue
		}
		link := "/boards/" + r.Board
		if r.Designator != "" {
			link += "/positions/" + url.PathEscape(r.Designator)
		}
		if names[r.Board] == "" {
			b, err := p.store.Board(ctx, r.Board)
			if err != nil {
				return nil, err
			}
			names[r.Board] = board.Called(&b.Equipment, b.Name)
		}
		out = append(out, suspected{r, link, names[r.Board]})
	}
	return out, err
}

// Called is the equipment with the board in it.
func (b boardCard) Called() string { return board.Called(&b.Equipment, b.Name) }

// Picture is the board's outline and parts.
func (b boardCard) Picture() string { return "/boards/" + b.ID + "/thumb.svg?v=" + short(b.Digest) }

// sized reads the size of a board from what stands in the box.
var sized = regexp.MustCompile(`^\s*(\d+(?:[.,]\d+)?)\s*(?:mm)?\s*[x×*]\s*(\d+(?:[.,]\d+)?)\s*(?:mm)?\s*$`)

// maxFound keeps the page under 40 kB.
const maxFound = 30

func (h *homeView) exact(b *store.Board) bool {
	same := func(s string) bool { return h.Query != "" && strings.EqualFold(s, h.Query) }
	return same(b.ID) || same(b.Name) || same(b.Equipment.Maker+" "+b.Equipment.Model) ||
		slices.ContainsFunc(b.Markings, same)
}

// home finds boards: by name, by what is printed on them, or by what they look
// like to somebody who only has the board in hand.
func (p *Pages) home(c echo.Context, v *visit) error {
	q := func(name string) string { return strings.TrimSpace(c.QueryParam(name)) }
	h := homeView{Query: q("q"), Marking: q("marking"), Maker: q("maker"), Kind: q("kind"), Width: q("width"),
		Height: q("height"), Replaced: q("replaced"),
		Sides: oneOf(q("sides"), "one", "both"), Class: oneOf(q("class"), part.Names(part.Classes)...),
		Printed: q("printed"), Classes: part.Names(part.Classes)}
	f := store.BoardFilter{Query: h.Query}
	l := board.Look{Width: figure(h.Width), Height: figure(h.Height), Replaced: int(figure(h.Replaced)),
		Sides: h.Sides, Class: h.Class, Printed: h.Printed}
	if m := sized.FindStringSubmatch(h.Query); m != nil && l.Width == 0 && l.Height == 0 {
		l.Width, l.Height = figure(m[1]), figure(m[2])
		f.Query = ""
	}
	h.Looked = l != board.Look{} || h.Maker+h.Kind != ""
	h.Asked = h.Looked || h.Query+h.Marking != ""
	f.Maker, f.Kind, f.Look, f.Page = h.Maker, h.Kind, l, store.Page{After: q("after"), Limit: maxFound}
	if h.Marking != "" {
		f.Markings = []string{h.Marking}
	}
	bs, err := p.store.Boards(c.Request().Context(), f)
	if err != nil {
		return err
	}
	if f.Query != "" && f.Page.After == "" {
		if h.Behind, err = p.suspects(c.Request().Context(), f.Query); err != nil {
			return err
		}
	}
	for i := range bs.Items {
		size := bs.Items[i].Size
		h.Boards = append(h.Boards, boardCard{&bs.Items[i], number(size.Width) + " × " + number(size.Height) + " mm",
			h.exact(&bs.Items[i])})
	}
	if bs.Next != "" {
		h.Next = query("/", "q", h.Query, "marking", h.Marking, "maker", h.Maker, "kind", h.Kind, "width", h.Width,
			"height", h.Height,
			"replaced", h.Replaced, "sides", h.Sides, "class", h.Class, "printed", h.Printed, "after", bs.Next)
	}
	twin := query("/v1/boards", "q", f.Query, "marking", h.Marking, "maker", h.Maker, "kind", h.Kind, "width_mm",
		whole(l.Width), "height_mm", whole(l.Height),
		"replaced", whole(float64(l.Replaced)), "sides", h.Sides, "class", h.Class, "printed", h.Printed, "limit",
		strconv.Itoa(maxFound), "cursor", q("after"))
	share := &shared{Address: p.here(c) + "/", Title: t("home.title"), Text: t("home.why")}
	return p.render(c, http.StatusOK, "home", view{Title: t("home.title"), Nav: "home", JSON: twin, Visit: v,
		Share: share, Body: h})
}

// whole is a measure as the API takes it, "" for none.
func whole(x float64) string {
	if x == 0 {
		return ""
	}
	return strconv.FormatFloat(min(max(1, x), 5000), 'f', -1, 64)
}

// figure reads a number that a person typed, 0 where there is none.
func figure(s string) float64 {
	x, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(strings.TrimSuffix(s, "mm")), ",", ".", 1), 64)
	if err != nil || !(x > 0 && x < 1e5) {
		return 0
	}
	return x
}
