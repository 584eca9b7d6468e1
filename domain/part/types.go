package part

import (
	"strings"

	"boardlore/domain/message"
	"boardlore/domain/reading"
)

// Class says what sort of part it is.
type Class string

// The classes, as the map's schema lists them.
const (
	Capacitor         Class = "capacitor"
	Resistor          Class = "resistor"
	Potentiometer     Class = "potentiometer"
	Thermistor        Class = "thermistor"
	Varistor          Class = "varistor"
	Inductor          Class = "inductor"
	Transformer       Class = "transformer"
	Fuse              Class = "fuse"
	Cell              Class = "cell"
	Diode             Class = "diode"
	Transistor        Class = "transistor"
	IntegratedCircuit Class = "integrated-circuit"
	Crystal           Class = "crystal"
	Relay             Class = "relay"
	Switch            Class = "switch"
	Connector         Class = "connector"
	Lamp              Class = "lamp"
	Other             Class = "other"
)

// Classes are all classes, in the order in which the reader of texts has them.
var Classes = func() (all []Class) {
	for _, name := range reading.Classes {
		all = append(all, Class(name))
	}
	return all
}()

// Say is the class in the reader's language.
func (c Class) Say() message.Message { return message.Word("class", c) }

// Words is the class as people say it.
func (c Class) Words() string { return spaced(string(c)) }

// Construction says how a part is made. Of capacitors it is one of
// Constructions, of other classes any text.
type Construction string

// The constructions of capacitors.
const (
	AluminiumElectrolytic Construction = "aluminium-electrolytic"
	AluminiumPolymer      Construction = "aluminium-polymer"
	Tantalum              Construction = "tantalum"
	TantalumPolymer       Construction = "tantalum-polymer"
	Ceramic               Construction = "ceramic"
	Film                  Construction = "film"
	Paper                 Construction = "paper"
	Mica                  Construction = "mica"
	Supercapacitor        Construction = "supercapacitor"
)

// Constructions are all constructions of capacitors.
var Constructions = []Construction{AluminiumElectrolytic, AluminiumPolymer, Tantalum, TantalumPolymer, Ceramic, Film,
	Paper, Mica, Supercapacitor}

// Say is the construction in the reader's language.
func (c Construction) Say() message.Message { return message.Word("construction", c) }

// Words is the construction as people say it.
func (c Construction) Words() string { return spaced(string(c)) }

// spaced is a name of the documents as people say it.
func spaced(name string) string { return strings.ReplaceAll(name, "-", " ") }

// Supply is what a coil or a lamp is made for.
type Supply string

// The kinds of supply.
const (
	Alternating Supply = "ac"
	Direct      Supply = "dc"
)

// Supplies are all kinds of supply.
var Supplies = []Supply{Alternating, Direct}

// Circuit says where a position stands between the mains and people. The empty
// value means "not known".
type Circuit string

// The circuits.
const (
	AcrossMains     Circuit = "across-mains"     // across the mains conductors: IEC 60384-14 wants class X
	MainsToEarth    Circuit = "mains-to-earth"   // from mains to protective earth or touchable metal: class Y
	AcrossIsolation Circuit = "across-isolation" // from mains side to the side that people touch: class Y
	Primary         Circuit = "primary"          // elsewhere on the mains side
	Secondary       Circuit = "secondary"        // safely behind the isolation
)

// Circuits are all circuits.
var Circuits = []Circuit{AcrossMains, MainsToEarth, AcrossIsolation, Primary, Secondary}

// Say is the circuit in the reader's language.
func (c Circuit) Say() message.Message { return message.Word("circuit", c) }

// Bridges reports whether a part there stands between the mains and what a
// person can touch.
func (c Circuit) Bridges() bool { return c == MainsToEarth || c == AcrossIsolation }

// OnMains reports whether a part there is on the mains side or reaches to it.
func (c Circuit) OnMains() bool { return c != "" && c != Secondary }

// Names are the names of a type's values, as documents and queries have them.
func Names[T ~string](of []T) []string {
	names := make([]string, len(of))
	for i, n := range of {
		names[i] = string(n)
	}
	return names
}
