package board_test

import (
	"slices"
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/part"
)

// TestTextsThatTurn has texts of parts that deny or offer a choice, and texts that do not; common practice, written
// before the check was run on them.
func TestTextsThatTurn(t *testing.T) {
	for text, turns := range map[string]bool{
		"not X2": true, "kein X2": true, "2SC1815 or 2SC945": true, "replaces BC548": true, "without tabs": true,
		"war 2N3055":    true,
		"ähnlich BC547": true, "не X2": true, "LM358N": false, "BC547B": false, "bridge rectifier": false, "log": false,
		"tabbed":  false,
		"low ESR": false, "front panel, blue": false, "2x5": false, "long life, general purpose": false,
	} {
		m := &board.Map{Positions: []board.Position{{Designator: "X9", Part: part.Part{Class: part.Other, Text: text}}}}
		if got := slices.ContainsFunc(board.Check(m),
			func(f finding.Finding) bool { return f.Code == "text-turns" }); got != turns {
			t.Errorf("%q: %v, want %v", text, got, turns)
		}
	}
}
