package board

import (
	"cmp"
	"slices"

	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/message"
	"boardlore/domain/part"
)

// JudgedHazard is one way in which a correction would tell people less than a
// released revision told them, or the contrary.
type JudgedHazard struct {
	Designator string          `json:"designator,omitzero"`
	Variant    string          `json:"variant,omitzero"`  // the build, where it is not the base map
	Revision   int             `json:"revision,omitzero"` // the newest one that told otherwise; absent for a new board
	Why        message.Message `json:"why"`
	Told       message.Message `json:"told,omitzero"` // then
	Now        message.Message `json:"now,omitzero"`  // what would be told
	Sentence   message.Message `json:"sentence"`
}

// Judge holds a proposed map to every revision in the view, of which current
// is the newest and d the difference to it: the differences from it that are hazards by themselves, and
// whatever any build would tell that is weaker than, or contradicts, what any
// revision told of the same place or name. None where nothing is a hazard.
func Judge(v *SafetyView, current, proposed *Map, d *Difference) []JudgedHazard {
	j := newJudge(v, current, proposed)
	for i := range j.now {
		j.build(&j.now[i])
	}
	j.variants()
	j.checks()
	j.charges()
	j.differences(d)
	j.defaults()
	j.unheld(d)
	slices.SortStableFunc(j.found, func(a, b JudgedHazard) int {
		return cmp.Or(CompareDesignators(a.Designator, b.Designator), cmp.Compare(a.Variant, b.Variant))
	})
	return j.found
}

// JudgeNew says why the first map of a board needs two to look at it.
func JudgeNew(m *Map) []JudgedHazard {
	var out []JudgedHazard
	seen := map[string]bool{}
	for _, b := range effectiveBuilds(m) {
		for _, p := range b.told {
			what := critical(p)
			if what.IsZero() || seen[p.Designator] {
				continue
			}
			seen[p.Designator] = true
			out = append(out, JudgedHazard{Designator: p.Designator, Variant: b.name, Why: what,
				Now:      claim(p).sentence(),
				Sentence: message.Of("judged.new-board", buildName(p.Designator, b.name), what)})
		}
	}
	slices.SortStableFunc(out, func(a, b JudgedHazard) int { return CompareDesignators(a.Designator, b.Designator) })
	return out
}

func buildName(designator, variant string) message.Message {
	if variant == "" {
		return message.Text(designator)
	}
	return message.Of("judged.in-variant", designator, variant)
}

// judge compares one correction with what was told.
type judge struct {
	view     *SafetyView
	told     []ToldPosition // in the frame of the current revision; see toldAt
	place    [][2]float64   // their places in the frame of the proposed map
	d        *differ
	was, now []effective
	byName   map[[2]string][]int // build and designator → places in told
	byPlace  []int               // places in told, from left to right
	rooms    []float64           // of the bodies in told
	widest   float64             // the widest of rooms
	found    []JudgedHazard
	seen     map[[3]string]bool // designator, reason and what is told now → found for the base map
	have     map[[3]string]bool // designator, variant and reason → found
	of       map[[2]string]bool // designator and variant → something is found
	left     int                // statements that may still be held against positions
	short    []message.Message  // positions that were held to the newest statements alone
	open     []unproved         // what is not shown to be harmless
}

// maxHeld is how many statements about positions a judgement looks at; beyond
// them each position is held to the newest one. What is left out is told.
const maxHeld = 10_000

func newJudge(v *SafetyView, current, proposed *Map) *judge {
	d := newDiffer(current, proposed)
	j := &judge{view: v, d: d, was: effectiveBuilds(d.from), now: effectiveBuilds(proposed), told: v.Positions,
		byName: make(map[[2]string][]int, len(v.Positions)),
		seen:   map[[3]string]bool{}, have: map[[3]string]bool{}, of: map[[2]string]bool{}, left: maxHeld}
	for i := range j.told {
		t := &j.told[i]
		j.place = append(j.place, [2]float64{t.Position.X, t.Position.Y})
		if d.transform != nil {
			j.place[i][0], j.place[i][1] = d.transform.point(t.Position.X, t.Position.Y)
		}
		k := [2]string{t.Build, t.Position.Designator}
		j.byName[k] = append(j.byName[k], i)
		j.byPlace = append(j.byPlace, i)
		j.rooms = append(j.rooms, room(&t.Position))
		j.widest = max(j.widest, j.rooms[i])
	}
	slices.SortFunc(j.byPlace, func(a, b int) int { return cmp.Or(cmp.Compare(j.place[a][0], j.place[b][0]), a-b) })
	return j
}

// toldAt is what was told, in the frame of the proposed map. It is brought there
// when it is looked at: a long history of a large board in two frames at once
// would take more memory than all else.
func (j *judge) toldAt(i int) ToldPosition {
	t := j.told[i]
	if j.d.transform != nil {
		t.Position = j.d.transform.position(t.Position)
	}
	return t
}

