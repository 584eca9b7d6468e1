package part

import "strings"

// saying is what a phrase of the trade says.
type saying struct {
	act    act
	value  string // the member's value, or the text to keep
	also   string // a second thing that the phrase settles
	longer int    // words of the longest phrase that begins with this one's words; on first words only
}

type act uint8

const (
	sayNothing act = iota // only the first word of longer phrases
	sayClass              // also: a word for the part's text
	sayConstruction
	sayElectrolytic // aluminium, unless tantalum or polymer stands beside it
	sayPolymer      // aluminium, unless tantalum stands beside it
	sayFilm         // a film's dielectric; also: the construction
	sayResistor     // a resistor's construction
	sayFusible      // a resistor's construction or, in French, a fuse
	sayPolarised    // value: true or false
	sayMount
	sayShape // also: the shape
	saySpeed
	sayRechargeable // value: true or false
	sayChemistry
	sayChemistryLetters // in a cell only, being words otherwise
	sayTaper            // a potentiometer's, kept as text
	sayText
	sayRoughly
	sayLabel // value: the name of a label
)

// The labels: words that name the figure beside them.
const (
	labelESR          = "esr"
	labelRipple       = "ripple"
	labelPitch        = "pitch"
	labelDiameter     = "diameter"
	labelLength       = "length"
	labelWidth        = "width"
	labelHeight       = "height"
	labelCount        = "count"
	labelCurrent      = "current"
	labelVoltage      = "voltage"
	labelTemperature  = "temperature"
	labelTolerance    = "tolerance"
	labelEndurance    = "endurance"
	labelDielectric   = "dielectric"
	labelConstruction = "construction"
	labelChemistry    = "chemistry"
	labelSafety       = "safety"
	labelCase         = "case"
)

// longestPhrase is the most words that a phrase has.
const longestPhrase = 4

// vocabulary has the trade's phrases in English, German and French, folded to
// lower case with blanks for hyphens. Common practice; IEC 60127 for the
// letters of a fuse's characteristic.
var vocabulary = func() map[string]*saying {
	m := make(map[string]*saying, 1024)
	for _, c := range Classes {
		learn(m, c.Words(), saying{act: sayClass, value: string(c)})
	}
	for _, c := range Constructions {
		learn(m, c.Words(), saying{act: sayConstruction, value: string(c)})
	}
	for _, list := range [...][]phrase{classWords, constructionWords, fittingWords, ratingWords, textWords, labelWords} {
		for _, p := range list {
			learn(m, p.words, saying{act: p.act, value: p.value, also: p.also})
		}
	}
	return m
}()

// learn enters phrases that are parted by strokes.
func learn(m map[string]*saying, phrases string, s saying) {
	for phrase := range strings.SplitSeq(phrases, "|") {
		first, _, _ := strings.Cut(phrase, " ")
		n := 1 + strings.Count(phrase, " ")
		old := m[phrase]
		if old == nil {
			old = &saying{}
			m[phrase] = old
		}
		old.act, old.value, old.also = s.act, s.value, s.also
		head := m[first]
		if head == nil {
			head = &saying{}
			m[first] = head
		}
		head.longer = max(head.longer, n)
	}
}

// phrase is a row of the vocabulary.
type phrase struct {
	act         act
	value, also string
	words       string
}

