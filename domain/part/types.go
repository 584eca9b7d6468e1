package part

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

// Bridges reports whether a part there stands between the mains and what a
// person can touch.
func (c Circuit) Bridges() bool { return c == MainsToEarth || c == AcrossIsolation }

// OnMains reports whether a part there is on the mains side or reaches to it.
func (c Circuit) OnMains() bool { return c != "" && c != Secondary }
