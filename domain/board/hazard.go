package board

import (
	"math"
	"regexp"
	"slices"
	"strings"

	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// turnedBy is how far a negative lead may swing and still point the same way,
// degrees: half of a quarter turn. Common practice.
const turnedBy = 45

// polarityTurned reports whether the negative lead points elsewhere, or
// nowhere any more.
func polarityTurned(a, b *float64) bool {
	if a == nil {
		return false
	}
	return b == nil || math.Abs(apart(*a, *b)) > turnedBy
}

// blindlyTurned reports whether a part whose rotation alone tells its polarity
// was turned.
func blindlyTurned(a, b *Position) bool {
	return turnsPolarity(a) && (b.Negative == nil || a.Negative == nil) &&
		math.Abs(apart(a.Rotation, b.Rotation)) > turnedBy
}

// turnsPolarity tells a part that has a polarity, of which nothing but its
// rotation says which way round it is.
func turnsPolarity(p *Position) bool {
	return p.Negative == nil && (p.Part.Class == part.Diode || polarised(&p.Part))
}

// polarityHazards compares which way round two positions stand.
func polarityHazards(a, b *Position) []weak {
	switch {
	case polarityTurned(a.Negative, b.Negative):
		return []weak{weaker("polarity-turned", negativeAt(a.Negative), negativeAt(b.Negative))}
	case blindlyTurned(a, b):
		return []weak{weaker("polarity-turned", rotationOf(a), rotationOf(b))}
	}
	return nil
}

func degrees(deg *float64) string { return number(*deg) + "°" }

func negativeAt(deg *float64) message.Message {
	if deg == nil {
		return message.Of("hazard.negative-nowhere")
	}
	return message.Of("hazard.negative-at", degrees(deg))
}

func rotationOf(p *Position) message.Message { return message.Of("map.rotation", degrees(&p.Rotation)) }

// functionHazards says what makes a change of what a position does a hazard:
// parts would suit there that did not before, and must not.
func functionHazards(a, b *Position) []weak {
	const safety = part.MainsX | part.MainsY | part.Charged
	var why []weak
	was, is := part.DutyOf(a.Function)&safety, part.DutyOf(b.Function)&safety
	if is&part.MainsY != 0 {
		was &^= part.MainsX // a Y part may stand in an X position
	}
	switch lost := was &^ is; {
	case lost&part.Charged != 0:
		why = append(why, weaker("no-longer-charged", a.Function, b.Function))
	case lost != 0:
		why = append(why, weaker("no-longer-safety-part", a.Function, b.Function))
	}
	if a.Circuit != b.Circuit && circuitRank(b) < circuitRank(a) {
		why = append(why, weaker("circuit-less-dangerous", a.Circuit, b.Circuit))
	} else if mainsSide(a) && b.Circuit == part.Secondary {
		why = append(why, weaker("behind-isolation", a.Circuit, b.Circuit))
	}
	if likelyMains(a) && !likelyMains(b) && !mainsSide(b) && len(why) == 0 {
		why = append(why, weaker("no-longer-mains", claim(a).sentence(), claim(b).sentence()))
	}
	return append(why, workingHazards(a.WorkingVoltage, b.WorkingVoltage)...)
}

// circuitRank orders circuits by what a fault there does to people; where a
// position does not say, its function does.
func circuitRank(p *Position) int {
	switch d := part.DutyOf(p.Function); {
	case p.Circuit == part.Secondary:
		return 0
	case p.Circuit.Bridges(), p.Circuit == "" && d&part.MainsY != 0:
		return 3
	case p.Circuit == part.AcrossMains, p.Circuit == "" && d&part.MainsX != 0:
		return 2
	case p.Circuit == part.Primary:
		return 1
	}
	return 0
}

func workingHazards(a, b quantity.Quantity) []weak {
	switch {
	case a.IsZero() || a.Sign() == 0:
		return nil
	case b.IsZero():
		return []weak{weaker("working-voltage-gone", a, "")}
	case a.Unit() != b.Unit():
		return nil
	case a.Sign() != b.Sign() && b.Sign() != 0:
		return []weak{weaker("working-voltage-reversed", a, b)}
	}
	if a.Sign() < 0 {
		a, b = a.Neg(), b.Neg()
	}
	if b.Compare(a) < 0 {
		return []weak{weaker("working-voltage-lowered", a, b)}
	}
	return nil
}

// serviceRank orders what is done with a position; absent is leave.
var serviceRank = map[Service]int{Inspect: 1, Replace: 2}

// serviceHazards says whether a position that a hazard hangs on gets less
// attention than before.
func (d *differ) serviceHazards(a, b *Position) []weak {
	if serviceRank[b.Service] >= serviceRank[a.Service] {
		return nil
	}
	if what := critical(a); !what.IsZero() {
		return []weak{{message.Of("hazard.less-done", what), sayable(a.Service.Or()), sayable(b.Service.Or())}}
	}
	if a.Replacement != nil && materialWorse(&a.Replacement.Part, &a.Part) {
		return []weak{weaker("replaced-no-more", a.Service.Or(), b.Service.Or())}
	}
	if d.grave(a.Designator, b.Designator) {
		return []weak{weaker("less-done-about-named", a.Service.Or(), b.Service.Or())}
	}
	return nil
}

// grave tells whether a failure point that is a hazard or bars power-up names
// a position, before or after.
func (d *differ) grave(old, new string) bool {
	names := func(fs []FailurePoint, designator string) bool {
		return slices.ContainsFunc(fs, func(f FailurePoint) bool {
			return (bars(&f) || f.Severity == "hazard") && slices.Contains(f.Positions, designator)
		})
	}
	return names(d.from.FailurePoints, old) || names(d.to.FailurePoints, new)
}

func bars(f *FailurePoint) bool { return f.BarsPowerUp != nil && *f.BarsPowerUp }

// wantedHazards compares the parts to fit.
func wantedHazards(a, b *Position) []weak { return partHazards(a.Wanted(), b.Wanted()) }

// positionHazards gathers what makes the change of a position a hazard. Both
// the original and the part to fit count.
func (d *differ) positionHazards(a, b *Position) []weak {
	return append(standingHazards(a, b), d.serviceHazards(a, b)...)
}

// standingHazards are those that need nothing but the two positions to be seen.
func standingHazards(a, b *Position) []weak {
	why := append(partHazards(&a.Part, &b.Part), polarityHazards(a, b)...)
	why = append(append(why, functionHazards(a, b)...), placeHazards(a, b)...)
	if a.Side != b.Side {
		for _, w := range sideHazard(a) {
			why = append(why, weak{w, sayable(a.Side), sayable(b.Side)})
		}
	}
	why = append(append(append(why, careHazards(a, b)...), protectorHazards(a, b)...), leadsCloser(a, b)...)
	why = append(why, purposeHazards(a, b)...)
	for _, w := range wantedHazards(a, b) {
		if !among(why, w) {
			why = append(why, w)
		}
	}
	why = append(why, writtenHazards(a, b)...)
	if len(why) == 0 && a.Designator == b.Designator {
		why = declassified(a, b)
	}
	return why
}

// writtenHazards compares what two positions say in words.
func writtenHazards(a, b *Position) []weak {
	why := append(noteHazards(a, b), rewordHazards("function", a.Function, b.Function,
		aboutPolarity|aboutEase|unread)...)
	typed := topical | aboutEase
	if !relevant(a) && !relevant(b) {
		typed &^= aboutVoltage | aboutPower
	}
	why = append(why, wordHazards("type-text", a.Part.Text, b.Part.Text, typed)...)
	if x, y := a.Wanted().Text, b.Wanted().Text; x != a.Part.Text || y != b.Part.Text {
		why = append(why, wordHazards("replacement-type-text", x, y, typed)...)
	}
	return append(why, rewordHazards("replacement-reason", reasonOf(a), reasonOf(b), noted(a, b))...)
}

// noteHazards compares the notes of two positions.
func noteHazards(a, b *Position) []weak {
	of := noted(a, b)
	if topicsOf(a.Notes)&^topicsOf(b.Notes)&aboutSafety != 0 {
		of = whatever // something of safety is no longer said
	}
	return rewordHazards("note", a.Notes, b.Notes, of)
}

// rewordHazards is wordHazards of a text that instructs: one that says the
// opposite is read by two, whatever it speaks of.
func rewordHazards(what, a, b string, of topic) []weak {
	if a != b && turnedRound(a, b) {
		of = whatever
	}
	return wordHazards(what, a, b, of)
}

// noted is what makes a note one to be read by two: anything where either
// position protects people or can hurt them, and on one with a direction
// whatever is not known to say nothing of it.
func noted(a, b *Position) topic {
	switch {
	case !warded(a).IsZero() || !warded(b).IsZero() || highVoltage(a) || highVoltage(b):
		return whatever
	case relevant(a) || relevant(b) || undirected(&a.Part) || undirected(&b.Part):
		return topical | aboutEase | unheard
	case keyed(&a.Part) || keyed(&b.Part):
		return topical | leads
	}
	return topical
}

// careHazards says what care a position that safety hangs on is no longer
// said to want.
func careHazards(a, b *Position) []weak {
	var why []weak
	if !relevant(a) {
		return nil
	}
	if yes(a.HeatSensitive) && !yes(b.HeatSensitive) {
		why = append(why, weakness("no-longer-heat-sensitive"))
	}
	if a.Hot() && !b.Hot() {
		why = append(why, weakness("no-longer-hot-place"))
	}
	if a.Rail != "" && b.Rail != "" && !mainsSide(a) && !sameRail(a.Rail, b.Rail) {
		why = append(why, weaker("another-rail", a.Rail, b.Rail))
	}
	if low, high := headroom(a), headroom(b); mainsSide(a) && low > 0 && (high == 0 || high > low) {
		why = append(why, weaker("more-headroom", mm(low), headroomWords(high)))
	}
	if far := math.Hypot(a.X-b.X, a.Y-b.Y); !critical(a).IsZero() && a.Designator == b.Designator && far > strayed {
		why = append(why, weak{message.Of("hazard.looked-for-elsewhere", critical(a)), placed(a), placed(b)})
	}
	return why
}

func headroom(p *Position) float64 {
	if p.Body == nil {
		return 0
	}
	return p.Body.HeightLimit
}

func headroomWords(limit float64) string {
	if limit == 0 {
		return ""
	}
	return mm(limit)
}

// sameRail tells that two names of a rail have the same sign and figures.
func sameRail(a, b string) bool {
	negative := func(s string) bool { return strings.HasPrefix(typographic.Replace(strings.TrimSpace(s)), "-") }
	return negative(a) == negative(b) && slices.Equal(figures(a), figures(b))
}

// declassified says that a position would no longer count as one that safety
// hangs on, so that whatever comes next would pass unseen.
func declassified(a, b *Position) []weak {
	if was := guards(a); !was.IsZero() && guards(b).IsZero() {
		return []weak{{message.Of("hazard.no-longer-counts-as", was), claim(a).sentence(), claim(b).sentence()}}
	}
	if regulator(a) && !regulator(b) {
		return []weak{weaker("no-longer-counts-as-regulator", claim(a).sentence(), claim(b).sentence())}
	}
	return nil
}

func reasonOf(p *Position) string {
	if p.Replacement == nil {
		return ""
	}
	return p.Replacement.Reason
}

// whatever stands for every topic, and for none.
const whatever = ^topic(0)

// wordHazards says whether a text that came, went or was reworded has to be
// read by two, which it has where it is of one of the topics.
func wordHazards(what, a, b string, of topic) []weak {
	if a == b || of != whatever && !speaks(of, a, b) || sameWords(a, b) {
		return nil
	}
	did := "worded.reworded"
	switch {
	case a == "":
		did = "worded.new"
	case b == "":
		did = "worded.taken-out"
	}
	return []weak{{message.Of(did, message.Word("wording", what)), quotedOrNothing(a), quotedOrNothing(b)}}
}

func quotedOrNothing(s string) message.Message {
	if s == "" {
		return message.Of("map.nothing")
	}
	return quoted(s)
}

// sideHazard says why it is grave that a position changes sides.
func sideHazard(a *Position) []message.Message {
	if what := critical(a); !what.IsZero() {
		return []message.Message{message.Of("hazard.wrong-side", what)}
	}
	if what := warded(a); !what.IsZero() {
		return []message.Message{message.Of("hazard.wrong-side", what)}
	}
	if hasDirection(&a.Part) || regulator(a) {
		return []message.Message{message.Of("hazard.wrong-side-mirrored")}
	}
	return nil
}

// placeHazards holds positions on the mains side, regulators and bleeders to
// more than others: what they are is not to change in passing.
func placeHazards(a, b *Position) []weak {
	var why []weak
	if mainsSide(a) {
		why = mainsHazards(&a.Part, &b.Part)
		for _, w := range mainsHazards(a.Wanted(), b.Wanted()) {
			if !among(why, w) {
				why = append(why, w)
			}
		}
		if a.Rail != "" && a.Rail != b.Rail {
			why = append(why, weaker("another-rail-on-mains", a.Rail, b.Rail))
		}
	}
	if turned := math.Abs(apart(a.Rotation, b.Rotation)) > turnedBy; turned && regulator(a) {
		why = append(why, weaker("regulator-turned", rotationOf(a), rotationOf(b)))
	} else if turned && pinned(&a.Part) && !critical(a).IsZero() {
		why = append(why, weaker("pins-turned", rotationOf(a), rotationOf(b)))
	}
	for _, parts := range [][2]*part.Part{{&a.Part, &b.Part}, {a.Wanted(), b.Wanted()}} {
		p, q := parts[0], parts[1]
		if regulator(a) && p.Text != "" && !sameWords(p.Text, q.Text) {
			why = append(why, weaker("another-regulator", quoted(p.Text), quotedOrNothing(q.Text)))
		}
		if x, y := p.Value, q.Value; part.DutyOf(a.Function)&part.Bleeder != 0 && !tenfold(x, y) && slower(x, y) {
			why = append(why, weaker("bleeder-changed", x, y))
		}
		if p == a.Wanted() && q == b.Wanted() {
			break // the originals are what is wanted
		}
	}
	return why
}

// mainsHazards compares what positions on the mains side say of their parts.
func mainsHazards(p, q *part.Part) []weak {
	var why []weak
	told := func(member, x, y string) {
		if x != "" && x != y {
			why = append(why, weak{message.Of("hazard.changed-on-mains", memberName(member)), message.Text(x),
				orNothing(message.Text(y))})
		}
	}
	if !tenfold(p.Value, q.Value) {
		told("value", p.Value.String(), q.Value.String())
	}
	if !materialWorse(p, q) {
		told("construction", string(p.Construction), string(q.Construction))
	}
	told("dielectric", p.Dielectric, q.Dielectric)
	told("supply", string(p.Supply), string(q.Supply))
	if !protects(p) && !hasDirection(p) && !hasDirection(q) {
		told("class", string(p.Class), string(q.Class))
	}
	if p.Text != "" && !sameWords(p.Text, q.Text) && !protects(p) {
		told("type", p.Text, q.Text)
	}
	return why
}

// slower tells a bleeder that leaves charge behind longer, or that is loaded
// over twice as much; a fifth either way is what tolerances allow.
func slower(a, b quantity.Quantity) bool {
	if a.IsZero() || b.IsZero() || a.Unit() != b.Unit() {
		return !a.IsZero() && b.IsZero()
	}
	return b.CompareScaled(a, 6, 5) > 0 || a.CompareScaled(b, 2, 1) > 0
}

// regulatorText finds the type numbers of fixed and adjustable linear
// regulators and references, whose last figures are their voltage: 7812,
// 78L05, 317, 431. The scheme is common to all makers.
var regulatorText = regexp.MustCompile(`(?i)(?:^|[^0-9])(?:7[89][LMST]?[0-9]{2}|317|337|338|350|723|431)(?:[^0-9]|$)`)

// regulator tells a position that makes a supply voltage.
func regulator(p *Position) bool {
	if p.Part.Class != part.IntegratedCircuit && p.Part.Class != part.Transistor {
		return false
	}
	return part.DutyOf(p.Function)&(part.RegulatorOutput|part.SwitchingOutput) != 0 ||
		p.Part.Class == part.IntegratedCircuit && regulatorText.MatchString(p.Part.Text)
}

// takenOver says what is a hazard where a position takes the designator that
// another one had: who goes by the name printed on the board finds another
// part under it.
func (d *differ) takenOver(a, b *Position) []weak {
	d.index()
	before := d.old[b.Designator]
	if before == nil || before == a {
		return nil
	}
	why := partHazards(&before.Part, &b.Part)
	for _, w := range wantedHazards(before, b) {
		if !among(why, w) {
			why = append(why, w)
		}
	}
	if len(why) == 0 && (relevant(before) || relevant(b) || keyed(&before.Part) && keyed(&b.Part)) {
		why = []weak{weaker("names-change-places", placed(before), placed(b))}
	}
	return why
}
