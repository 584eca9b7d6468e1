package review

import (
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/go-json-experiment/json"

	"boardlore/domain/board"
	"boardlore/domain/list"
	"boardlore/domain/part"
)

// Aspect is something that can be shown of a position: a set. An item of
// evidence shows of the positions that it names what its words, its measured
// values and its photographs are about, and nothing else: a ruler tells where
// parts stand and nothing of what they bear.
type Aspect uint8

// What can be shown.
const (
	OfPlace     Aspect = 1 << iota // where it stands, and its size
	OfPart                         // what it is, and its value
	OfRatings                      // what it bears
	OfDirection                    // which way round it stands
	OfCircuit                      // what it does, and at which voltage
	OfState                        // how it was found: leaking, drifted
)

var aspectNames = [...]string{"place", "part", "ratings", "direction", "circuit", "state"}

// Names are the names of the aspects in a set, in their order.
func (a Aspect) Names() []string {
	out := []string{}
	for i, name := range aspectNames {
		if a&(1<<i) != 0 {
			out = append(out, name)
		}
	}
	return out
}

// aboutPhotographs is what a photograph of a position lets everybody see.
const aboutPhotographs = OfPart | OfRatings | OfDirection | OfState

// measuredShow is what measured values show.
var measuredShow = map[string]Aspect{
	"capacitance": OfPart, "resistance": OfPart, "inductance": OfPart, "marking": OfPart | OfRatings,
	"esr": OfState, "leakage": OfState, "voltage": OfCircuit, "current": OfCircuit,
}

// Shows is what an item shows of the positions that it names; 0 where it does
// not say what was seen.
func (e *Evidence) Shows() Aspect {
	var shown Aspect
	for name := range e.Measured {
		shown |= measuredShow[name]
	}
	if len(e.Photographs) > 0 {
		shown |= aboutPhotographs
	}
	for clause := range strings.FieldsFuncSeq(sentences.Replace(strings.ToLower(e.Text)), betweenClauses) {
		shown |= clauseShows(clause)
	}
	return shown
}

// sentences parts sentences as clauses are parted; a point within a number does
// not.
var sentences = strings.NewReplacer(". ", ";")

func betweenClauses(r rune) bool { return r == ';' || r == ',' || r == '\n' || r == '!' || r == '?' }

// clauseShows is what one clause says that it rests on: nothing where it says
// that something was not seen, or is a guess.
func clauseShows(clause string) Aspect {
	var shown Aspect
	for word := range strings.FieldsFuncSeq(clause, betweenWords) {
		if guesses[word] {
			return 0
		}
		for _, s := range shows {
			if slices.ContainsFunc(s.stems, func(stem string) bool { return begins(word, stem) }) {
				shown |= s.aspect
			}
		}
	}
	if figureOf.MatchString(clause) {
		shown |= OfPart
	}
	if voltsOf.MatchString(clause) {
		if metered.MatchString(clause) {
			return shown | OfCircuit
		}
		shown |= OfRatings
	}
	return shown
}

// begins tells a word that is a stem or, of one that is long enough to stand for
// nothing else, begins with it.
func begins(word, stem string) bool {
	return word == stem || utf8.RuneCountInString(stem) > 4 && strings.HasPrefix(word, stem)
}

func betweenWords(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '\'' }

// Figures with the unit of a value, and with that of a voltage.
var (
	figureOf = regexp.MustCompile(`\d\s*(?:[µμunp]f|[km]?ω|[km]?ohms?|[µμun]h)(?:[^\pL]|$)`)
	voltsOf  = regexp.MustCompile(`\d\s*[km]?v(?:dc|ac)?(?:[^\pL]|$)`)
	metered  = regexp.MustCompile(`measur|gemessen|mesur|medid|misurat|gemeten|zmierz|измер`)
)

// guesses are words of who did not see, in the languages that are read.
var guesses = func() map[string]bool {
	set := map[string]bool{}
	for _, w := range strings.Fields(`not no never cannot can't couldn't didn't isn't wasn't unreadable illegible unknown unchecked assumed assume
		assuming guess guessed presumably probably perhaps maybe supposedly likely should nicht kein keine nie unleserlich unbekannt vermutlich
		vermutet wohl wahrscheinlich vielleicht angenommen pas jamais illisible inconnu supposé probablement peut-être ilegible
		desconocido quizás supongo non illeggibile sconosciuto forse niet geen onleesbaar onbekend waarschijnlijk misschien nie
		nieczytelny nieznany chyba не нет неизвестно наверное вероятно`) {
		set[w] = true
	}
	return set
}()