var classWords = []phrase{
	{sayClass, "capacitor", "", "capacitors|cap|caps|kondensator|kondensatoren|condensateur|condensateurs|condo|condos|kondi"},
	{sayClass, "resistor", "", "resistors|res|widerstand|widerstände|résistance|resistance|résistances|résisteur"},
	{sayClass, "potentiometer", "", "potentiometers|pot|poti|potis|potentiomètre"},
	{sayClass, "potentiometer", "trimmer", "trimmer|trimpot|trimpoti|trimmpoti|ajustable|preset|trimmer pot|résistance ajustable"},
	{sayClass, "thermistor", "", "thermistors|thermistance"},
	{sayClass, "thermistor", "NTC", "ntc|heissleiter|heißleiter|ctn"},
	{sayClass, "thermistor", "PTC", "ptc|kaltleiter|ctp"},
	{sayClass, "varistor", "", "varistors|mov|vdr|varistance"},
	{sayClass, "inductor", "", "inductors|ind|drossel|drosseln|spule|spulen|inductance|choke|coil|bobine|self|selfs|induktivität|festinduktivität"},
	{sayClass, "transformer", "", "transformers|trafo|transformator|übertrager|transfo|transformateur"},
	{sayClass, "fuse", "", "fuses|sicherung|sicherungen|feinsicherung|feinsicherungen|glassicherung|schmelzsicherung|fusible verre|fusibles"},
	{sayClass, "fuse", "thermal", "thermosicherung|temperatursicherung|fusible thermique|thermal cutoff"},
	{sayClass, "cell", "", "cells|battery|batteries|batterie|batterien|knopfzelle|knopfzellen|zelle|zellen|pile|piles|pile bouton|coin cell|button cell|accumulateur|accumulator|stützbatterie|backup battery"},
	{sayClass, "crystal", "", "quarz|quartz|crystals|xtal|schwingquarz|uhrenquarz"},
	{sayClass, "relay", "", "relais|relays"},
	{sayClass, "diode", "", "diodes|gleichrichterdiode"},
	{sayClass, "diode", "rectifier", "rectifier|gleichrichter|redresseur|bridge rectifier|brückengleichrichter"},
	{sayClass, "diode", "Zener", "zener|z diode|zenerdiode|zener diode|diode zener"},
	{sayClass, "diode", "Schottky", "schottky|schottky diode|schottkydiode|diode schottky"},
	{sayClass, "diode", "LED", "led|leds|leuchtdiode"},
	{sayClass, "transistor", "", "transistors|transistoren"},
	{sayClass, "transistor", "NPN", "npn"},
	{sayClass, "transistor", "PNP", "pnp"},
	{sayClass, "transistor", "MOSFET", "mosfet|mosfets"},
	{sayClass, "transistor", "JFET", "jfet|jfets"},
	{sayClass, "integrated-circuit", "", "ic|ics|circuit intégré|integrierte schaltung"},
	{sayClass, "integrated-circuit", "op amp", "opamp|op amp|operationsverstärker|ampli op|aop"},
	{sayClass, "switch", "", "switches|schalter|taster|interrupteur|bouton poussoir"},
	{sayClass, "connector", "", "connectors|stecker|buchse|connecteur|header|steckverbinder"},
	{sayClass, "lamp", "", "lampe|lampen|bulb|glühlampe|ampoule|birne"},
}

var constructionWords = []phrase{
	{sayElectrolytic, "aluminium-electrolytic", "", "elko|elkos|alum|elektrolytkondensator|electrolytic|electrolytics|electrolytic capacitor|elektrolyt|aluminum electrolytic|alu elko|chimique|chimiques|électrolytique|electrolytique|électrochimique|aluminium elektrolyt|elcap|ecap|e cap|alu electrolytic"},
	{sayPolymer, "aluminium-polymer", "", "polymer|polymère|polymere|solid polymer|polymer elko"},
	{sayConstruction, "aluminium-polymer", "", "alu polymer|aluminum polymer"},
	{sayConstruction, "tantalum", "", "tantal|tantale|tant|tantalelko|tantalkondensator|tantalum bead|tantalperle|goutte tantale"},
	{sayConstruction, "tantalum-polymer", "", "tantal polymer|polymer tantalum|polymer tantal"},
	{sayConstruction, "ceramic", "", "keramik|cer|kerko|kerkos|céramique|ceramique|mlcc|keramikkondensator|ceramic disc|disque céramique"},
	{sayConstruction, "film", "", "folie|foil|folien|folienkondensator|film plastique|plastic film"},
	{sayConstruction, "paper", "", "papier|papierkondensator"},
	{sayConstruction, "mica", "", "glimmer|silver mica|glimmerkondensator"},
	{sayConstruction, "supercapacitor", "", "supercap|super capacitor|super cap|goldcap|gold cap|doppelschicht|doppelschichtkondensator|edlc|ultracap|supercondensateur"},
	{sayFilm, "polyester", "film", "mkt|fkt|mks|mks2|mks4|fks|kt|polyester|mylar|petp"},
	{sayFilm, "polypropylene", "film", "mkp|mkp2|mkp4|mkp10|fkp|fkp1|kp|polypropylene|polypropylen|polypropylène|mmkp"},
	{sayFilm, "polycarbonate", "film", "mkc|kc|polycarbonate|polycarbonat"},
	{sayFilm, "polystyrene", "film", "styroflex|ks|polystyrene|polystyrol|polystyrène"},

	{sayResistor, "metal-film", "", "metal film|metallfilm|metallschicht|metallfilmwiderstand|couche métallique|metalfilm|film métallique"},
	{sayResistor, "carbon-film", "", "carbon film|kohleschicht|kohle|kohleschichtwiderstand|couche carbone|carbonfilm|carbone"},
	{sayResistor, "carbon-composition", "", "carbon composition|kohlemasse|carbon comp|carbone aggloméré"},
	{sayResistor, "metal-oxide", "", "metal oxide|metalloxid|metal oxide film|oxyde métallique|metallox"},
	{sayResistor, "wirewound", "", "wirewound|wire wound|draht|drahtwiderstand|bobiné|bobinée"},
	{sayResistor, "thick-film", "", "thick film|dickschicht"},
	{sayResistor, "thin-film", "", "thin film|dünnschicht"},
	{sayFusible, "fusible", "", "fusible"},
	{sayResistor, "fusible", "", "sicherungswiderstand|fusible resistor|fusing resistor|résistance fusible"},
}

