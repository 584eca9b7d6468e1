package kit

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"boardlore/domain/fault"
	"boardlore/domain/list"
	"boardlore/domain/part"
	"boardlore/domain/placement"
	"boardlore/domain/quantity"
)

// Problem is a line of a list that a person should look at.
type Problem struct {
	Line   int    `json:"line"`   // of the text, from 1
	Text   string `json:"text"`   // what stands there
	Reason string `json:"reason"` // what is wrong and what was done
}

// Sentence tells the problem with its place.
func (p Problem) Sentence() string { return fmt.Sprintf("Row %d, %q: %s", p.Line, p.Text, p.Reason) }

// ListTitle is the title of a kit out of a list, which has none itself.
const ListTitle = "Kit from a list"

// ReadList makes a kit of a list as people keep them: comma, semicolon or tab
// separated with headings in any order (English, German, French) or without,
// or one part a line. Every line becomes a line of the kit, with the text that
// stands there; what can't be read as a part, or lacks a quantity, is a problem
// as well. Remarks and what stands above the headings become problems only.
//
// Lines are numbered by the list's own numbers where it has any, else by the
// line of the text. The kit has no ID.
func ReadList(data []byte) (*Kit, []Problem) {
	t := list.Read(data)
	r := listReader{table: t, kit: &Kit{Title: ListTitle, Lines: []Line{}}}
	for _, p := range t.Problems {
		r.problem(p.Line, p.Text, p.Reason)
	}
	for _, s := range t.Skipped {
		r.problem(s.Line, strings.Join(s.Cells, " "), "This stands above the headings or is a remark, and was left out.")
	}
	if n := len(t.Rows); n > MaxLines+1 {
		r.problem(t.Rows[MaxLines].Line, "", fmt.Sprintf("The list has %d rows and a kit at most %d lines; split it. Nothing from here on was read.", n, MaxLines))
		r.table.Rows = t.Rows[:MaxLines+1] // one too many, so that it is no kit
	}
	r.columns()
	for i := range r.table.Rows {
		r.row(&r.table.Rows[i])
	}
	slices.SortStableFunc(r.problems, func(a, b Problem) int { return a.Line - b.Line })
	return r.kit, r.problems
}

type listReader struct {
	table    list.Table
	kit      *Kit
	problems []Problem

	number, quantity, designators int // columns, -1 for none
	texts                         []textColumn
}

// textColumn is a column that tells something of the part.
type textColumn struct {
	at   int
	unit string // added to a bare number
}

func (r *listReader) problem(line int, text, reason string) {
	r.problems = append(r.problems, Problem{Line: line, Text: text, Reason: reason})
}

// role is what a column is for.
type role uint8

const (
	roleNone role = iota
	roleNumber
	roleQuantity
	roleDesignators
	roleValue
	roleRating
	roleText
	rolePackage
	roleUnsure // designators or a description: the cells decide
	roleAside  // of the trade, not of the part
	roleType   // a type or order number: tells of the part where nothing else does
)

// roles are the headings of parts lists, folded; common practice. Some words
// stand for one thing here and for another there; those are unsure.
var roles = map[string]role{}

// ratingUnits are added to a bare number below a heading.
var ratingUnits = map[string]string{}

