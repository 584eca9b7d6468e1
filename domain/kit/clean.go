package kit

import (
	"regexp"
	"strconv"
	"strings"

	"boardlore/domain/list"
)

// nothing is what people write into a cell that says nothing.
var nothing = map[string]bool{"": true, "-": true, "–": true, "—": true, "--": true, "/": true, "n/a": true,
	"N/A": true, "?": true}

// absent are the words by which a list says that a part has not come; common
// practice.
var absent = regexp.MustCompile(`(?i)[(\[,;]?\s*(?:back-?\s?ordered|on back-?order|on order|out of stock|not included|missing|fehlt|not in stock|sold out|discontinued|cancell?ed|vergriffen|ausverkauft|storniert|épuisée?s?|annulée?s?|annullat[oi]|cancelad[oa]s?|geannuleerd|wyprzedan[eya]|anulowan[eya]|отмен[её]н[оаы]?|распродан[оаы]?|品切れ|売り?切れ|not (?:yet )?(?:delivered|available|supplied|received|here|arrived|come|in hand|there)|` +
	`to follow|(?:noch )?nicht (?:lieferbar|geliefert|vorrätig|verfügbar|auf lager|da|eingetroffen|angekommen)\b|im rückstand|rückstand|wird nachgeliefert|en rupture(?: de stock)?|(?:pas encore |non )(?:livrée?s?|arrivée?s?|reçue?s?|là)|non disponible|indisponible|` +
	`agotad[oa]s?|sin stock|no disponible|no entregad[oa]s?|non disponibil[ei]|esaurit[oi]|non consegnat[oi]|niet leverbaar|niet geleverd|uitverkocht|brak (?:w magazynie|towaru)|` +
	`niedostępn[eya]|нет в наличии|не поставлено|не поступило|под заказ|欠品|在庫なし|在庫切れ|入荷待ち|未入荷|未納)\s*[)\]]?`)

// absentSigns stand in every text that absent matches: looked for first, since
// most texts have none.
var absentSigns = tokensOf("order", "missing", "fehlt", "stock", "not ", "pas encore", "to follow", "nicht ", "rückstand",
	"nachgeliefert", "en rupture", "non ", "indisponible", "agotad", "sin stock", "no ", "esaurit",
	"niet ", "uitverkocht", "brak ", "niedost", "нет ", "не ", "под ", "sold out", "discontinued", "cancel",
	"vergriffen", "ausverkauft", "storniert", "puis", "annul", "wyprzedan", "anulow", "отмен", "распродан", "切れ", "欠品",
	"在庫", "入荷", "未")

// noughts are the ways to count none: 0 x, qty 0, x 0.
var noughts = regexp.MustCompile(`(?i)^0+\s*(?:[x×*]|pcs?|pieces|off|stk|st|stück|stueck|pi[eè]ces?|szt|шт|stuks?|pz|uds?|個)\.?\s+|` +
	`(?:^|[\s,;])(?:qty|quantity|menge|anzahl|quantité|cantidad|quantità|aantal)\.?\s*[:=]?\s*0+(?:[\s,;]+|$)|[\s,;]+[x×]\s*0+$`)

// inHand reports whether a text does not say that the part has not come.
func inHand(text string) bool {
	const looked = 2000 // bytes
	text = text[:min(len(text), looked)]
	return (!absentSigns.in(text) || !absent.MatchString(text)) && (!hasNought(text) || !noughts.MatchString(text))
}

// hasNought reports whether figures that are all nought stand in a text, as in every one that noughts matches.
func hasNought(text string) bool {
	for i := 0; i < len(text); i++ {
		from := i
		all := true
		for ; i < len(text) && text[i] >= '0' && text[i] <= '9'; i++ {
			all = all && text[i] == '0'
		}
		if i > from && all {
			return true
		}
	}
	return false
}

// present is a text without the words that say so, which tell nothing of the
// part.
func present(text string) string {
	if inHand(text) {
		return text
	}
	return strings.Join(strings.Fields(noughts.ReplaceAllString(absent.ReplaceAllString(text, " "), " ")), " ")
}

