package schema

import (
	"errors"
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/kit"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
	"boardlore/domain/reading"
	"boardlore/domain/record"
)

// ReadMap reads a map document: strict JSON of at most board.MaxBytes, schema,
// quantities made canonical (a note for each that was spelt otherwise), then
// board.Check. The map is nil exactly when some finding is a stop.
func ReadMap(data []byte) (*board.Map, []finding.Finding) {
	m := new(board.Map)
	fs := read("map", data, board.MaxBytes, m, func(n *normaliser, doc map[string]any) { n.boardMap(doc) })
	if finding.Worst(fs) == finding.Stop {
		return nil, fs
	}
	if n := m.Altered(); n > board.MaxAltered {
		return nil, stop("document-too-large", "/variants", message.Of("schema.too-many-changes", n, board.MaxAltered))
	}
	fs = capped(append(fs, board.Check(m)...))
	if finding.Worst(fs) == finding.Stop {
		return nil, fs
	}
	return m, fs
}

// ReadKit reads a kit document as ReadMap reads a map.
func ReadKit(data []byte) (*kit.Kit, []finding.Finding) {
	k := new(kit.Kit)
	fs := read("kit", data, board.MaxBytes, k, func(n *normaliser, doc map[string]any) { n.kit(doc) })
	fs = capped(fs)
	if finding.Worst(fs) == finding.Stop {
		return nil, fs
	}
	return k, fs
}

// ReadRecord reads a record as ReadKit reads a kit, but for its readings, which
// need the map. The record is nil where it can't be read at all; where only a
// fitted part is at fault, the rest of it is there, so that a judge can tell
// all faults at once.
func ReadRecord(data []byte) (*record.Record, []finding.Finding) {
	r := new(record.Record)
	var told []finding.Finding
	fs := read("record", data, record.MaxBytes, r, func(n *normaliser, doc map[string]any) {
		n.record(doc)
		told, n.findings = n.findings, nil
	})
	if fs != nil {
		return nil, capped(fs)
	}
	return r, capped(told)
}

// record normalises the fitted parts, and takes out those that can't be read.
func (n *normaliser) record(doc map[string]any) {
	for i, p := range list(doc["positions"]) {
		entry := p.(map[string]any)
		fitted, ok := entry["fitted"].(map[string]any)
		if !ok {
			continue
		}
		before := len(n.findings)
		n.part(fitted["part"].(map[string]any), nil, fmt.Sprintf("/positions/%d/fitted/part", i))
		if finding.Worst(n.findings[before:]) == finding.Stop {
			delete(entry, "fitted")
			n.changed = true
		}
	}
}

// read parses data, holds it to the named schema, normalises its quantities
// and decodes it into out.
func read(name string, data []byte, limit int, out any, normalise func(*normaliser, map[string]any)) []finding.Finding {
	tree, fs := parse(data, limit)
	if fs != nil {
		return fs
	}
	named, fs := takeName(name, tree)
	if fs = append(fs, validate(name, tree)...); fs != nil {
		return fs
	}
	n := &normaliser{changed: named, current: named}
	normalise(n, tree.(map[string]any))
	if finding.Worst(n.findings) == finding.Stop {
		return capped(n.findings)
	}
	if n.changed {
		return append(n.findings, decodeTree(tree, out)...)
	}
	return append(n.findings, decode(data, tree, out)...)
}

// Decode holds data to the named schema and decodes it into out. Numbers count
// by their value: 1987.0 and 1.987e3 are whole numbers as much as 1987.
func Decode(name string, data []byte, out any) []finding.Finding {
	tree, fs := parse(data, len(data))
	if fs != nil {
		return fs
	}
	named, fs := takeName(name, tree)
	if fs = append(fs, validate(name, tree)...); fs != nil {
		return fs
	}
	if named {
		return decodeTree(tree, out)
	}
	return decode(data, tree, out)
}

// decode decodes data, or where that fails the tree that was read from it, in
// which numbers have but one spelling.
func decode(data []byte, tree, out any) []finding.Finding {
	if json.Unmarshal(data, out) == nil {
		return nil
	}
	reflect.ValueOf(out).Elem().SetZero()
	return decodeTree(tree, out)
}

func decodeTree(tree, out any) []finding.Finding {
	b, err := json.Marshal(tree, json.Deterministic(true))
	if err != nil {
		return stop("json-malformed", "", message.Of("schema.not-written", err))
	}
	err = json.Unmarshal(b, out)
	var sem *json.SemanticError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &sem):
		pointer := string(sem.JSONPointer)
		return []finding.Finding{{Code: "member-unreadable", Severity: finding.Stop, Pointer: pointer,
			Found:    spell(resolve(tree, pointer)),
			Sentence: message.Of("schema.member-unreadable")}}
	}
	return []finding.Finding{syntaxFinding(b, err)}
}

