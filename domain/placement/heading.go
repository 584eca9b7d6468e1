package placement

import (
	"strings"

	"boardlore/domain/list"
)

// column is what a column of a list holds.
type column uint8

const (
	colNone column = iota
	colDesignator
	colValue
	colDescription
	colPackage
	colX
	colY
	colCentreX
	colCentreY
	colRotation
	colSide
	colMount
	colLength
	colWidth
	colQuantity
)

// headings are the words that lists use, folded by list.Fold. English, German and
// French; common practice of assembly tools' lists.
var headings = map[string]column{}

func init() {
	for col, words := range map[column]string{
		colDesignator:  "designator designators ref refs refdes reference references refdesignator referencedesignator bezeichner bezeichnung referenz referenzen repere reperes partname name",
		colValue:       "value val values comment partvalue wert werte valeur valeurs",
		colDescription: "description desc beschreibung designation part text type typ bauteil",
		colPackage:     "package footprint partdecal decal pattern gehause bauform boitier case",
		colX:           "x posx xpos midx locationx xlocation refx xcoord xcoordinate coordinatex xkoordinate",
		colY:           "y posy ypos midy locationy ylocation refy ycoord ycoordinate coordinatey ykoordinate",
		colCentreX:     "centerx centrex xcenter xcentre bodyx",
		colCentreY:     "centery centrey ycenter ycentre bodyy",
		colRotation:    "rotation rot angle orientation drehung winkel rotationdeg rotationdegrees",
		colSide:        "side layer tb topbottom seite lage face cote mountside boardside",
		colMount:       "mount mounting mounttype montage",
		colLength:      "length lange longueur",
		colWidth:       "width breite largeur",
		colQuantity:    "qty quantity count menge anzahl stuck quantite qte",
	} {
		for _, w := range strings.Fields(words) {
			headings[w] = col
		}
	}
}

// heading says what a column holds and in which unit, "" where the heading
// does not say.
func heading(text string) (column, string) {
	unit := ""
	name := text
	if open := strings.IndexAny(text, "([{"); open >= 0 {
		inner := list.Fold(text[open:])
		if u, ok := units[inner]; ok {
			unit, name = u, text[:open]
		}
	}
	word := list.Fold(name)
	if col, ok := headings[word]; ok {
		return col, unit
	}
	for suffix, u := range units {
		if col, ok := headings[strings.TrimSuffix(word, suffix)]; ok && strings.HasSuffix(word, suffix) {
			return col, u
		}
	}
	return colNone, ""
}

// units are the ways in which lists name a unit of length, folded.
var units = map[string]string{"mm": "mm", "millimeter": "mm", "millimetre": "mm", "in": "inch", "inch": "inch", "inches": "inch", "mil": "mil", "mils": "mil", "thou": "mil"}

// sideOf reads the side of a row.
func sideOf(text string) (string, bool) {
	switch list.Fold(text) {
	case "top", "t", "toplayer", "fcu", "front", "f", "component", "componentside", "oben", "dessus", "bestuckungsseite", "topside":
		return "top", true
	case "bottom", "b", "bot", "bottomlayer", "bcu", "back", "solder", "solderside", "unten", "dessous", "lotseite", "bottomside":
		return "bottom", true
	}
	return "", false
}

// classes maps the leading letters of a designator to a part class, after
// ASME Y14.44 and the habits of older European drawings (common practice).
var classes = map[string]string{
	"C": "capacitor", "CN": "connector", "R": "resistor", "RN": "resistor", "RV": "potentiometer", "VR": "potentiometer", "P": "connector",
	"RT": "thermistor", "TH": "thermistor", "NTC": "thermistor", "MOV": "varistor", "VDR": "varistor",
	"L": "inductor", "FB": "inductor", "T": "transformer", "TR": "transformer", "F": "fuse", "BT": "cell", "BAT": "cell", "B": "cell",
	"D": "diode", "CR": "diode", "LED": "diode", "ZD": "diode", "Q": "transistor", "V": "other", "U": "integrated-circuit", "IC": "integrated-circuit",
	"Y": "crystal", "X": "crystal", "XTAL": "crystal", "K": "relay", "RL": "relay", "S": "switch", "SW": "switch", "J": "connector", "CON": "connector",
	"BUS": "connector", "DS": "lamp", "LA": "lamp",
}

// ClassOf is the class that a designator suggests; "other" where it suggests
// none.
func ClassOf(designator string) string {
	letters := strings.ToUpper(designator)
	if i := strings.IndexFunc(letters, func(r rune) bool { return r < 'A' || r > 'Z' }); i >= 0 {
		letters = letters[:i]
	}
	if c, ok := classes[letters]; ok {
		return c
	}
	return "other"
}