// Counters stand behind or before a count in languages whose words the reader of
// parts does not take for one.
var (
	countBehind = regexp.MustCompile(`^(.+?)[\s,;]*[x×*＊✕]?\s*(\d{1,6})\s*(?:個|コ|ケ|本|枚|шт\.?|szt\.?|stuks?|pezzi|pz\.?|uds?\.?|unidades|sztuk[ai]?)$`)
	countTimes  = regexp.MustCompile(`^(.*\pL)\s*[×✕＊]\s*(\d{1,6})$`)
	countBefore = regexp.MustCompile(`^(\d{1,6})\s*(?:個|コ|ケ|本|枚|шт\.?|szt\.?|stuks?|pezzi|pz\.?|uds?\.?|unidades|sztuk[ai]?)\s*[x×:]?\s*(.+)$`)
)

// packed is a count of a pack of like parts; common practice of sellers' titles.
var packed = regexp.MustCompile(`(?i)^(?:` + strings.Join(packs, "|") +
	`) (?:of|von|à|a|de|da) (\d{1,6})\s*[x×:,]?\s+(.+)$`)

var packs = []string{"pack", "packet", "bag", "box", "set", "lot", "strip", "reel", "card", "bundle", "beutel",
	"packung", "satz", "sachet", "confezione", "bolsa"}

var packWords = tokensOf(packs...)

var counters = tokensOf("個", "コ", "ケ", "本", "枚", "шт", "szt", "stuk", "pezzi", "pz", "ud", "unidades", "×", "✕", "＊")

// uncounted takes a count with such a counter off a text; 0 where there is none.
func uncounted(text string) (rest string, n int) {
	if packWords.in(text) {
		if m := packed.FindStringSubmatch(text); m != nil {
			n, _ = strconv.Atoi(m[1])
			return m[2], n
		}
	}
	if !counters.in(text) {
		return text, 0
	}
	if m := countBehind.FindStringSubmatch(text); m != nil {
		n, _ = strconv.Atoi(m[2])
		return m[1], n
	}
	if m := countTimes.FindStringSubmatch(text); m != nil {
		n, _ = strconv.Atoi(m[2])
		return m[1], n
	}
	if m := countBefore.FindStringSubmatch(text); m != nil {
		n, _ = strconv.Atoi(m[1])
		return m[2], n
	}
	return text, 0
}

// bareText is what a text says of the part alone: without its count, its labels
// and whether it has come.
func bareText(text string) string {
	text, _ = uncounted(present(text))
	text, _ = splitLabels(text)
	return text
}

var (
	bullet   = regexp.MustCompile(`^(?:[-–—*•·▪►✓✔☐☑+]|\[[ xX]?\])\s+`)
	numbered = regexp.MustCompile(`^(\d{1,3})([.):]?)\s+(.+)$`)
	ruling   = regexp.MustCompile(`^[-:=_ ]*$`)
)

// minNumbered is from how many lines on bare numbers 1 2 3 before them number
// them; fewer may count parts.
const minNumbered = 3

// unbulleted is a table's rows without what people put before lines to mark
// them as a list, and without rulings: dashes, tick boxes, 1. 2. 3.
func unbulleted(t list.Table) []list.Row {
	counted := t.Delimiter == 0 && len(t.Rows) > 1
	for i, r := range t.Rows {
		m := numbered.FindStringSubmatch(r.Cells[0])
		counted = counted && m != nil && m[1] == strconv.Itoa(i+1) && (m[2] != "" || len(t.Rows) >= minNumbered)
	}
	var out []list.Row
	for _, r := range t.Rows {
		if ruled(r) {
			continue
		}
		if t.Delimiter == 0 {
			text := bullet.ReplaceAllString(r.Cells[0], "")
			if counted {
				text = numbered.FindStringSubmatch(r.Cells[0])[3]
			}
			r.Cells = []string{text}
		}
		out = append(out, r)
	}
	return out
}

func ruled(r list.Row) bool {
	for _, c := range r.Cells {
		if !ruling.MatchString(c) {
			return false
		}
	}
	return true
}
