package board

import (
	"maps"
	"math"
	"slices"
	"strconv"

	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/message"
)

// Kind says what a change is about. Checks of the board count as failure
// points, of which they are the other side; licence, name and the map's own
// "x-…" members as equipment; "x-…" members of a position and the order of
// positions as notes.
type Kind string

// Kinds of change.
const (
	Added              Kind = "added"
	Removed            Kind = "removed"
	Renamed            Kind = "renamed"
	Moved              Kind = "moved"
	Turned             Kind = "turned"
	SideChanged        Kind = "side"
	PartChanged        Kind = "part"
	BodyChanged        Kind = "body"
	PolarityChanged    Kind = "polarity"
	FunctionChanged    Kind = "function"
	ServiceChanged     Kind = "service"
	ReplacementChanged Kind = "replacement"
	NotesChanged       Kind = "notes"
	VariantChanged     Kind = "variant"
	FailurePointKind   Kind = "failure_point"
	CautionKind        Kind = "caution"
	EquipmentChanged   Kind = "equipment"
	MarkingChanged     Kind = "marking"
	FrameChanged       Kind = "frame"
)

// Severity says how much hangs on a change.
type Severity string

// Severities of a change, gravest first.
const (
	// Hazard: a rating lowered, a polarity turned, a safety class, fuse or
	// cell changed, a failure point or a caution taken out or weakened.
	Hazard Severity = "hazard"
	// Material is any other change that a person at the bench would see.
	Material Severity = "change"
	// Editorial: nothing changes for the person at the bench.
	Editorial Severity = "editorial"
)

// Difference is what a newer map says otherwise than an older one, by meaning.
// It is empty exactly when their digests are equal, and holds all that Apply
// needs to make the newer map of the older.
type Difference struct {
	Changes []DifferenceEntry `json:"changes"`
	Summary DifferenceSummary `json:"summary"`
}

// DifferenceEntry is one change. From and To are the values of the member that
// Pointer names, null for an absent one; where Pointer names a whole position
// or the map, they hold the members that changed, and nothing of those that
// are absent on that side. Pointer points into the newer map, or into the
// older one where something was taken out. Places are in the newer map's frame.
type DifferenceEntry struct {
	Kind       Kind            `json:"kind"`
	Designator string          `json:"designator,omitzero"` // in the newer map, or in the older one for a removed position
	Severity   Severity        `json:"severity"`
	Sentence   message.Message `json:"sentence"`
	From       jsontext.Value  `json:"from"`
	To         jsontext.Value  `json:"to"`
	Distance   *float64        `json:"distance_mm,omitzero"` // of a moved position
	Pointer    string          `json:"pointer"`
	Transform  *Transform      `json:"transform,omitzero"` // of the frame, where all places followed it
}

// DifferenceSummary counts changes.
type DifferenceSummary struct {
	Changes   int   `json:"changes"`
	Hazard    int   `json:"hazard"`
	Material  int   `json:"change"`
	Editorial int   `json:"editorial"`
	Positions int   `json:"positions"` // positions that any change is about
	Kinds     Kinds `json:"kinds"`
}

// Kinds counts changes by kind; as JSON in alphabetical order.
type Kinds map[Kind]int

// MarshalJSONTo writes the counts in the order of their names.
func (k Kinds) MarshalJSONTo(e *jsontext.Encoder) error {
	if err := e.WriteToken(jsontext.BeginObject); err != nil {
		return err
	}
	for _, name := range slices.Sorted(maps.Keys(k)) {
		if err := e.WriteToken(jsontext.String(string(name))); err != nil {
			return err
		}
		if err := e.WriteToken(jsontext.Int(int64(k[name]))); err != nil {
			return err
		}
	}
	return e.WriteToken(jsontext.EndObject)
}

// Hazardous reports whether any change is a hazard.
func (d Difference) Hazardous() bool {
	return slices.ContainsFunc(d.Changes, func(e DifferenceEntry) bool { return e.Severity == Hazard })
}

// Diff compares two maps by meaning. Positions come in the natural order of
// their designators. A frame that was shifted, turned or mirrored is one
// change, and every other change is told in the new frame.
func Diff(from, to *Map) Difference {
	d := newDiffer(from, to)
	d.frame(from)
	d.header()
	d.positions()
	d.variants()
	d.failurePoints()
	d.measurements()
	d.cautions()
	return Difference{Changes: d.entries, Summary: summarise(d.entries)}
}