// shows are the stems of words that say on what something was seen. Common
// practice of service notes.
var shows = []struct {
	aspect Aspect
	stems  []string
}{
	{OfPlace,
		strings.Fields(`ruler caliper calliper vernier lineal messschieber schieblehre schublehre maßstab règle coulisse calibre calibro righello
		liniaal schuifmaat linijk suwmiark линейк штангенцирк scan scans scanned grid gitter koordinat coordinat placement bestückungs gerber layout millimet`)},
	{OfPart,
		strings.Fields(`lcr multimet capacitance kapazität capacité resistance farbring farbcode colour color inductance typenbez`)},
	{OfPart | OfRatings,
		strings.Fields(`read reads sleeve printed imprint aufdruck abgelesen gelesen label etikett beschrift aufschrift becher marking marked inscri
		étiquette manchon marquage lu lue lus leído leída letto etiqueta scritta stampigl opschrift nadruk afgelezen napis odczyt oznacz надпис маркиров прочит
		datasheet datenblatt stückliste nomenclature manual serviceanleitung`)},
	{OfPart | OfRatings | OfDirection | OfCircuit,
		strings.Fields(`schematic schaltplan schéma esquema schemat схема схеме`)},
	{OfDirection,
		strings.Fields(`stripe streifen polar polung minus plus silkscreen cathode kathode orientation raya fascia bande полярн`)},
	{OfCircuit, strings.Fields(`traced tracing continuity beeps beeped durchgang verfolgt durchgepiept suivi`)},
	{OfState,
		strings.Fields(`esr leak leaks leaked leaking leaky leckt bulge bulging aufgebläht ausgelaufen corrod korrod drift fuit gonflé defekt failed burnt verbrannt`)},
}

// namedIn finds designators and ranges of them in a text.
var namedIn = regexp.MustCompile(`\pL{1,4}\d{1,4}\pL?(?:\s*(?:[-–—…]|\.\.+|\b(?:to|bis|à)\b)\s*\pL{0,4}\d{1,4}\pL?)?`)

// Named are the positions that an item names: in its list, and in its text.
func (e *Evidence) Named() map[string]bool {
	set := make(map[string]bool, len(e.Designators))
	for _, d := range e.Designators {
		set[d] = true
	}
	for _, span := range namedIn.FindAllString(e.Text, MaxDesignators) {
		names, err := list.Designators(span)
		if err != nil || len(names) > MaxDesignators {
			continue
		}
		for _, d := range names {
			set[d] = true
		}
	}
	return set
}

// wants is what has to be shown of a position that is new.
func wants(p *board.Position) Aspect {
	w := OfPlace | OfPart
	for i := range part.Members {
		if m := &part.Members[i]; m.Rating && m.Is(&p.Part) {
			w |= OfRatings
		}
	}
	if p.Negative != nil || p.Part.Class == part.Diode {
		w |= OfDirection
	}
	return w
}

// asks is what has to be shown for a change of a position. What is decided
// rather than seen, such as what to do with it, asks for nothing.
func asks(e *board.DifferenceEntry) Aspect {
	switch e.Kind {
	case board.Moved, board.Turned, board.SideChanged, board.BodyChanged:
		return OfPlace
	case board.PolarityChanged:
		return OfDirection
	case board.FunctionChanged:
		return OfCircuit
	case board.PartChanged:
		return ofPart(e)
	}
	return 0
}

// ofPart is what has to be shown for a change of a part: of its ratings for
// those, else of the part itself.
func ofPart(e *board.DifferenceEntry) Aspect {
	var was, is part.Part
	if json.Unmarshal(e.From, &was) != nil || json.Unmarshal(e.To, &is) != nil {
		return OfPart | OfRatings
	}
	var a Aspect
	for i := range part.Members {
		switch m := &part.Members[i]; {
		case m.Same(&was, &is):
		case m.Rating:
			a |= OfRatings
		case m.Name == "polarised":
			a |= OfDirection
		default:
			a |= OfPart
		}
	}
	return a
}
