package kit

import (
	"strings"
	"unicode"

	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// asides are words with which a row of a list speaks of the order, not of a
// part: its head, its sums, its carriage and tax, a greeting; in the languages
// that lists are read in. Common practice.
var asides = map[string]bool{}

func init() {
	for w := range strings.FieldsSeq(`
		order orders ordered invoice date customer delivery shipping postage carriage freight packing handling vat tax subtotal total sum page
		thank thanks dear hello hi regards sincerely cheers please tel phone fax email web www http https account payment discount quote quotation
		bestellung bestellnummer auftrag auftragsnummer rechnung rechnungsnummer lieferschein lieferung datum kunde kundennummer versand versandkosten
		porto verpackung mwst ust mehrwertsteuer umsatzsteuer zwischensumme summe gesamt gesamtbetrag seite danke vielen hallo grüße grüsse gruß gruss rabatt angebot
		commande facture livraison client port emballage frais tva total soustotal page merci bonjour cordialement remise devis
		pedido factura entrega fecha cliente envío envio gastos iva subtotal total gracias hola descuento
		ordine fattura consegna data cliente spedizione imballo iva totale subtotale grazie ciao saluti sconto
		factuur levering verzending verzendkosten verpakking btw totaal subtotaal bedankt groeten korting klant
		zamówienie zamowienie faktura dostawa wysyłka wysylka koszt razem suma dziękuję dziekuje klient rabat
		заказ счёт счет накладная доставка дата клиент ндс итого сумма спасибо здравствуйте скидка
		注文 注文書 請求書 納品書 送料 消費税 合計 小計 日付`) {
		asides[w] = true
	}
}

// aside reports whether a text plainly speaks of no part: the order's own words
// come first in it, or it has no figure and names no part, or a class alone as a
// heading does.
func aside(text string) bool {
	w := first(text)
	if asides[w] {
		return true
	}
	if strings.ContainsFunc(text, unicode.IsDigit) {
		return false
	}
	if w == "" {
		return false
	}
	read, err := part.Read(text, quantity.Context{Found: "list"})
	return err != nil || len(read.LeftOver) == 0
}

// first is the first word of a text that matters, without "your" or "plus"
// before it.
func first(text string) string {
	for w := range strings.FieldsFuncSeq(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }) {
		if !fillers[w] {
			return w
		}
	}
	return ""
}

var fillers = map[string]bool{}

func init() {
	for w := range strings.FieldsSeq("your the our ihre unsere votre le la su il uw incl inkl plus zzgl und and") {
		fillers[w] = true
	}
}