// differ compares two maps that are in the same frame already.
type differ struct {
	from, to  *Map
	transform *Transform
	slack     float64  // how far two places may lie apart and be the same, mm
	match     matching // of the positions
	entries   []DifferenceEntry
	old, new  map[string]*Position // by designator, where a variant needs them
	names     map[string]string    // new designators by old ones, of the positions that were renamed
	known     map[string]nameKind  // what safety has to do with designators
}

func newDiffer(from, to *Map) *differ {
	t := reframed(from, to)
	d := &differ{from: t.apply(from), to: to, transform: t, entries: []DifferenceEntry{},
		slack: slackOf(&from.Frame, &to.Frame)}
	d.match = matchPositions(d.from.Positions, to.Positions, d.slack)
	return d
}

// slackOf is how far two places may lie apart and be the same, mm: what the
// older map states of its own uncertainty. A newer map that claims less of
// itself does not make the older one vaguer; it counts only where the older
// one says nothing.
func slackOf(from, to *Frame) float64 {
	if from.Uncertainty == nil {
		return max(uncertainty(to), rounding)
	}
	return max(uncertainty(from), rounding)
}

func (d *differ) add(e DifferenceEntry) { d.entries = append(d.entries, e) }

func summarise(entries []DifferenceEntry) DifferenceSummary {
	s := DifferenceSummary{Changes: len(entries), Kinds: Kinds{}}
	seen := map[string]bool{}
	for i := range entries {
		e := &entries[i]
		s.Kinds[e.Kind]++
		switch e.Severity {
		case Hazard:
			s.Hazard++
		case Material:
			s.Material++
		default:
			s.Editorial++
		}
		if e.Designator != "" && !seen[e.Designator] {
			seen[e.Designator] = true
			s.Positions++
		}
	}
	return s
}

var null = jsontext.Value("null")

func (d *differ) frame(from *Map) {
	a, b := &from.Frame, &d.to.Frame
	if d.transform == nil && sameFrame(a, b) {
		return
	}
	e := DifferenceEntry{Kind: FrameChanged, Severity: Material, Pointer: "/frame", From: raw(a), To: raw(b),
		Transform: d.transform}
	if d.transform == nil && onlyExtra(e.From, e.To) {
		e.Severity = Editorial
	}
	e.Sentence = frameSentence(d.transform, e.From, e.To)
	why := d.frameHazards()
	if len(why) == 0 {
		why = d.frameNotShown()
	}
	if len(why) > 0 {
		e.Severity, e.Sentence = Hazard, because(e.Sentence, why)
	}
	d.add(e)
}

// header compares what stands above the positions.
func (d *differ) header() {
	a, b := d.from, d.to
	if a.Board != b.Board {
		d.add(named("board", a.Board, b.Board))
	}
	if !sameEquipment(&a.Equipment, &b.Equipment) {
		e := DifferenceEntry{Kind: EquipmentChanged, Severity: Material, Pointer: "/equipment", From: raw(&a.Equipment),
			To: raw(&b.Equipment)}
		if onlyExtra(e.From, e.To) {
			e.Severity = Editorial
		}
		e.Sentence = message.Of("difference.equipment", memberSentence(e.From, e.To))
		d.add(d.headed(e, "equipment-kind", a.Equipment.Kind, b.Equipment.Kind,
			equipmentNotShown(&a.Equipment, &b.Equipment)))
	}
	if a.Name != b.Name {
		var why []message.Message
		if !sameBoard(a.Name, b.Name) {
			why = []message.Message{message.Of("hazard.not-shown-harmless", memberName("name"))}
		}
		d.add(d.headed(named("name", a.Name, b.Name), "board-name", a.Name, b.Name, why))
	}
	if a.Licence != b.Licence {
		d.add(named("licence", a.Licence, b.Licence))
	}
	if !sameExtra(a.Extra, b.Extra) {
		from, to := changedMembers(a.Extra, b.Extra)
		d.add(DifferenceEntry{Kind: EquipmentChanged, Severity: Editorial, Pointer: "", From: from, To: to,
			Sentence: message.Of("difference.own-members", memberSentence(from, to))})
	}
	if !sameList(a.Markings, b.Markings) {
		d.markings()
	}
	if !sameItems(a.Photographs, b.Photographs, samePhotograph) {
		d.photographs()
	}
}