func init() {
	for r, words := range map[role]string{
		roleNumber: "item no nr num line zeile ligne id index lfdnr",
		roleQuantity: "qty quantity quantities count menge anzahl stuck stk stuckzahl quantite quantites qte nombre pcs pieces amount qtyper qnty qnt " +
			"cantidad cant quantita qta quantidade qtd aantal antal mangd mengde maengde ilosc szt",
		roleDesignators: "designator designators ref refs refdes reference references referencedesignator referencedesignators bezeichner referenz referenzen " +
			"repere reperes location locations referencia referencias designador designadores riferimento riferimenti referentie referenties beteckning betegnelse oznaczenie",
		roleValue: "value val values wert werte valeur valeurs comment partvalue valor valores valore valori waarde varde vaerdi verdi wartosc nennwert " +
			"capacitance kapazitat capacite capacidad capacita capaciteit kapacitans kapacitet resistance widerstand resistencia resistenza weerstand inductance induktivitat farad ohm ohms",
		roleRating: "voltage spannung nennspannung tension tolerance toleranz power leistung puissance temperature temperatur temp current strom courant " +
			"dielectric dielektrikum rating ratings tol volt volts spannungsfestigkeit voltaje tensione tensao spanning napiecie tolerancia tolleranza tolerantie " +
			"potencia potenza vermogen effekt temperatura temperatuur corriente corrente stroom",
		roleText: "description desc beschreibung designation text type typ artikel component components descripcion descrizione omschrijving beskrivning " +
			"beskrivelse descricao opis componente componenti onderdeel komponent komponente technology technologie construction bauart",
		rolePackage: "package case gehause bauform boitier size grosse taille mount mounting montage footprint empreinte encapsulado contenitore behuizing kapsling obudowa",
		roleUnsure:  "part parts bauteil bauteile bauelement bezeichnung bezeichnungen name position positionen pos teil teile",
		roleType:    "mpn sku partno partnumber partnr bestellnummer bestellnr ordernumber orderno articleno artikelnummer artikelnr manufacturerpartnumber mfrpartnumber",
		roleAside: "manufacturer hersteller fabricant mfr supplier lieferant fournisseur distributor order price preis prix cost unit total " +
			"stock datasheet link url note notes remark remarks bemerkung bemerkungen kommentar remarque remarques dnp populate fitted",
	} {
		for _, w := range strings.Fields(words) {
			roles[w] = r
		}
	}
	for unit, words := range map[string]string{
		"V": "voltage spannung nennspannung tension volt volts spannungsfestigkeit voltaje tensione tensao spanning napiecie",
		"%": "tolerance toleranz tol tolerancia tolleranza tolerantie", "W": "power leistung puissance potencia potenza vermogen effekt",
		"°C": "temperature temperatur temp temperatura temperatuur", "A": "current strom courant corriente corrente stroom",
	} {
		for _, w := range strings.Fields(words) {
			ratingUnits[w] = unit
		}
	}
}

// columns finds out what each column is for.
func (r *listReader) columns() {
	r.number, r.quantity, r.designators = -1, -1, -1
	if r.table.Header == nil {
		r.guess()
		return
	}
	of := make([]role, len(r.table.Header))
	for i, h := range r.table.Header {
		of[i] = heading(h)
	}
	r.take(of, exactly)
	r.take(of, roughly)
	var unused []string
	for i, x := range of {
		switch {
		case x == roleUnsure:
			of[i] = r.settle(i)
		case x == roleNone && r.all(i, isPart):
			of[i] = roleText
		case x == roleNone && r.all(i, isAnything):
			unused = append(unused, r.table.Header[i])
		}
	}
	if unused != nil {
		r.problem(r.table.Line, strings.Join(unused, ", "), "Nothing was made of what stands below these headings; if it tells of the part, call the column Description.")
	}
	for _, x := range []role{roleValue, roleRating, roleText, rolePackage, roleType} {
		for i, y := range of {
			if x == y && (x != roleType || r.texts == nil) {
				r.texts = append(r.texts, textColumn{i, unitOf(r.table.Header[i])})
			}
		}
	}
}

// take picks the columns that there may be only one of, the first that passes:
// a heading that is just the word goes before one of several words.
func (r *listReader) take(of []role, passes func(heading string) bool) {
	for i, x := range of {
		if !passes(r.table.Header[i]) {
			continue
		}
		switch {
		case x == roleNumber && r.number < 0:
			r.number = i
		case x == roleQuantity && r.quantity < 0:
			r.quantity = i
		case x == roleDesignators && r.designators < 0:
			r.designators = i
		}
	}
}

func exactly(heading string) bool { return roles[list.Fold(heading)] != roleNone }
func roughly(string) bool         { return true }

// heading gives the role of a heading: of the whole, without its unit in
// brackets, or of its first word that has one. Words of the trade go before
// all others, since a price per piece is no quantity.
func heading(h string) role {
	if x, ok := roles[list.Fold(h)]; ok {
		return x
	}
	if at := strings.IndexAny(h, "([/"); at > 0 {
		h = h[:at]
	}
	first := roleNone
	for _, w := range list.Words(h) {
		x := roles[w]
		if x == roleAside {
			return roleAside
		}
		if first == roleNone {
			first = x
		}
	}
	return first
}

// unitOf is the unit that a heading gives its column: in brackets, or the usual
// one of the rating.
func unitOf(h string) string {
	if at := strings.IndexAny(h, "(["); at > 0 {
		if unit := strings.Trim(h[at:], "()[] "); unit != "s" {
			return unit
		}
		h = h[:at]
	}
	unit := ""
	for _, w := range list.Words(h) {
		switch {
		case units[w] != "":
			return units[w]
		case unit == "":
			unit = ratingUnits[w]
		}
	}
	return unit
}

// units that stand in headings, folded.
var units = map[string]string{"pf": "pF", "nf": "nF", "uf": "µF", "µf": "µF", "μf": "µF", "ohm": "Ω", "ohms": "Ω", "ω": "Ω", "kohm": "kΩ", "kω": "kΩ",
	"uh": "µH", "µh": "µH", "mh": "mH", "v": "V", "w": "W", "ma": "mA"}

