package list

import "strings"

// Heading is what a column of a list holds.
type Heading uint8

// What columns hold.
const (
	None Heading = iota
	Number
	Quantity
	Delivered // of what was ordered: what came
	Ordered   // what was ordered, whether or not it came
	Designator
	Value
	Rating
	Text
	Package
	Unsure // designators or a description: the cells decide
	Aside  // of the trade, not of the part
	Type   // a type or order number: tells of the part where nothing else does

	X // of placement lists
	Y
	CentreX
	CentreY
	Rotation
	Side
	Mount
	Length
	Width
)

// partsHeadings are the headings of parts lists, folded by Fold, in English,
// German, French, Italian, Spanish, Portuguese, Dutch, the Scandinavian
// languages, Polish, Russian and Japanese; common practice. Some words stand for
// one thing here and for another there; those are unsure.
var partsHeadings = lexicon(map[Heading]string{
	Number: "item no nr num line zeile ligne id index lfdnr riga fila regel lp poz пп no. 番号 項目 №",
	Quantity: "qty quantity quantities count menge anzahl stuck stk stuckzahl quantite quantites qte nombre pcs pieces amount qtyper qnty qnt " +
		"cantidad cant quantita qta quantidade qtd aantal antal mangd mengde maengde ilosc szt sztuk количество кол колво кво шт 数量 個数 員数 pezzi piezas stuks nb",
	Delivered: "delivered shipped received supplied sent geliefert erhalten gelieferte liefermenge livre livree livres recu recus expedie consegnato consegnati consegnata " +
		"spedito ricevuto entregado entregados recibido enviado geleverd ontvangen dostarczono dostarczone wyslano otrzymano поставлено отгружено получено 納入 納品 出荷",
	Ordered: "ordered bestellt bestellmenge commande commandee commandes ordinato ordinati ordinata pedido pedidos besteld zamowiono zamowione заказано 注文 発注",
	Designator: "designator designators ref refs refdes reference references referencedesignator referencedesignators bezeichner referenz referenzen " +
		"repere reperes location locations referencia referencias designador designadores riferimento riferimenti referentie referenties beteckning betegnelse oznaczenie oznaczenia " +
		"обозначение обозначения позобозначение позиция позиции 部品番号 記号 参照 回路記号 回路番号 sigla sigle positie posities posizione posizioni posicion posiciones",
	Value: "value val values wert werte valeur valeurs comment partvalue valor valores valore valori waarde varde vaerdi verdi wartosc nennwert " +
		"capacitance kapazitat capacite capacidad capacita capaciteit kapacitans kapacitet resistance widerstand resistencia resistenza weerstand inductance induktivitat farad ohm ohms " +
		"cap kap capa res ind pojemnosc rezystancja номинал значение емкость ёмкость сопротивление 値 定数 容量 抵抗値",
	Rating: "v voltage spannung nennspannung tension tolerance toleranz power leistung puissance temperature temperatur temp current strom courant " +
		"dielectric dielektrikum rating ratings tol volt volts spannungsfestigkeit voltaje tensione tensao spanning napiecie tolerancia tolleranza tolerantie tolerancja " +
		"potencia potenza vermogen effekt moc temperatura temperatuur corriente corrente stroom prad напряжение допуск мощность температура ток 耐圧 電圧 許容差 電力 温度 電流 定格",
	Text: "description desc beschreibung designation text type typ artikel component components descripcion descrizione omschrijving beskrivning " +
		"beskrivelse descricao opis componente componenti onderdeel komponent komponente technology technologie construction bauart artikelbezeichnung article articulo articolo " +
		"nazwa наименование описание тип название 品名 部品名 名称 種類 説明 tipo rodzaj",
	Package: "package case gehause bauform boitier size grosse taille mount mounting montage footprint empreinte encapsulado contenitore behuizing kapsling obudowa корпус размер サイズ 外形 パッケージ",
	Unsure:  "part parts bauteil bauteile bauelement bezeichnung bezeichnungen name position positionen pos teil teile pieza pezzo деталь 部品",
	Type: "mpn sku partno partnumber partnr bestellnummer bestellnr ordernumber orderno orderingcode articleno artikelnummer artikelnr manufacturerpartnumber mfrpartnumber " +
		"артикул 型番 型式 codice codigo",
	Aside: "manufacturer hersteller fabricant mfr supplier lieferant fournisseur distributor order price preis prix cost unit total fabricante produttore fabrikant producent " +
		"stock datasheet link url note notes remark remarks bemerkung bemerkungen kommentar remarque remarques dnp populate fitted einzelpreis gesamtpreis prezzo precio prijs cena цена " +
		"стоимость сумма производитель поставщик примечание 単価 金額 価格 メーカー 備考 backordered backorder status ruckstand lager bestand bestellung opmerking uwagi nota observaciones",
})