// photographs count as the frame: by them places were had and are shown.
func (d *differ) photographs() {
	a, b := d.from.Photographs, d.to.Photographs
	pairs := byKey(a, b, photographSHA256)
	var more, gone, other int
	for i, k := range pairs.now {
		switch {
		case k < 0:
			gone++
		case !samePhotograph(&a[i], &b[k]):
			other++
		}
	}
	for _, i := range pairs.was {
		if i < 0 {
			more++
		}
	}
	e := DifferenceEntry{Kind: FrameChanged, Severity: Material, Pointer: "/photographs", From: listOrNull(a),
		To:       listOrNull(b),
		Sentence: message.Of("difference.photographs", more, gone, other)}
	for i, k := range pairs.now {
		if k >= 0 && misplaced(&a[i], &b[k]) {
			e.Severity, e.Sentence = Hazard,
				because(e.Sentence, []message.Message{message.Of("hazard.photograph-misplaced")})
			break
		}
	}
	if e.Severity != Hazard && (gone > 0 || slices.ContainsFunc(added(&pairs, b), func(p *Photograph) bool {
		return !laidRightly(p)
	})) {
		e.Severity, e.Sentence = Hazard, because(e.Sentence, []message.Message{message.Of("hazard.not-shown-harmless",
			memberName("photographs"))})
	}
	d.add(e)
}

// misplaced tells a photograph that would lie elsewhere under the drawing: on
// the other side, mirrored, or with a place in it more than misplacedBy off.
func misplaced(a, b *Photograph) bool {
	if a.Side != b.Side || a.handed()*b.handed() < 0 || laidElsewhere(a, b) {
		return true
	}
	return slices.ContainsFunc(a.Points, func(p PhotographPoint) bool {
		return slices.ContainsFunc(b.Points, func(q PhotographPoint) bool {
			return p.Pixel == q.Pixel && math.Hypot(p.MM[0]-q.MM[0], p.MM[1]-q.MM[1]) > misplacedBy
		})
	})
}

// misplacedBy is how far a place in a photograph may be corrected in passing,
// mm: about the pitch of small parts. Common practice.
const misplacedBy = 3

// handed is positive where the first three points that are not in line go
// round the same way in the picture and on the board, 0 where none tell.
func (p *Photograph) handed() float64 {
	turn := func(a, b, c [2]float64) float64 { return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0]) }
	for i := 2; i < len(p.Points); i++ {
		a, b, c := &p.Points[i-2], &p.Points[i-1], &p.Points[i]
		if t := turn(a.Pixel, b.Pixel, c.Pixel) * turn(a.MM, b.MM, c.MM); t != 0 {
			return t
		}
	}
	return 0
}

func named(member, from, to string) DifferenceEntry {
	return DifferenceEntry{Kind: EquipmentChanged, Severity: Material, Pointer: "/" + member, From: orNull(from),
		To:       orNull(to),
		Sentence: message.Of("difference.was-is-now", message.Word("headed", member), quoted(from), quoted(to))}
}

// headed makes a change of what stands above the map a hazard where it says
// something else of safety, on a board that has something to be safe from, or
// changed in a way that is not known to be harmless.
func (d *differ) headed(e DifferenceEntry, what, a, b string, unknown []message.Message) DifferenceEntry {
	why := unknown
	if found := softened(what, a, b); len(found) > 0 {
		why = phrases(found)
	}
	if len(why) > 0 && d.guarded() {
		e.Severity, e.Sentence = Hazard, because(e.Sentence, why)
	}
	return e
}

// guarded tells a board that has something to be safe from.
func (d *differ) guarded() bool {
	return slices.ContainsFunc(d.from.Positions, func(p Position) bool { return !guards(&p).IsZero() })
}

func orNull[T ~string](s T) jsontext.Value {
	if s == "" {
		return null
	}
	return raw(s)
}