// normaliser rewrites the quantities of a document that passed its schema into
// their canonical spelling, in place.
type normaliser struct {
	findings []finding.Finding
	faults   int // stops among the findings; with too many of them the rest is not read
	changed  bool
	current  bool // the document names the schema that it was written for
}

func (n *normaliser) boardMap(doc map[string]any) {
	places := map[string]map[string]any{} // by designator: a variant's set may leave the class to the base
	for i, p := range list(doc["positions"]) {
		pos := p.(map[string]any)
		n.position(pos, nil, "/positions/"+strconv.Itoa(i))
		places[pos["designator"].(string)] = pos
	}
	for i, v := range list(doc["variants"]) {
		for j, c := range list(v.(map[string]any)["changes"]) {
			change, at := c.(map[string]any), fmt.Sprintf("/variants/%d/changes/%d", i, j)
			if set, ok := change["set"].(map[string]any); ok {
				n.position(set, places[text(change["designator"])], at+"/set")
			}
			if fit, ok := change["fit"].(map[string]any); ok {
				n.position(fit, nil, at+"/fit")
			}
		}
	}
	for i, c := range list(doc["checks"]) {
		check := c.(map[string]any)
		expect, _ := check["expect"].(map[string]any)
		kind := expectKind(text(check["measure"]))
		n.quantity(expect, "min", kind, quantity.Context{Found: "list"}, fmt.Sprintf("/checks/%d/expect", i))
		n.quantity(expect, "max", kind, quantity.Context{Found: "list"}, fmt.Sprintf("/checks/%d/expect", i))
	}
}

func expectKind(measure string) quantity.Kind {
	switch measure {
	case "voltage":
		return quantity.Voltage
	case "current":
		return quantity.Current
	}
	return quantity.Resistance
}

func (n *normaliser) kit(doc map[string]any) {
	seen := map[float64]bool{}
	for i, l := range list(doc["lines"]) {
		line, at := l.(map[string]any), fmt.Sprintf("/lines/%d", i)
		if p, ok := line["part"].(map[string]any); ok {
			n.part(p, nil, at+"/part")
		}
		number, _ := line["line"].(float64)
		if seen[number] {
			n.findings = append(n.findings, finding.Finding{Code: "line-duplicate", Severity: finding.Stop,
				Pointer:  at + "/line",
				Sentence: message.Of("schema.line-duplicate", number), Found: fmt.Sprint(number)})
		}
		seen[number] = true
	}
}

// position normalises a position, or a merge patch on one, which is base then.
func (n *normaliser) position(pos, base map[string]any, pointer string) {
	was := object(base["part"])
	if p, ok := pos["part"].(map[string]any); ok {
		n.part(p, was, pointer+"/part")
	}
	if r, ok := pos["replacement"].(map[string]any); ok {
		if p, ok := r["part"].(map[string]any); ok {
			n.part(p, was, pointer+"/replacement/part")
		}
	}
	n.hotPlace(pos, base, pointer)
	n.quantity(pos, "working_voltage", quantity.Voltage, quantity.Context{Found: "list"}, pointer)
}

// hotPlace states what a document of this version leaves out. Before the schema
// knew hot_place, heat_sensitive was meant both ways and still counts so where
// hot_place is missing; a document that names the schema means the part alone.
func (n *normaliser) hotPlace(pos, base map[string]any, pointer string) {
	_, said := pos["hot_place"]
	if _, before := base["hot_place"]; said || before || !n.current || pos["heat_sensitive"] != true {
		return
	}
	pos["hot_place"] = false
	n.findings = append(n.findings, finding.Finding{Code: "hot-place-stated", Severity: finding.Note, Pointer: pointer,
		Expected: "hot_place false",
		Sentence: message.Of("schema.hot-place-stated-heat")})
}

// part normalises a part; what it does not say of its class is taken from base.
func (n *normaliser) part(p, base map[string]any, pointer string) {
	class, construction := text(p["class"]), text(p["construction"])
	if class == "" {
		class = text(base["class"])
		if construction == "" {
			construction = text(base["construction"])
		}
	}
	c := quantity.Context{Class: class, Construction: construction, Found: "list"}
	for i := range part.Members {
		switch m := &part.Members[i]; m.Holds {
		case part.Measure, part.Deviation:
			if kind, ok := m.KindOf(part.Class(class)); ok {
				n.quantity(p, m.Name, kind, c, pointer)
			} else {
				n.anyQuantity(p, m.Name, class, pointer)
			}
		case part.Capacity:
			n.breaking(p, m.Name, pointer)
		case part.Coils:
			n.windings(object(p[m.Name]), pointer+"/"+m.Name)
		}
	}
}