func isAnything(string) bool { return true }

// isPart reports whether a cell tells something of a part.
func isPart(text string) bool {
	_, err := readPart(text, quantity.Context{Found: "list"})
	return err == nil && !bareNumber.MatchString(text)
}

// settle decides by its cells what an unsure column is for.
func (r *listReader) settle(i int) role {
	switch {
	case r.designators < 0 && r.all(i, isDesignators):
		r.designators = i
		return roleDesignators
	case r.all(i, isCount):
		if r.number < 0 {
			r.number = i
		}
		return roleNumber
	}
	return roleText
}

// guess finds the columns of a list without headings by their cells; a list
// of one text a line has just one column.
func (r *listReader) guess() {
	if r.table.Delimiter == 0 {
		r.texts = []textColumn{{at: 0}}
		return
	}
	if rest := r.table.Rows[1:]; len(rest) > 0 && r.strange() {
		r.problem(r.table.Rows[0].Line, strings.Join(r.table.Rows[0].Cells, " "), "This was taken for headings of which none is known; the columns were told by what stands in them.")
		r.table.Rows = rest
	}
	var counts []int
	for i := range r.table.Rows[0].Cells {
		switch {
		case r.all(i, isCount):
			counts = append(counts, i)
		case r.designators < 0 && r.all(i, isDesignators):
			r.designators = i
		default:
			r.texts = append(r.texts, textColumn{at: i})
		}
	}
	if len(counts) > 1 && r.running(counts[0]) {
		r.number, counts = counts[0], counts[1:]
	}
	if len(counts) > 0 {
		r.quantity = counts[0]
	}
}

// strange reports whether the first row holds headings in words that are not
// known: nothing in it is a part or a number, and below it some column counts.
func (r *listReader) strange() bool {
	for _, c := range r.table.Rows[0].Cells {
		if strings.ContainsAny(c, "0123456789") || isPart(c) {
			return false
		}
	}
	below := listReader{table: list.Table{Rows: r.table.Rows[1:]}}
	for i := range r.table.Rows[0].Cells {
		if below.all(i, isCount) || below.all(i, isDesignators) {
			return true
		}
	}
	return false
}

// all reports whether a test holds for every cell of a column that has
// something in it, and for one at least.
func (r *listReader) all(column int, test func(string) bool) bool {
	some := false
	for i := range r.table.Rows {
		c := cell(&r.table.Rows[i], column)
		if c == "" {
			continue
		}
		if !test(c) {
			return false
		}
		some = true
	}
	return some
}

// running reports whether a column counts 1, 2, 3 …
func (r *listReader) running(column int) bool {
	for i := range r.table.Rows {
		if cell(&r.table.Rows[i], column) != strconv.Itoa(i+1) {
			return false
		}
	}
	return true
}

func cell(r *list.Row, column int) string {
	if column < 0 || column >= len(r.Cells) {
		return ""
	}
	return r.Cells[column]
}

var (
	countText  = regexp.MustCompile(`(?i)^(\d{1,6})(?:[.,]0+)?\s*(?:x|×|\*|pcs?|pieces?|ea|off|stk|st|stück|stueck|pi[eè]ces?)?\.?$`)
	leading    = regexp.MustCompile(`(?i)^(\d{1,6})\s*(?:x|×|\*|pcs|pieces|off|stk|st|stück|stueck|pi[eè]ces?)\.?\s`)
	designator = regexp.MustCompile(`^[A-Za-z]{1,4}\d{1,5}[A-Za-z]?$`)
	trailing   = regexp.MustCompile(`(?i)\pL\s+(?:x|×|\*)\s*(\d{1,6}) $`) // not the 5 x 11 of an outside
	bareNumber = regexp.MustCompile(`^[+-]?\d+(?:[.,]\d+)?$`)

	designatorList = `[A-Z]{1,4}\d{1,5}(?:\s*(?:[-–…,;/ ]|\.\.\.?)\s*(?:[A-Z]{1,4})?\d{1,5})*`
	before         = regexp.MustCompile(`^(` + designatorList + `)\s*[:=]\s*(.+)$`)
	bracketed      = regexp.MustCompile(`^(.+?)\s*[(\[](` + designatorList + `)[)\]]$`)
	bareLabel      = regexp.MustCompile(`^(?:[A-Z]{1,3}\d{1,4}(?:[-–…,;/]|\.\.\.?)?)+(?:[,-]?\d{1,4})*[,;]?$`)
	behind         = regexp.MustCompile(`^(.+?)\s(?:for|für|fuer|pour|->|→)\s*(` + designatorList + `)$`)
)

