package placement

import (
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/list"
	"boardlore/domain/part"
)

// heading says what a column holds and in which unit, "" where the heading
// does not say.
func heading(text string) (list.Heading, string) {
	unit := ""
	name := text
	if open := strings.IndexAny(text, "([{"); open >= 0 {
		inner := list.Fold(text[open:])
		if u, ok := units[inner]; ok {
			unit, name = u, text[:open]
		}
	}
	word := list.Fold(name)
	if col := list.PlacementHeading(word); col != list.None {
		return col, unit
	}
	for suffix, u := range units {
		if col := list.PlacementHeading(strings.TrimSuffix(word, suffix)); col != list.None &&
			strings.HasSuffix(word, suffix) {
			return col, u
		}
	}
	return list.None, ""
}

// units are the ways in which lists name a unit of length, folded.
var units = map[string]string{"mm": "mm", "millimeter": "mm", "millimetre": "mm", "in": "inch", "inch": "inch",
	"inches": "inch", "mil": "mil", "mils": "mil", "thou": "mil"}

// sideOf reads the side of a row.
func sideOf(text string) (board.Side, bool) {
	switch list.Fold(text) {
	case "top", "t", "toplayer", "fcu", "front", "f", "component", "componentside", "oben", "dessus",
		"bestuckungsseite", "topside":
		return board.Top, true
	case "bottom", "b", "bot", "bottomlayer", "bcu", "back", "solder", "solderside", "unten", "dessous", "lotseite",
		"bottomside":
		return board.Bottom, true
	}
	return "", false
}

// classes maps the leading letters of a designator to a part class, after
// ASME Y14.44 and the habits of older European drawings (common practice).
var classes = map[string]part.Class{
	"C": part.Capacitor, "CN": part.Connector, "R": part.Resistor, "RN": part.Resistor, "RV": part.Potentiometer,
	"VR": part.Potentiometer, "P": part.Connector,
	"RT": part.Thermistor, "TH": part.Thermistor, "NTC": part.Thermistor, "MOV": part.Varistor, "VDR": part.Varistor,
	"L": part.Inductor, "FB": part.Inductor, "T": part.Transformer, "TR": part.Transformer, "F": part.Fuse,
	"BT": part.Cell, "BAT": part.Cell, "B": part.Cell,
	"D": part.Diode, "CR": part.Diode, "LED": part.Diode, "ZD": part.Diode, "Q": part.Transistor, "V": part.Other,
	"U": part.IntegratedCircuit, "IC": part.IntegratedCircuit,
	"Y": part.Crystal, "X": part.Crystal, "XTAL": part.Crystal, "K": part.Relay, "RL": part.Relay, "S": part.Switch,
	"SW": part.Switch, "J": part.Connector, "CON": part.Connector,
	"BUS": part.Connector, "DS": part.Lamp, "LA": part.Lamp,
}

// ClassOf is the class that a designator suggests; "other" where it suggests
// none.
func ClassOf(designator string) part.Class {
	letters := strings.ToUpper(designator)
	if i := strings.IndexFunc(letters, func(r rune) bool { return r < 'A' || r > 'Z' }); i >= 0 {
		letters = letters[:i]
	}
	if c, ok := classes[letters]; ok {
		return c
	}
	return part.Other
}