// breaking makes a breaking capacity canonical: a letter of IEC 60127, or a current.
func (n *normaliser) breaking(p map[string]any, member, pointer string) {
	s, ok := p[member].(string)
	if !ok {
		return
	}
	letter := strings.ToUpper(strings.TrimSpace(s))
	if _, err := part.ParseBreaking(letter); err != nil || len(letter) > 1 {
		n.quantity(p, member, quantity.Current, quantity.Context{Class: "fuse", Found: "list"}, pointer)
		if _, err := part.ParseBreaking(text(p[member])); err != nil && finding.Worst(n.findings) != finding.Stop {
			n.refuse("quantity-unreadable", pointer+"/"+member, s, message.Of("schema.reason", err))
		}
		return
	}
	if letter != s {
		p[member], n.changed = letter, true
		n.findings = append(n.findings, respelt(s, letter, pointer+"/"+member))
	}
}

// windings makes the windings of a transformer canonical: voltages or, for
// signals, impedances.
func (n *normaliser) windings(w map[string]any, pointer string) {
	for _, side := range []string{"primary", "secondary"} {
		l := list(w[side])
		for i, v := range l {
			at := map[string]any{"": v}
			kind := quantity.Voltage
			if _, err := reading.Quantity(text(v), kind, quantity.Context{Found: "list"}); err != nil {
				if _, err := reading.Quantity(text(v), quantity.Resistance,
					quantity.Context{Found: "list"}); err == nil {
					kind = quantity.Resistance
				}
			}
			n.quantity(at, "", kind, quantity.Context{Found: "list"}, fmt.Sprintf("%s/%s/%d", pointer, side, i))
			l[i] = at[""]
		}
	}
}

// quantity makes one member canonical, or says why it can't. What is not sure is
// refused with what was read: nothing is stored as something else.
func (n *normaliser) quantity(obj map[string]any, member string, kind quantity.Kind, c quantity.Context,
	pointer string) {
	s, ok := obj[member].(string)
	if !ok || n.faults > maxFindings {
		return
	}
	read, err := reading.Quantity(s, kind, c)
	readings := read.Amounts
	if err == nil && read.Sure && readings[0].Canonical() == s {
		return
	}
	if member != "" {
		pointer += "/" + member
	}
	if err != nil {
		n.refuse("quantity-unreadable", pointer, s, unreadable(err))
		return
	}
	if len(readings) > 1 {
		n.refuse("quantity-ambiguous", pointer, s, message.Of("schema.quantity-ambiguous", s, len(readings),
			spellings(readings)))
		return
	}
	r := readings[0]
	canonical := r.Canonical()
	if !read.Sure && !r.Alternating() {
		n.refuse("quantity-unsure", pointer, s, unsure(s, canonical, r.Doubts))
		return
	}
	for _, d := range r.Doubts {
		n.findings = append(n.findings, finding.Finding{Code: "quantity-doubtful", Severity: finding.Caution,
			Pointer:  pointer,
			Sentence: message.Of("schema.quantity-doubtful", s, canonical, d), Expected: canonical, Found: s})
	}
	if canonical == s { // doubtful all the same
		return
	}
	obj[member], n.changed = canonical, true
	n.findings = append(n.findings, respelt(s, canonical, pointer))
}

func respelt(s, canonical, pointer string) finding.Finding {
	return finding.Finding{Code: "quantity-respelt", Severity: finding.Note, Pointer: pointer,
		Sentence: message.Of("schema.quantity-respelt", s, canonical), Expected: canonical, Found: s}
}

// anyQuantity admits any canonical quantity as the value of a class that has
// no kind of value of its own.
func (n *normaliser) anyQuantity(obj map[string]any, member, class, pointer string) {
	s, ok := obj[member].(string)
	if !ok {
		return
	}
	if _, err := quantity.Parse(s); err != nil {
		n.refuse("quantity-unreadable", pointer+"/"+member, s,
			message.Of("schema.quantity-unreadable", class, s))
	}
}

func (n *normaliser) refuse(code, pointer, found string, sentence message.Message) {
	n.faults++
	n.findings = append(n.findings, finding.Finding{Code: code, Severity: finding.Stop, Pointer: pointer,
		Sentence: sentence, Found: found})
}

func unreadable(err error) message.Message {
	var re *reading.Refusal
	if errors.As(err, &re) {
		return message.Of("schema.reason", re.Say())
	}
	return message.Of("schema.reason", err)
}

// unsure says what a text may be, with the doubts of the reading.
func unsure(text, canonical string, doubts []message.Message) message.Message {
	if len(doubts) == 0 {
		return message.Of("schema.quantity-unsure", text, canonical)
	}
	return message.Of("schema.quantity-unsure-since", text, canonical, message.Words(doubts))
}

func spellings(readings []reading.Amount) string {
	s := make([]string, len(readings))
	for i, r := range readings {
		s[i] = r.Canonical()
	}
	return strings.Join(s, ", ")
}

func list(v any) []any { l, _ := v.([]any); return l }

func text(v any) string { s, _ := v.(string); return s }
