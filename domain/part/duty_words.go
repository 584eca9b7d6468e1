package part

import (
	"strings"

	"boardlore/domain/message"
)

// Function is a word for what a position does that the rules know.
type Function struct {
	Name  string          `json:"name"`  // the word to use in a map
	Means message.Message `json:"means"` // what it asks of the part
}

// Functions are all of them. Any other text that Place.Function holds is kept
// but counts as an unknown function.
func Functions() []Function {
	out := make([]Function, len(functions))
	for i, f := range functions {
		out[i] = Function{f.name, message.Of("function." + f.name)}
	}
	return out
}

// vocabulary is what says a duty, or tells duties apart.
type vocabulary struct {
	duty  Duty
	name  string   // of a function that the rules know
	stems []string // beginnings of the words that say so, in lower case; with "." whole words, with "*" found anywhere
}

// functions are the words of the functions. Stems of three letters or fewer
// stand for whole words.
var functions = []vocabulary{
	{Coupling, "coupling",
		[]string{"coupl", "koppel", "kopplung", "auskoppel", "einkoppel", "blocking", "liaison"}},
	{Decoupling, "decoupling",
		[]string{"decoupl", "découpl", "bypass", "entkoppl", "abblock", "stütz", "stuetz"}},
	{Bulk, "bulk",
		[]string{"bulk", "smooth", "reservoir", "réservoir", "glätt", "glaett", "sieb", "ladeelko", "ladekond",
			"puffer", "lissage", "filtrage", "tampon", "holdup"}},
	{Timing, "timing",
		[]string{"timing", "timer", "time", "delay", "sweep", "zeit", "verzöger", "verzoeger", "temporis", "minuterie",
			"retard", "ramp", "soft", "integrat", "intégrat"}},
	{Oscillator, "oscillator",
		[]string{"oscill", "oszill", "tuning", "tuned", "tank", "quarz", "quartz", "crystal", "schwing", "accord",
			"xtal", "vco", "pll"}},
	{Filter, "filter",
		[]string{"filter", "filtre", "filtro", "equal", "crossover", "weiche", "tone", "klang", "compens", "kompens",
			"feedback", "gegenkoppl", "bandpass", "tiefpass", "hochpass", "lowpass", "highpass", "pass"}},
	{Reset, "reset",
		[]string{"reset", "rückstell", "rueckstell", "réinit", "reinit", "watchdog"}},
	{Hold, "hold",
		[]string{"hold", "sample", "sampl", "haltegl", "halteko", "échantill", "echantill"}},
	{Snubber, "snubber",
		[]string{"snub", "dämpf", "daempf", "amortiss", "damp"}},
	{MotorRun, "motor-run", []string{"motorrun", "motorkond"}},
	{RegulatorOutput, "regulator-output", nil},
	{SwitchingOutput, "switching-output", nil},
	{SupplyInput, "supply-input", nil},
	{Backup, "backup",
		[]string{"backup", "memory", "rtc", "clock", "speicher", "uhr", "secours", "sauvegarde", "mémoire", "memoire"}},
	{Charged, "charged-backup",
		[]string{"charg", "rechargeable", "trickle", "ladung", "geladen", "laden", "ladeschalt", "aufgeladen",
			"aufladbar", "wiederauflad", "nachlad", "erhaltungslad",
			"*akku", "accu.", "accus.", "accumul", "accupack", "acumul", "recargab", "ricaric", "caricabatt", "oplaad",
			"herlaad", "oplad", "uppladd", "akumul",
			"nicd", "nicad", "nimh", "ni", "bleiakku", "bleigel", "leadacid", "acid."}},
	{MainsX, "mains-x", []string{"mainsx"}},
	{MainsY, "mains-y", []string{"mainsy"}},
	{PullUp, "pull-up", []string{"pull"}},
	{Bleeder, "bleeder", []string{"bleed", "entlade", "décharge", "decharge", "discharge"}},
	{Indicator, "indicator", []string{"led", "indicator", "anzeige", "voyant"}},
	{Measuring, "measuring",
		[]string{"measur", "mess", "sens", "sensor", "sensing", "sense.", "shunt", "fühler", "fuehler", "sonde",
			"capteur", "divider", "spannungsteiler", "diviseur", "precision", "präzision", "reference.", "referenz"}},
	{SeriesString, "series-string", []string{"string", "series", "serien", "reihe", "série", "serie.", "lichterkette",
		"guirlande"}},
	{MainsSide, "mains-side", []string{"mainsside"}},
	{MainsLikely, "suppression",
		[]string{"suppression"}},
	{NickelCell, "nickel-cell", []string{"nicd", "nicad", "nimh", "ni", "nickel"}},
	{LeadCell, "lead-acid-cell", []string{"bleiakku", "bleigel", "leadacid", "acid.", "plomb", "piombo", "plomo"}},
}