var fittingWords = []phrase{
	{sayPolarised, "false", "", "bipolar|bi polar|bp|np|n p|b p|non polarised|non polarized|nonpolarised|nonpolarized|nonpolar|non polar|unpolarised|unpolarized|ungepolt|bipolaire|non polarisé|non polarise|nichtpolar|unpolar|not polarised|tonfrequenz|bip|bipol"},
	{sayPolarised, "true", "", "polarised|polarized|gepolt|polarisé|polarise|polar"},
	{sayMount, "surface", "", "smd|smt|surface|surface mount|cms|surface mounted|oberflächenmontage|montage en surface"},
	{sayMount, "through-hole", "", "tht|through hole|bedrahtet|traversant|leaded|wired|durchsteck"},
	{sayShape, "through-hole", "can", "radial|radiale|stehend|upright|vertical|debout"},
	{sayShape, "through-hole", "axial", "axial|axiale|liegend|couché"},
	{sayShape, "surface", "can", "v chip|vchip|smd can|smd becher"},
}

var ratingWords = []phrase{
	{saySpeed, "T", "", "träge|traege|slow|slow blow|slowblow|slo blo|slow acting|time lag|time delay|timelag|temporisé|temporise|retardé|retardée|lent|lente|anti surge|antisurge|surge proof"},
	{saySpeed, "F", "", "flink|quick|fast|fast blow|fastblow|quick acting|quick blow|fast acting|rapide"},
	{saySpeed, "FF", "", "superflink|very fast|ultra rapide|super fast|very quick acting|super flink|ultra fast|très rapide"},
	{saySpeed, "M", "", "mittelträge|medium time lag|semi retardé|medium acting|semi temporisé"},
	{saySpeed, "TT", "", "superträge|long time lag|super träge|super temporisé"},
	{sayRechargeable, "true", "", "rechargeable|wiederaufladbar|aufladbar|akku|accu|akkus|accus|secondary"},
	{sayRechargeable, "false", "", "primary|non rechargeable|nicht aufladbar|primärzelle|primaire|not rechargeable"},
	{sayChemistry, "Ni-Cd", "", "ni cd|nicd|nicad|nickel cadmium|ni/cd"},
	{sayChemistry, "Ni-MH", "", "ni mh|nimh|nickel metal hydride"},
	{sayChemistry, "LR", "", "alkaline|alkali|alcaline|alkali mangan"},
	{sayChemistry, "LIR", "", "li ion|liion|lithium ion"},
	{sayChemistry, "SR", "", "silver oxide|silberoxid|oxyde d'argent"},
	{sayChemistry, "Pb", "", "lead acid|blei gel|blei|bleiakku|plomb"},
	{sayChemistryLetters, "CR", "", "cr"}, {sayChemistryLetters, "BR", "", "br"}, {sayChemistryLetters, "ER", "", "er"},
	{sayChemistryLetters, "LR", "", "lr"}, {sayChemistryLetters, "SR", "", "sr"}, {sayChemistryLetters, "VL", "", "vl"},
	{sayChemistryLetters, "ML", "", "ml"}, {sayChemistryLetters, "MS", "", "ms"}, {sayChemistryLetters, "LIR", "", "lir"},
	{sayChemistryLetters, "MT", "", "mt"}, {sayChemistryLetters, "PR", "", "pr"}, {sayChemistryLetters, "R", "", "zinc carbon|zink kohle"},
}

