package list

import (
	"strings"
	"unicode"
)

// words are what headings of parts and placement lists are made of, folded by
// Fold: English, German and French, and of parts lists also Spanish, Italian,
// Portuguese, Dutch, Swedish, Danish, Norwegian and Polish. Common practice.
var words = map[string]bool{}

func init() {
	for _, w := range strings.Fields(`
		designator designators ref refs refdes reference references item no nr pos num id id line position
		bezeichner bezeichnung bezeichnungen referenz referenzen bauteil bauteile bauelement artikel teil teile repere reperes
		value val values wert werte valeur valeurs comment component components parts part name title
		description desc beschreibung designation text type typ
		qty quantity quantities count menge anzahl stuck stk stuckzahl quantite qte nombre pcs pieces amount number
		package footprint decal pattern case gehause bauform boitier empreinte size grosse taille
		x y mid center centre posx posy xpos ypos midx midy loc location locationx locationy coord coordinate
		centerx centery centrex centrey coordx coordy xcoord ycoord
		rot rotation angle orientation drehung winkel
		side layer seite lage face cote mount mounting montage technology
		mm mil mils in inch inches deg degrees thou
		length lange longueur width breite largeur height hohe hauteur diameter durchmesser diametre pitch raster pas
		voltage volt spannung tension nennspannung tolerance toleranz power leistung puissance current strom courant
		temperature temperatur temp dielectric dielektrikum rating ratings
		note notes remark remarks bemerkung bemerkungen kommentar remarque remarques
		qnty qnt each cantidad cant quantita qta quantidade qtd aantal antal mangd mengde maengde ilosc szt
		referencia referencias designador designadores riferimento riferimenti referentie referenties beteckning betegnelse oznaczenie
		valor valores valore valori waarde varde vaerdi verdi wartosc nennwert
		capacitance kapazitat capacite capacidad capacita capaciteit kapacitans kapacitet resistance widerstand resistencia resistenza weerstand
		inductance induktivitat farad ohm ohms tol volts spannungsfestigkeit voltaje tensione tensao spanning napiecie tolerancia tolleranza tolerantie
		potencia potenza vermogen effekt temperatura temperatuur corriente corrente stroom
		descripcion descrizione omschrijving beskrivning beskrivelse descricao opis componente componenti onderdeel komponent komponente technology
		technologie construction bauart encapsulado contenitore behuizing kapsling obudowa board platine manufacturer hersteller fabricant mpn mfr sku order bestellnummer price preis prix unit dnp populate fitted
		partvalue partdecal partnumber partname refdesignator referencedesignator tb per von de des du s`) {
		words[w] = true
	}
}

// Fold brings a heading into the form in which headings are compared: lower
// case, without accents, only letters and digits, and "(s)" of a plural as s.
// "Ref Des", "REFDES" and "ref_des" are one.
func Fold(s string) string {
	return strings.Join(tokens(s), "")
}

// unaccent takes the accents off the letters of these languages.
var unaccent = strings.NewReplacer("(s)", "s", "ä", "a", "ö", "o", "ü", "u", "é", "e", "è", "e", "ê", "e", "ë", "e", "à", "a", "â", "a",
	"î", "i", "ï", "i", "ô", "o", "û", "u", "ç", "c", "ß", "ss", "ø", "o",
	"á", "a", "í", "i", "ó", "o", "ú", "u", "ñ", "n", "ã", "a", "õ", "o", "ò", "o", "ù", "u", "ì", "i", "å", "a", "æ", "ae", "ą", "a", "ć", "c", "ę", "e", "ł", "l",
	"ś", "s", "ż", "z", "ź", "z")

// Words are the words of a heading, folded.
func Words(s string) []string { return tokens(s) }

func tokens(s string) []string {
	return strings.FieldsFunc(unaccent.Replace(strings.ToLower(s)), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// isHeading reports whether a cell reads as a heading: each word of it, or all
// of them together, is one.
func isHeading(cell string) bool {
	if len(cell) > 60 {
		return false
	}
	ts := tokens(cell)
	if len(ts) == 0 {
		return false
	}
	if words[strings.Join(ts, "")] {
		return true
	}
	for _, t := range ts {
		if !words[t] {
			return false
		}
	}
	return true
}

// searched is how many rows are looked through for headings: assembly tools
// put up to a page of remarks above them.
const searched = 60

// headings finds the row with the most headings, and how many it has; the
// first of equals. A row with a bare number in it has none.
func headings(rows []Row) (at, most int) {
	for i, r := range rows[:min(len(rows), searched)] {
		n := 0
		for _, c := range r.Cells {
			if isHeading(c) {
				n++
			}
			if bare(c) {
				n = -len(r.Cells)
			}
		}
		if n > most && 2*n >= filled(r.Cells) {
			at, most = i, n
		}
	}
	return at, most
}

func filled(cells []string) int {
	n := 0
	for _, c := range cells {
		if c != "" {
			n++
		}
	}
	return n
}

// bare reports whether a cell is a plain number.
func bare(cell string) bool {
	return cell != "" && strings.Trim(cell, "0123456789.,-+ ") == ""
}