// helpers are words that only tell duties apart. Those for the mains stand in
// every language that lists are read in, since a word that is missed there is
// the one that costs most.
var helpers = []vocabulary{
	{duty: aboutOutput, stems: []string{"output.", "out.", "ausgang.", "ausgangs.", "sortie."}},
	{duty: aboutInput, stems: []string{"input.", "in.", "eingang.", "eingangs.", "entrée.", "entree."}},
	{duty: aboutSupply, stems: []string{"supply", "power", "psu", "rail", "rectif", "ripple", "netzteil", "netzger",
		"versorg", "gleichricht", "alimentation", "alimentaz", "aliment", "redress"}},
	{duty: aboutRegulator, stems: []string{"regulator", "ldo", "regler", "spannungsregler", "festspannungsregler",
		"régulat", "regulat"}},
	{duty: aboutSwitching, stems: []string{"switching", "switcher", "switchmode", "smps", "buck", "boost", "converter",
		"schaltregler", "schaltnetz", "wandler", "découpage", "decoupage", "flyback", "chopper", "dcdc"}},
	{duty: aboutMains, stems: []string{"mains", "netz", "secteur", "rete.", "réseau", "reseau", "lichtnet", "netspann",
		"netfilter", "netaansl", "netzekering", "nätfilter", "nätspänn", "nätsäkr", "netstøj", "net.", "rede.",
		"inlet", "kaltger", "230v.", "230vac.", "240v.", "240vac.", "220v.", "220vac.", "120vac.", "115vac.", "110vac.",
		"sieci"}},
	{duty: notMains, stems: []string{"netzteil", "netzger", "netzwerk", "netzliste"}},
	{duty: aboutRed, stems: []string{"red"}},
	{duty: aboutSpanish, stems: []string{"de", "tensi", "fusible", "entrada", "corriente", "filtro", "entre", "fase."}},
	{duty: aboutLine, stems: []string{"line.", "ac", "línea.", "linea.", "ligne.", "powerline"}},
	{duty: aboutLive, stems: []string{"live", "hot", "l", "l1", "phase.", "fase.", "fas", "aussenleiter",
		"außenleiter"}},
	{duty: aboutNeutral, stems: []string{"n", "neutral", "neutr", "nulleiter", "nullleiter", "nul", "null.", "nolla."}},
	{duty: aboutEarth, stems: []string{"earth", "chassis", "châssis", "erde", "schutzleiter", "terre", "terra.",
		"tierra", "aarde", "jord", "pe", "gehäuse", "gehaeuse", "enclosure", "touchable", "telaio", "carcasa"}},
	{duty: aboutGround, stems: []string{"ground", "gnd", "masse", "massa"}},
	{duty: aboutAcross, stems: []string{"across", "between", "bridg", "zwischen", "über", "ueber", "entre", "tra",
		"fra", "tussen", "mellan", "parallel"}},
	{duty: aboutPrimary, stems: []string{"primary", "primär", "primaer", "primaire", "primari", "primair"}},
	{duty: aboutSecondary, stems: []string{"secondary", "sekundär", "sekundaer", "secondaire", "secundari", "secondari",
		"secundair"}},
	{duty: aboutBarrier, stems: []string{"barrier", "barrière", "barriere", "barrera", "trennstrecke",
		"isolationsstrecke", "isolierstrecke"}},
	{duty: aboutIsolation, stems: []string{"isolat", "isolier", "aislami", "isolament", "galvan", "potentialtrenn"}},
	{duty: aboutDiode, stems: []string{"schottky", "diode"}},
	{duty: aboutSound, stems: []string{"audio", "level", "stage", "signal", "delay", "sound", "preamp",
		"transmission"}},
	{duty: aboutSafety, stems: []string{"safety", "class", "suppress", "interference", "entstör", "entstoer",
		"störschutz", "stoerschutz", "antiparasit", "antidisturb", "emi", "rfi", "emc", "netzfilter", "netzentst",
		"ontstoor", "afstør", "avstör"}},
	{duty: aboutMotor, stems: []string{"motor", "moteur"}},
	{duty: aboutRun, stems: []string{"run.", "start.", "phase.", "betrieb."}},
	{duty: aboutUp, stems: []string{"up."}},
	{duty: aboutHum, stems: []string{"hum", "brumm", "notch", "ronfl"}},
	{duty: letterX, stems: []string{"x", "x1", "x2", "x3", "xcap"}},
	{duty: letterY, stems: []string{"y1", "y2", "y3", "y4", "ycap"}},
	{duty: spanishY, stems: []string{"y"}},
	{duty: aboutCapacitor, stems: []string{"cap", "caps.", "capacitor", "kondensator", "condensat", "condensador"}},
	{duty: negation, stems: []string{"no", "not", "non", "never.", "without.", "nicht.", "nie", "kein", "keine.",
		"ohne.", "pas", "sans.", "sin", "sem", "senza.", "niet.", "geen.", "ikke.", "inte.", "não.", "bez"}},
}