// placementHeadings are the headings of placement lists; common practice of
// assembly tools' lists.
var placementHeadings = lexicon(map[Heading]string{
	Designator: "designator designators ref refs refdes reference references refdesignator referencedesignator bezeichner bezeichnung referenz referenzen repere reperes partname name " +
		"riferimento riferimenti referencia referencias referentie referenties oznaczenie обозначение 部品番号 記号",
	Value:    "value val values comment partvalue wert werte valeur valeurs valore valor waarde wartosc номинал значение 値 定数",
	Text:     "description desc beschreibung designation part text type typ bauteil descrizione descripcion omschrijving opis наименование 品名",
	Package:  "package footprint partdecal decal pattern gehause bauform boitier case contenitore encapsulado behuizing obudowa корпус パッケージ",
	X:        "x posx xpos xposition positionx midx locationx xlocation refx xcoord xcoordinate coordinatex xkoordinate coordx xmid x座標",
	Y:        "y posy ypos yposition positiony midy locationy ylocation refy ycoord ycoordinate coordinatey ykoordinate coordy ymid y座標",
	CentreX:  "centerx centrex xcenter xcentre bodyx",
	CentreY:  "centery centrey ycenter ycentre bodyy",
	Rotation: "rotation rot angle orientation drehung winkel rotationdeg rotationdegrees rotazione angolo rotacion angulo rotatie hoek obrot kat поворот угол 角度 回転",
	Side:     "side layer tb topbottom seite lage face cote mountside boardside lato cara zijde strona сторона 面",
	Mount:    "mount mounting mounttype montage montaggio montaje",
	Length:   "length lange longueur lunghezza longitud lengte dlugosc длина 長さ",
	Width:    "width breite largeur larghezza anchura breedte szerokosc ширина 幅",
	Quantity: "qty quantity count menge anzahl stuck quantite qte quantita cantidad aantal ilosc количество 数量",
})

// fillers stand in headings beside the word that matters, or in headings that
// tell nothing of the part.
var fillers = lookup("mid center centre loc coord coordinate ax mm mil mils in inch inches deg degrees thou height hohe hauteur diameter durchmesser diametre pitch raster pas " +
	"board platine prix each number partdecal rated per von de des du s a la le di del van w на в の uf nf pf µf μf kohm ohm")

func lexicon(of map[Heading]string) map[string]Heading {
	out := map[string]Heading{}
	for h, words := range of {
		for w := range strings.FieldsSeq(words) {
			out[Fold(w)] = h
		}
	}
	delete(out, "")
	return out
}

func lookup(words string) map[string]bool {
	out := map[string]bool{}
	for w := range strings.FieldsSeq(words) {
		out[w] = true
	}
	return out
}

// PartsHeading is what a folded word heads in a parts list.
func PartsHeading(word string) Heading { return partsHeadings[word] }

// PlacementHeading is what a folded word heads in a placement list.
func PlacementHeading(word string) Heading { return placementHeadings[word] }

// known reports whether a folded word stands over columns of some list. That
// the row of headings is found by the very words by which they are read is why
// there is one lexicon.
func known(word string) bool {
	return partsHeadings[word] != None || placementHeadings[word] != None
}