var textWords = []phrase{
	{sayText, "low ESR", "", "low esr|lowesr|niedriger esr|geringer esr|faible esr|low e s r"},
	{sayText, "ultra low ESR", "", "ultra low esr|very low esr|extra low esr"},
	{sayText, "low impedance", "", "low z|low impedance|low imp|niederohmig|basse impédance|faible impédance|niedrige impedanz|schaltfest|low impedanz"},
	{sayText, "long life", "", "long life|longlife|langlebig|longue durée|longue durée de vie|lange lebensdauer"},
	{sayText, "flameproof", "", "flameproof|flame proof|unbrennbar|nicht brennbar|ininflammable|flame retardant"},
	{sayText, "tabbed", "", "tabbed|tabs|with tabs|with solder tabs|solder tabs|mit lötfahne|mit lötfahnen|lötfahne|lötfahnen|à cosses|cosses|tagged|solder tags|mit löt fahnen"},
	{sayText, "high ripple", "", "high ripple|high ripple current"},
	{sayText, "low leakage", "", "low leakage|low leak|niedriger leckstrom|faible fuite"},
	{sayText, "audio", "", "audio|audio grade|hifi"},
	{sayText, "general purpose", "", "general purpose|standard type|standardtyp|usage général"},
	{sayText, "AC", "", "ac|wechselspannung"},
	{sayText, "automotive", "", "automotive"},
	{sayText, "snap-in", "", "snap in|snapin"},
	{sayText, "screw terminal", "", "screw terminal|screw terminals|schraubanschluss|à vis"},
	{sayText, "glass", "", "glass|glas|verre|glass tube|glasrohr"},
	{sayText, "ceramic tube", "", "ceramic tube|keramikrohr|tube céramique"},
	{sayText, "high breaking", "", "high breaking|high breaking capacity|hbc|hrc"},
	{sayText, "low breaking", "", "low breaking|low breaking capacity|lbc"},
	{sayText, "pigtail", "", "pigtail|pig tail|pigtails"},
	{sayText, "lithium", "", "lithium"},
	{sayText, "thermal", "", "thermal"},
	{sayText, "resettable", "", "resettable|selbstrückstellend|selbstrückstellende|réarmable|polyfuse|polyswitch"},
	{sayTaper, "linear", "", "lin|linear|linéaire|lineaire"},
	{sayTaper, "logarithmic", "", "log|logarithmic|logarithmisch|logarithmique"},
	{sayTaper, "antilog", "", "antilog|reverse log|rev log|antilogarithmic"},
	{sayRoughly, "", "", "about|approx|approximately|ca|circa|etwa|environ|env|roughly"},
}

var labelWords = []phrase{
	{sayLabel, labelESR, "", "esr|esr max|e s r|z|impedance|impedanz|impédance"},
	{sayLabel, labelRipple, "", "ripple|ripple current|ripplestrom|rippelstrom|wechselstrombelastbarkeit|irms|courant ondulé"},
	{sayLabel, labelPitch, "", "rm|r m|pitch|pas|pas de|raster|rastermaß|rastermass|rm mm|lead spacing|lead pitch|ls|écartement|entraxe|p|beinabstand"},
	{sayLabel, labelDiameter, "", "diameter|diam|dia|durchmesser|diamètre|ø|d"},
	{sayLabel, labelLength, "", "length|länge|longueur|long|lang|l"},
	{sayLabel, labelWidth, "", "width|breite|largeur|wide|breit|w|b"},
	{sayLabel, labelHeight, "", "height|höhe|hauteur|high|tall|hoch|haut|h"},
	{sayLabel, labelCount, "", "qty|quantity|menge|anzahl|quantité|qté|qte|stückzahl"},
	{sayLabel, labelCurrent, "", "current|strom|courant|nennstrom"},
	{sayLabel, labelVoltage, "", "voltage|spannung|nennspannung|tension|wv|w v|wvdc|rated voltage|working voltage"},
	{sayLabel, labelTemperature, "", "temp|temperature|temperatur|température|tmax|t max"},
	{sayLabel, labelEndurance, "", "life|lifetime|load life|lebensdauer|endurance|durée de vie"},
	{sayLabel, labelTolerance, "", "tol|tolerance|toleranz|tolérance"},
	{sayLabel, labelDielectric, "", "dielectric|dielektrikum|diélectrique"},
	{sayLabel, labelConstruction, "", "construction"},
	{sayLabel, labelChemistry, "", "chemistry|chemie|chimie"},
	{sayLabel, labelSafety, "", "safety"},
	{sayLabel, labelCase, "", "case|gehäuse|boîtier|case size|bauform|size|größe|taille"},
}