func (d *differ) markings() {
	a, b := d.from.Markings, d.to.Markings
	gone, more := without(a, b), without(b, a)
	e := DifferenceEntry{Kind: MarkingChanged, Severity: Material, Pointer: "/markings", From: listOrNull(a),
		To: listOrNull(b)}
	switch {
	case len(gone) > 0 && len(more) > 0:
		e.Sentence = message.Of("difference.markings-both", list(gone), list(more))
	case len(gone) > 0:
		e.Sentence = message.Of("difference.markings-lose", list(gone))
	case len(more) > 0:
		e.Sentence = message.Of("difference.markings-gain", list(more))
	default:
		e.Severity, e.Sentence = Editorial, message.Of("difference.markings-rewritten")
	}
	lost := func(mark string) bool { // and not told more fully
		return !slices.ContainsFunc(more, func(s string) bool { return toldMoreFully(mark, s) })
	}
	if slices.ContainsFunc(gone, lost) && d.guarded() {
		e.Severity, e.Sentence = Hazard, because(e.Sentence, []message.Message{message.Of("hazard.marking-lost")})
	} else if speaks(instructive, more...) {
		e.Severity, e.Sentence = Hazard, because(e.Sentence, []message.Message{message.Of("hazard.not-shown-harmless",
			memberName("markings"))})
	} else if why := d.takesMarkings(more); len(why) > 0 {
		e.Severity, e.Sentence = Hazard, because(e.Sentence, why)
	}
	d.add(e)
}

// without gives what a has more of than b.
func without(a, b []string) []string {
	have := map[string]int{}
	for _, s := range b {
		have[s]++
	}
	var out []string
	for _, s := range a {
		if have[s]--; have[s] < 0 {
			out = append(out, s)
		}
	}
	return out
}

func listOrNull[T any](l []T) jsontext.Value {
	if l == nil {
		return null
	}
	return raw(l)
}

// positions reports on every position that is not the same, in natural order.
func (d *differ) positions() {
	type item struct {
		designator string
		i, k       int
	}
	var items []item
	for i, k := range d.match.now {
		if k < 0 {
			items = append(items, item{d.from.Positions[i].Designator, i, -1})
		}
	}
	for k, i := range d.match.was {
		if i < 0 || !samePosition(&d.from.Positions[i], &d.to.Positions[k]) {
			items = append(items, item{d.to.Positions[k].Designator, i, k})
		}
	}
	slices.SortStableFunc(items, func(a, b item) int { return CompareDesignators(a.designator, b.designator) })
	for _, it := range items {
		switch {
		case it.k < 0:
			d.removed(it.i)
		case it.i < 0:
			d.addedAt(it.k)
		default:
			d.position(&d.from.Positions[it.i], &d.to.Positions[it.k], "/positions/"+strconv.Itoa(it.k))
		}
	}
	if !d.match.inOrder() {
		d.add(DifferenceEntry{Kind: NotesChanged, Severity: Editorial, Pointer: "/positions",
			From: keyList(d.from.Positions, designator), To: keyList(d.to.Positions, designator),
			Sentence: message.Of("difference.order", message.Of("difference.list.positions"))})
	}
}

func keyList[T any](items []T, key func(*T) string) jsontext.Value {
	names := make([]string, len(items))
	for i := range items {
		names[i] = key(&items[i])
	}
	return raw(names)
}

func (d *differ) removed(i int) {
	p := &d.from.Positions[i]
	e := DifferenceEntry{Kind: Removed, Designator: p.Designator, Severity: Material, Pointer: "/positions/" +
		strconv.Itoa(i), From: raw(p), To: null}
	e.Sentence = message.Of("difference.removed", placed(p), describe(&p.Part, nil))
	if why := guards(p); !why.IsZero() {
		e.Severity, e.Sentence = Hazard, because(e.Sentence, []message.Message{message.Of("hazard.is-out", why)})
	} else if d.namedStill(p.Designator) {
		e.Severity, e.Sentence = Hazard,
			because(e.Sentence, []message.Message{message.Of("hazard.named-still", p.Designator)})
	}
	d.add(e)
}

func (d *differ) addedAt(k int) {
	p := &d.to.Positions[k]
	e := DifferenceEntry{Kind: Added, Designator: p.Designator, Severity: Material, Pointer: "/positions/" +
		strconv.Itoa(k), From: null, To: raw(p)}
	e.Sentence = message.Of("difference.added", placed(p), describe(&p.Part, nil), p.Side)
	if why := critical(p); !why.IsZero() {
		e.Severity, e.Sentence = Hazard, because(e.Sentence, []message.Message{message.Of("hazard.is-in", why)})
	}
	d.add(e)
}