func count(text string) (int, bool) {
	m := countText.FindStringSubmatch(text)
	if m == nil {
		return 0, false
	}
	n, err := strconv.Atoi(m[1])
	return n, err == nil && n <= maxQuantity
}

func isCount(text string) bool { _, ok := count(text); return ok }

func isDesignators(text string) bool {
	ds, err := list.Designators(text)
	if err != nil || len(ds) == 0 {
		return false
	}
	for _, d := range ds {
		if !designator.MatchString(d) {
			return false
		}
	}
	return true
}

// row makes a line of the kit out of a row.
func (r *listReader) row(x *list.Row) {
	if isTotal(x) {
		r.problem(x.Line, strings.Join(strings.Fields(strings.Join(x.Cells, " ")), " "), "This was taken for a total and left out.")
		return
	}
	l := Line{Line: r.lineNumber(x), Text: r.text(x)}
	labels := cell(x, r.designators)
	if r.table.Delimiter == 0 && l.Text != "" {
		l.Text, labels = splitLabels(l.Text)
	}
	if labels != "" {
		ds, err := list.Designators(labels)
		if l.Designators = ds; err != nil {
			r.problem(x.Line, labels, fmt.Sprintf("These are not all designators: %v; write them like C1, C3-C5.", err))
		}
	}
	empty := l.Text == ""
	if empty {
		l.Text = strings.Join(strings.Fields(strings.Join(x.Cells, " ")), " ")
		r.problem(x.Line, l.Text, "No part stands in this line; it was kept as it is.")
	}
	if n := []rune(l.Text); len(n) > part.MaxText {
		r.problem(x.Line, string(n[:60])+"…", fmt.Sprintf("The text is longer than %d characters; the rest was cut off.", part.MaxText))
		l.Text = string(n[:part.MaxText])
	}
	says, read := 0, false
	if !empty {
		says, read = r.check(x.Line, &l)
	}
	l.Quantity = r.count(x, &l, says, read)
	r.kit.Lines = append(r.kit.Lines, l)
}

var total = regexp.MustCompile(`(?i)^(?:sub-?|grand )?(?:total|totals|sum|summe|gesamt|somme|suma|totale|totaal|summa)\s*[:=]?\s*\d*$`)

// isTotal reports whether a row adds up those above it: the word and numbers,
// and no part.
func isTotal(x *list.Row) bool {
	return slices.ContainsFunc(x.Cells, total.MatchString) && !slices.ContainsFunc(x.Cells, func(c string) bool { return c != "" && isPart(c) })
}

// lineNumber is the list's own number where all its lines have different ones.
func (r *listReader) lineNumber(x *list.Row) int {
	if r.number >= 0 && r.numbered() {
		n, _ := strconv.Atoi(cell(x, r.number))
		return n
	}
	return x.Line
}

func (r *listReader) numbered() bool {
	seen := make(map[string]bool, len(r.table.Rows))
	for i := range r.table.Rows {
		c := cell(&r.table.Rows[i], r.number)
		if n, err := strconv.Atoi(c); err != nil || n < 1 || n > 1000000 || seen[c] {
			r.number = -1 // no use asking again
			return false
		}
		seen[c] = true
	}
	return true
}

// text joins what the row says of the part. A cell that another repeats, and
// a footprint out of a library, add nothing.
func (r *listReader) text(x *list.Row) string {
	var pieces []string
	for _, c := range r.texts {
		s := strings.Join(strings.Fields(cell(x, c.at)), " ")
		if s == "" || strings.Contains(s, "_") && len(pieces) > 0 {
			continue
		}
		if c.unit != "" && bareNumber.MatchString(s) {
			s += " " + c.unit
		}
		if slices.ContainsFunc(pieces, func(p string) bool { return within(s, p) }) {
			continue
		}
		repeats := func(p string) bool { return within(p, s) }
		pieces = append(slices.DeleteFunc(pieces, repeats), s)
	}
	return strings.Join(pieces, " ")
}

// within reports whether all words of a text stand in another, in a row.
func within(text, other string) bool {
	return strings.Contains(" "+strings.ToLower(other)+" ", " "+strings.ToLower(text)+" ")
}