// foreign are the words of the functions in scripts of their own: Russian and
// Japanese; and what Dutch and Polish have beside the words above.
var foreign = []vocabulary{
	{duty: Coupling, stems: []string{"разделит", "переходн", "sprzęga", "結合", "カップリング"}},
	{duty: Decoupling, stems: []string{"развяз", "блокиров", "шунтир", "odsprzęga", "デカップ", "バイパス"}},
	{duty: Bulk, stems: []string{"сглаж", "накопит", "wygładza", "平滑"}},
	{duty: Timing, stems: []string{"времязада", "таймер", "задерж", "czasow", "時定数", "遅延"}},
	{duty: Oscillator, stems: []string{"генератор", "контур", "кварц", "発振", "同調"}},
	{duty: Filter, stems: []string{"фильтр", "filtr", "フィルタ"}},
	{duty: Reset, stems: []string{"сброс", "リセット"}},
	{duty: Snubber, stems: []string{"снаббер", "демпф", "スナバ"}},
	{duty: Backup, stems: []string{"памят", "часов", "pamięci", "geheugen", "メモリ", "時計", "バックアップ"}},
	{duty: Charged, stems: []string{"аккумул", "заряд", "заряж", "подзар", "ładowa", "充電", "蓄電"}},
	{duty: Bleeder, stems: []string{"разряд", "rozładow", "ontlaad", "放電"}},
	{duty: aboutMains, stems: []string{"сетев", "сеть.", "сети.", "220в.", "230в.", "netontst", "netfilter",
		"netspanning", "商用", "ac電源", "一次電源"}},
	{duty: aboutSafety, stems: []string{"помех", "zakłóce", "przeciwzakł", "netontst", "ノイズフィルタ", "雑音"}},
	{duty: aboutAcross, stems: []string{"между", "między", "間"}},
	{duty: aboutEarth, stems: []string{"земл", "заземл", "корпус", "uziem", "obudow", "アース", "接地", "筐体"}},
	{duty: aboutLive, stems: []string{"фаза.", "фазой.", "faza.", "活線"}},
	{duty: aboutNeutral, stems: []string{"нейтрал", "нулев", "ноль.", "中性"}},
	{duty: aboutPrimary, stems: []string{"первичн", "pierwotn", "一次側"}},
	{duty: aboutSecondary, stems: []string{"вторичн", "wtórn", "二次側"}},
	{duty: aboutIsolation, stems: []string{"изоляц", "гальванич", "izolac", "絶縁"}},
	{duty: aboutSupply, stems: []string{"питани", "выпрям", "zasil", "prostow", "voeding", "電源", "整流"}},
	{duty: negation, stems: []string{"не.", "без.", "geen."}},
}

type stem struct {
	text  string
	duty  Duty
	whole bool // the whole word
}

type innerStem struct {
	word []byte
	duty Duty
}

// stems lists all stems by first byte, so that a word meets only a few; inner those
// that are found anywhere in a word, as in compounds; unspaced the same for words
// of kana and ideographs.
var stems, inner, unspaced = func() (by [256][]stem, within, without []innerStem) {
	for _, list := range [3][]vocabulary{functions, helpers, foreign} {
		for _, f := range list {
			for _, s := range f.stems {
				if s[0] >= firstIdeograph {
					without = append(without, innerStem{[]byte(s), f.duty})
					continue
				}
				if rest, ok := strings.CutPrefix(s, "*"); ok {
					within = append(within, innerStem{[]byte(rest), f.duty})
					continue
				}
				text, dot := strings.CutSuffix(s, ".")
				by[s[0]] = append(by[s[0]], stem{text, f.duty, dot || len(text) <= 3})
			}
		}
	}
	return by, within, without
}()