// build judges what one build would tell.
func (j *judge) build(b *effective) {
	before := j.before(b.name)
	names := make([]string, 0, len(b.told))
	for _, p := range b.told {
		names = append(names, p.Designator)
	}
	if before != nil && b.name != "" {
		for _, p := range before.told {
			if b.by[p.Designator] == nil {
				names = append(names, p.Designator)
			}
		}
	}
	for _, name := range names {
		if q := b.position(j.now[0].by, name); q != nil {
			j.position(b, before, q)
		}
	}
}

// before is a build as the current revision has it, nil where it has none.
func (j *judge) before(name string) *effective {
	for i := range j.was {
		if j.was[i].name == name {
			return &j.was[i]
		}
	}
	return nil
}

// position judges one position of a build.
func (j *judge) position(b, before *effective, q *Position) {
	at := before
	if at == nil {
		at = &j.was[0]
	}
	c := at.position(j.was[0].by, q.Designator)
	if c == nil {
		c = j.renamedFrom(at, b, q)
	}
	if before != nil && c != nil && samePosition(c, q) {
		return
	}
	priors := j.priors(b, q)
	if len(priors) == 0 {
		j.unheardOf(b, q)
	}
	if most := max(1, j.left); len(priors) > most {
		j.short = append(j.short, buildName(q.Designator, b.name))
		priors = priors[:most]
	}
	j.left = max(0, j.left-len(priors))
	j.holdToTable(b, c, q, priors)
	for _, i := range priors {
		told := j.toldAt(i)
		h := &told
		worse := slices.DeleteFunc(standingHazards(&h.Position, q),
			func(w weak) bool { return j.have[[3]string{q.Designator, b.name, w.why.String()}] })
		if j.exchanged(b, &h.Position, q) {
			worse = append(worse, weaker("another-stands-there", placed(&h.Position), placed(q)))
		}
		if len(worse) == 0 {
			continue
		}
		var known []weak // told otherwise already, by the current revision
		if c != nil && (h.Position.Designator == c.Designator || samePlace(&h.Position, c, j.d.slack)) {
			known = standingHazards(&h.Position, c)
		}
		for _, w := range worse {
			if !slices.ContainsFunc(known, w.same) {
				j.add(b.name, q, h.Last, w)
			}
		}
	}
}

// unheld says what the correction was not held to: that nobody has looked is
// told, never that nothing was found.
func (j *judge) unheld(d *Difference) {
	if len(j.short) > 0 {
		j.keep(JudgedHazard{Revision: j.view.Through, Why: message.Of("hazard.history-too-long"),
			Sentence: message.Of("judged.history-too-long", message.Some(j.short, 12), maxHeld)})
	}
	if j.view.Forgotten > 0 && len(d.Changes) > 0 {
		j.keep(JudgedHazard{Revision: j.view.Forgotten, Why: message.Of("hazard.history-too-long"),
			Sentence: message.Of("judged.history-forgotten", j.view.Forgotten)})
	}
}

// unheardOf judges the words of a position of which nothing was ever told.
func (j *judge) unheardOf(b *effective, q *Position) {
	for _, w := range writtenHazards(&Position{Part: part.Part{Class: q.Part.Class}}, q) {
		j.add(b.name, q, j.view.Through, w)
	}
}

// add keeps a hazard unless the same is told already by a newer revision, or
// of the base map.
func (j *judge) add(variant string, q *Position, revision int, w weak) {
	why := w.why.String()
	base := [3]string{q.Designator, why, w.now.String()}
	if variant != "" && j.seen[base] {
		return
	}
	one := [3]string{q.Designator, variant, why}
	if j.have[one] {
		return
	}
	j.have[one] = true
	if variant == "" {
		j.seen[base] = true
	}
	j.keep(JudgedHazard{Designator: q.Designator, Variant: variant, Revision: revision, Why: w.why, Told: w.told,
		Now:      w.now,
		Sentence: explained(buildName(q.Designator, variant), revision, w)})
}

func (j *judge) keep(h JudgedHazard) {
	j.found = append(j.found, h)
	j.of[[2]string{h.Designator, h.Variant}] = true
	if h.Variant != "" {
		j.of[[2]string{"", h.Variant}] = true
	}
}

// explained says what was told before, in which revision, and what would be
// told now.
func explained(of message.Message, revision int, w weak) message.Message {
	if w.told.IsZero() && w.now.IsZero() {
		return message.Of("judged.since", of, w.why, revision)
	}
	return message.Of("judged.told", of, w.why, revision, w.told, w.now)
}

// variants holds a build that comes back to how it was told apart.
func (j *judge) variants() {
	for i := range j.d.to.Variants {
		v := &j.d.to.Variants[i]
		if j.before(v.Variant) != nil {
			continue
		}
		for k := len(j.view.Variants) - 1; k >= 0; k-- {
			t := &j.view.Variants[k]
			if t.Variant == v.Variant && !sameWords(t.IdentifiedBy, v.IdentifiedBy) {
				w := weaker("build-told-otherwise", quoted(t.IdentifiedBy), quotedOrNothing(v.IdentifiedBy))
				j.list(message.Of("judged.variant", v.Variant), v.Variant, t.Last, w)
				break
			}
		}
	}
}