// splitLabels takes the designators off a line of text: "C1-C4: 47uF 16V",
// "47uF 16V for C1, C2", "47uF 16V C1 C2".
func splitLabels(text string) (rest, labels string) {
	if strings.ContainsAny(text, ":=") {
		if m := before.FindStringSubmatch(text); m != nil {
			return m[2], m[1]
		}
	}
	pattern := behind
	switch text[len(text)-1] {
	case ')', ']':
		pattern = bracketed
	case '0', '1', '2', '3', '4', '5', '6', '7', '8', '9':
	default:
		return bareLabels(text) // spares the patterns, which end in a figure
	}
	if m := pattern.FindStringSubmatch(text); m != nil {
		return m[1], m[2]
	}
	return bareLabels(text)
}

// bareLabels takes off the designators that stand before or behind the part
// with nothing between: "C1 10uF", "47uF 16V C1, C3-C5". They are designators
// where their letters are those of the part's class and the part reads the same
// without them, which D8 and L12 of a can are not.
func bareLabels(text string) (rest, labels string) {
	words := strings.Fields(text)
	first, last := 0, len(words)
	for first < last-1 && bareLabel.MatchString(words[first]) {
		first++
	}
	for last > 1 && bareLabel.MatchString(words[last-1]) {
		last--
	}
	for i := last; i < len(words); i++ {
		if sameWithout(text, words[:i], words[i]) {
			return strings.Join(words[:i], " "), strings.Join(words[i:], " ")
		}
	}
	for i := first; i > 0; i-- {
		if sameWithout(text, words[i:], words[0]) {
			return strings.Join(words[i:], " "), strings.Join(words[:i], " ")
		}
	}
	return text, ""
}

// sameWithout reports whether the words kept say the same part as the text, of
// the class that a designator says.
func sameWithout(text string, kept []string, designator string) bool {
	class := placement.ClassOf(designator)
	if class == part.Other || len(kept) == 0 {
		return false
	}
	short := strings.Join(kept, " ")
	free, err := readPart(short, quantity.Context{Found: "list"})
	if err != nil || len(ofClass(free.Readings, class)) == 0 {
		return false
	}
	c := quantity.Context{Found: "list", Class: string(class)}
	whole, err := readPart(text, c)
	if err != nil {
		return false
	}
	alone, err := readPart(short, c)
	return err == nil && slices.EqualFunc(whole.Readings, alone.Readings, func(a, b part.Reading) bool { return slices.Equal(said(&a), said(&b)) })
}

// said lists what a reading says, but for type numbers, for which the reader
// takes a designator beside one too.
func said(x *part.Reading) []string {
	var all []string
	for _, f := range x.Fields {
		if f.Member != "text" {
			all = append(all, f.Member+" "+f.Value)
		}
	}
	return all
}

// check reads the text as a part, to tell what can't be, and returns the
// quantity that the text itself names, 0 for none, and whether it was read.
func (r *listReader) check(at int, l *Line) (says int, read bool) {
	text, err := readPart(l.Text, quantity.Context{Found: "list"})
	if err != nil && len(l.Designators) > 0 {
		c := quantity.Context{Found: "list", Class: string(placement.ClassOf(l.Designators[0]))}
		text, err = readPart(l.Text, c)
	}
	if err != nil {
		reason := err.Error()
		if e, ok := fault.As(err); ok {
			reason = e.Detail
		}
		r.problem(at, l.Text, reason+" The line was kept as text.")
	}
	for i := range text.Readings {
		if n := text.Readings[i].Quantity; i > 0 && n != says {
			return 0, true
		} else {
			says = n
		}
	}
	return says, err == nil
}

// counted is the number before or behind a text that is no part, 0 for none.
func counted(text string) int {
	for _, pattern := range [...]*regexp.Regexp{leading, trailing} {
		if m := pattern.FindStringSubmatch(text + " "); m != nil {
			n, _ := strconv.Atoi(m[1])
			return n
		}
	}
	return 0
}

// count is how many parts the row stands for: its quantity, else what its text
// says, else the number of its designators.
func (r *listReader) count(x *list.Row, l *Line, says int, read bool) int {
	text := cell(x, r.quantity)
	n, ok := count(text)
	if text == "" && says == 0 {
		says = counted(l.Text)
	}
	switch {
	case ok:
		if d := len(l.Designators); d > 0 && d != n {
			r.problem(x.Line, text, fmt.Sprintf("The line counts %d but names %d designators.", n, d))
		}
		return n
	case text != "":
		r.problem(x.Line, text, "This is no quantity; write a whole number. The designators were counted instead, or none taken.")
		return len(l.Designators)
	case says > 0:
		return min(says, maxQuantity)
	case len(l.Designators) > 0:
		return len(l.Designators)
	}
	if read {
		r.problem(x.Line, l.Text, "No quantity stands here; 1 was taken.")
	}
	return 1
}
