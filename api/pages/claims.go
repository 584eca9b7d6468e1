package pages

import (
	"fmt"
	"html"
	"html/template"
	"maps"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/list"
	"boardlore/domain/message"
	"boardlore/domain/review"
)

// fewest is how many like changes are told one by one.
const fewest = 3

// gathered puts changes that say the same of many positions into one line, so
// that the odd one out stands out: moves of one distance, by a tenth of a
// millimetre, and members that were one thing and are another.
func gathered(changes []board.DifferenceEntry) []board.DifferenceEntry {
	by := map[string][]string{}
	keys := make([]string, len(changes))
	for i := range changes {
		if keys[i] = alike(&changes[i]); keys[i] != "" {
			by[keys[i]] = append(by[keys[i]], changes[i].Designator)
		}
	}
	var out []board.DifferenceEntry
	told := map[string]bool{}
	for i := range changes {
		e := changes[i]
		switch names := by[keys[i]]; {
		case keys[i] == "" || len(names) < fewest:
			out = append(out, e)
		case !told[keys[i]]:
			told[keys[i]] = true
			e.Designator, e.Sentence = "", together(&e, names)
			out = append(out, e)
		}
	}
	return out
}

// alike is what changes that say the same share; "" for one that stands alone.
func alike(e *board.DifferenceEntry) string {
	switch {
	case e.Designator == "" || e.Kind == board.Added || e.Kind == board.Removed || e.Kind == board.Renamed:
		return ""
	case e.Kind == board.Moved && e.Distance != nil:
		return fmt.Sprintf("%s moved %.1f", e.Severity, *e.Distance)
	}
	then, now := e.Told()
	return fmt.Sprintf("%s %s %q %q", e.Severity, e.Kind, then.String(), now.String())
}

// together says of many positions what their changes say of each.
func together(e *board.DifferenceEntry, names []string) message.Message {
	if e.Kind == board.Moved {
		return t("difference.moved", len(names), strconv.FormatFloat(*e.Distance, 'f', 1, 64), list.Ranges(names))
	}
	then, now := e.Told()
	return t("difference.alike", len(names), then, now, list.Ranges(names))
}

// hazardShown is all that is a hazard about one position, a variant, or the map.
type hazardShown struct {
	Designator, Variant string
	Told                []board.JudgedHazard
	Evidence            []review.Evidence // that names it
	Place               string            // its address on the drawing, "" for none
	Saw                 string            // on what the reviewer says to have seen it
	Before, After       any               // cutouts of the drawing, nil for none
}

// Field is the form's field for what the reviewer saw.
func (h *hazardShown) Field() string { return sawField + h.Designator }

const sawField = "saw."

// gatherHazards puts the hazards about one thing together, in their order.
func (pv *proposalView) gatherHazards() {
	at := map[[2]string]int{}
	for _, h := range pv.Judged {
		k := [2]string{h.Designator, h.Variant}
		i, there := at[k]
		if !there || h.Designator == "" && h.Variant == "" {
			i, at[k] = len(pv.Hazards), len(pv.Hazards)
			pv.Hazards = append(pv.Hazards, hazardShown{Designator: h.Designator, Variant: h.Variant,
				Place:    pv.places[h.Designator],
				Evidence: naming(pv.Evidence, h.Designator), Saw: pv.Filled.Saw[h.Designator]})
		}
		pv.Hazards[i].Told = append(pv.Hazards[i].Told, h)
	}
}

// naming is the evidence that names a position and shows something of it.
func naming(items []review.Evidence, designator string) []review.Evidence {
	return slices.DeleteFunc(slices.Clone(items), func(e review.Evidence) bool {
		return e.Shows() == 0 ||
			!e.Named()[designator]
	})
}

// find notes at which address on the page a drawing has each part, so that a
// link leads to it and what was ticked on the page stays.
func (pv *proposalView) find(drawings ...any) {
	for _, drawing := range drawings {
		svg, _ := drawing.(template.HTML)
		for _, m := range drawnPart.FindAllStringSubmatch(string(svg), -1) {
			if d := html.UnescapeString(m[2]); pv.places[d] == "" {
				pv.places[d] = html.UnescapeString(m[1])
			}
		}
	}
}

var drawnPart = regexp.MustCompile(`<g id="([^"]*)" data-designator="([^"]*)"`)

// drawnAt is a position that is on the drawing, and its address there.
type drawnAt struct{ Designator, ID string }

// ofClaims parts claims into those that are told in full and the rest, which
// is folded where it is long.
func ofClaims(claims []board.Claim) (first, rest []board.Claim) {
	for _, c := range claims {
		if c.Hazardous || c.Relevant || c.Unlike != nil {
			first = append(first, c)
		} else {
			rest = append(rest, c)
		}
	}
	return first, rest
}

// claimShown is a claim on the page, with a link to each of its places.
type claimShown struct {
	Proposal *proposalView
	Claim    board.Claim
	ID       string
	Places   []drawnAt // that are on the drawing
	Rest     string    // the others
}

func (pv *proposalView) shown(c board.Claim, id string) claimShown {
	s := claimShown{Proposal: pv, Claim: c, ID: id}
	var rest []string
	for _, d := range c.Designators {
		if at := pv.places[d]; at != "" {
			s.Places = append(s.Places, drawnAt{d, at})
		} else {
			rest = append(rest, d)
		}
	}
	s.Rest = list.Ranges(rest)
	return s
}

// Name is what the board is called, with its equipment.
func (pv *proposalView) Name() string { return boardName(pv.Map) }

// conversation is what reviewers said of a proposal, and what was answered.
type conversation struct {
	Visit     *visit
	Proposal  int64
	Reviews   []review.Review
	MayAnswer bool
}

// seenOf reads what a reviewer ticked: positions, and on what they were seen.
func seenOf(ticked []string, on string) []review.Seen {
	var out []review.Seen
	for _, names := range ticked {
		for _, d := range strings.Split(names, ",") {
			if s := (review.Seen{Designator: d, On: on}); d != "" && !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return out
}

// saw reads what a reviewer says of each hazard.
func saw(form url.Values) map[string]string {
	out := map[string]string{}
	for name, values := range form {
		if d, is := strings.CutPrefix(name, sawField); is && len(values) > 0 {
			out[d] = oneOf(values[0], "board", "photograph", "document")
		}
	}
	return out
}

// seenAll joins what was ticked and what was said of each hazard, the latter
// first.
func (f *reviewForm) seenAll() []review.Seen {
	var out []review.Seen
	for _, d := range slices.Sorted(maps.Keys(f.Saw)) {
		if d != "" && f.Saw[d] != "" {
			out = append(out, review.Seen{Designator: d, On: f.Saw[d]})
		}
	}
	for _, s := range seenOf(f.Ticked, f.On) {
		if f.Saw[s.Designator] == "" {
			out = append(out, s)
		}
	}
	return out
}

// WasTicked tells that a reviewer had ticked a claim in the form that was
// refused.
func (pv *proposalView) WasTicked(designators []string) bool {
	return slices.Contains(pv.Filled.Ticked, strings.Join(designators, ","))
}