// checks holds a check that is new to older ones of its name or its points.
func (j *judge) checks() {
	for i := range j.d.to.Checks {
		c := &j.d.to.Checks[i]
		var current *Measurement
		if k := slices.IndexFunc(j.d.from.Checks, func(a Measurement) bool { return a.ID == c.ID }); k >= 0 {
			current = &j.d.from.Checks[k]
		}
		if current == nil || !sameMeasurement(current, c) {
			j.check(current, c)
		}
	}
}

func (j *judge) check(current, c *Measurement) {
	for k := len(j.view.Checks) - 1; k >= 0; k-- {
		t := &j.view.Checks[k]
		if t.Check.ID != c.ID && t.Check.Measure != c.Measure {
			continue // what else is measured there says nothing of this
		}
		if t.Check.ID != c.ID && t.Check.When != c.When && j.stands(&t.Check) {
			continue // empty before the work and charged after it are two things, both told
		}
		if t.Check.ID != c.ID && !slices.Equal(t.Check.Between, c.Between) {
			if t.Check.Expect != nil && j.d.samePoints(&t.Check, c) &&
				(c.Expect == nil || laxer(t.Check.Expect, c.Expect)) {
				j.list(message.Of("judged.check", c.ID), "", t.Last, weaker("lets-more-than-same",
					rangeWords(t.Check.Expect), rangeWords(c.Expect)))
			}
			continue
		}
		var known []weak
		if current != nil {
			known = j.d.checkHazards(&t.Check, current)
		}
		for _, w := range j.d.checkHazards(&t.Check, c) {
			if !slices.ContainsFunc(known, w.same) {
				j.list(message.Of("judged.check", c.ID), "", t.Last, w)
			}
		}
	}
}

// stands tells a check that the new map still has, at its moment and its points.
func (j *judge) stands(c *Measurement) bool {
	return slices.ContainsFunc(j.d.to.Checks, func(x Measurement) bool {
		return x.ID == c.ID && x.When == c.When && x.Measure == c.Measure && slices.Equal(x.Between, c.Between)
	})
}

// list keeps a hazard of something that is no position.
func (j *judge) list(of message.Message, variant string, revision int, w weak) {
	says := explained(of, revision, w)
	if !slices.ContainsFunc(j.found, func(h JudgedHazard) bool { return h.Sentence.Equal(says) }) {
		j.keep(JudgedHazard{Variant: variant, Revision: revision, Why: w.why, Told: w.told, Now: w.now, Sentence: says})
	}
}

// differences adds what is a hazard in the difference from the current
// revision and not told already.
func (j *judge) differences(d *Difference) {
	for i := range d.Changes {
		e := &d.Changes[i]
		variant := e.variant()
		if e.Severity != Hazard || e.Designator != "" && j.of[[2]string{e.Designator, ""}] || variant != "" &&
			j.of[[2]string{"", variant}] {
			continue
		}
		told, now := e.Told()
		j.keep(JudgedHazard{Designator: e.Designator, Variant: variant, Revision: j.view.Through,
			Why:  message.Word("change", e.Kind),
			Told: told, Now: now, Sentence: e.Sentence})
	}
}

// Told gives both sides of an entry in words.
func (e *DifferenceEntry) Told() (then, now message.Message) {
	a, errA := members(e.From)
	b, errB := members(e.To)
	if errA != nil || errB != nil || e.From.Kind() != '{' && e.To.Kind() != '{' {
		return shown("", object{"": e.From}), shown("", object{"": e.To})
	}
	dropSame(a, b)
	return memberWords(a), memberWords(b)
}

func memberWords(o object) message.Message {
	var says []message.Message
	for _, n := range sortedKeys(o) {
		says = append(says, message.Of("text.then", memberName(n), shown(n, o)))
	}
	return orNothing(message.Semicolons(says).Say())
}

// variant is the ID of the variant that an entry is about, "" for none.
func (e *DifferenceEntry) variant() string {
	if e.Kind != VariantChanged {
		return ""
	}
	for _, v := range []jsontext.Value{e.To, e.From} {
		if o, err := members(v); err == nil && o["variant"] != nil {
			return text(o["variant"])
		}
	}
	return ""
}

// Raise makes the entries that judged hazards are about hazards, each with the
// reason.
func (d Difference) Raise(hazards []JudgedHazard) Difference {
	d.Changes = slices.Clone(d.Changes)
	first := map[[2]string]*JudgedHazard{} // designator or variant → the first hazard
	for i := range hazards {
		h := &hazards[i]
		k := [2]string{h.Designator, ""}
		if h.Variant != "" {
			k = [2]string{"", h.Variant}
		}
		if first[k] == nil {
			first[k] = h
		}
	}
	for i := range d.Changes {
		e := &d.Changes[i]
		if e.Severity == Hazard {
			continue
		}
		k := [2]string{e.Designator, ""}
		if v := e.variant(); v != "" {
			k = [2]string{"", v}
		}
		if h := first[k]; h != nil && k != ([2]string{}) {
			e.Severity, e.Sentence = Hazard, e.Sentence.And(h.Sentence)
		}
	}
	d.Summary = summarise(d.Changes)
	return d
}
