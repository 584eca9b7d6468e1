package part

import "strings"

// Function describes one duty that Place.Function is searched for.
type Function struct {
	Duty  Duty     `json:"-"`
	Name  string   `json:"name"`  // the word to use in a map
	Means string   `json:"means"` // what it asks of the part
	Stems []string `json:"stems"` // beginnings of the words that say so, in lower case; with "." whole words, with "*" found anywhere
}

// Functions are the functions that the rules know, for the map's schema and
// the pages. Any other text is kept but counts as an unknown function. Stems of
// three letters or fewer stand for whole words.
var Functions = []Function{
	{Coupling, "coupling", "passes a signal: capacitance not below, up to twice the original",
		[]string{"coupl", "koppel", "kopplung", "auskoppel", "einkoppel", "blocking", "liaison"}},
	{Decoupling, "decoupling", "keeps a supply quiet: 0.8 to 1.5 times the original, to 2.5 times with a look",
		[]string{"decoupl", "découpl", "bypass", "entkoppl", "abblock", "stütz", "stuetz"}},
	{Bulk, "bulk", "smoothing or reservoir: 0.8 to 1.5 times the original, to 2.5 times with a look",
		[]string{"bulk", "smooth", "reservoir", "réservoir", "glätt", "glaett", "sieb", "ladeelko", "ladekond", "puffer", "lissage", "filtrage", "tampon", "holdup"}},
	{Timing, "timing", "sets a time: equal value, tolerance no wider",
		[]string{"timing", "timer", "time", "delay", "sweep", "zeit", "verzöger", "verzoeger", "temporis", "minuterie", "retard", "ramp", "soft", "integrat", "intégrat"}},
	{Oscillator, "oscillator", "sets a frequency: equal value, tolerance no wider",
		[]string{"oscill", "oszill", "tuning", "tuned", "tank", "quarz", "quartz", "crystal", "schwing", "accord", "xtal", "vco", "pll"}},
	{Filter, "filter", "shapes a signal: equal value, tolerance no wider; with a word for the supply it is bulk",
		[]string{"filter", "filtre", "filtro", "equal", "crossover", "weiche", "tone", "klang", "compens", "kompens", "feedback", "gegenkoppl", "bandpass", "tiefpass", "hochpass", "lowpass", "highpass", "pass"}},
	{Reset, "reset", "sets the power-on reset: equal value, tolerance no wider",
		[]string{"reset", "rückstell", "rueckstell", "réinit", "reinit", "watchdog"}},
	{Hold, "hold", "keeps a voltage: equal value, little leakage",
		[]string{"hold", "sample", "sampl", "haltegl", "halteko", "échantill", "echantill"}},
	{Snubber, "snubber", "takes pulses: equal value, pulse rating",
		[]string{"snub", "dämpf", "daempf", "amortiss", "damp"}},
	{MotorRun, "motor-run", "shifts a motor's phase: equal value, alternating voltage", []string{"motorrun", "motorkond"}},
	{RegulatorOutput, "regulator-output", "holds a linear regulator stable: series resistance neither high nor low", nil},
	{SwitchingOutput, "switching-output", "carries a switching supply's ripple: low series resistance", nil},
	{SupplyInput, "supply-input", "meets the inrush where a supply comes in", nil},
	{Backup, "backup", "keeps a memory or clock alive",
		[]string{"backup", "memory", "rtc", "clock", "speicher", "uhr", "secours", "sauvegarde", "mémoire", "memoire"}},
	{Charged, "charged-backup", "a cell that the circuit charges: never a primary cell",
		[]string{"charg", "rechargeable", "trickle", "ladung", "geladen", "laden", "ladeschalt", "aufgeladen", "aufladbar", "wiederauflad", "nachlad", "erhaltungslad",
			"*akku", "accu.", "accus.", "accumul", "accupack", "acumul", "recargab", "ricaric", "caricabatt", "oplaad", "herlaad", "oplad", "uppladd", "akumul",
			"nicd", "nicad", "nimh", "ni", "bleiakku", "bleigel", "leadacid", "acid."}},
	{MainsX, "mains-x", "across the mains: a part with an X or Y class only", []string{"mainsx"}},
	{MainsY, "mains-y", "from mains to earth: a part with a Y class only", []string{"mainsy"}},
	{PullUp, "pull-up", "holds a logic level: the next E12 value may do", []string{"pull"}},
	{Bleeder, "bleeder", "discharges a capacitor: the next E12 value may do", []string{"bleed", "entlade", "décharge", "decharge", "discharge"}},
	{Indicator, "indicator", "feeds an indicator: the next E12 value may do", []string{"led", "indicator", "anzeige", "voyant"}},
	{Measuring, "measuring", "a divider or sensor that something is measured by: equal value, tolerance no wider",
		[]string{"measur", "mess", "sens", "sensor", "sensing", "sense.", "shunt", "fühler", "fuehler", "sonde", "capteur", "divider", "spannungsteiler", "diviseur", "precision", "präzision", "reference.", "referenz"}},
	{SeriesString, "series-string", "one of several lamps in series: equal voltage and current", []string{"string", "series", "serien", "reihe", "série", "serie.", "lichterkette", "guirlande"}},
	{MainsSide, "mains-side", "on the mains side: ratings for the mains", []string{"mainsside"}},
	{MainsLikely, "suppression", "suppresses interference: a part with an X or Y class only, unless its voltage is low or the map's circuit says secondary",
		[]string{"suppression"}},
	{NickelCell, "nickel-cell", "the cell that the circuit charges is a nickel one", []string{"nicd", "nicad", "nimh", "ni", "nickel"}},
	{LeadCell, "lead-acid-cell", "the cell that the circuit charges is a lead one", []string{"bleiakku", "bleigel", "leadacid", "acid.", "plomb", "piombo", "plomo"}},
}

// helpers are words that only tell duties apart. Those for the mains stand in
// every language that lists are read in, since a word that is missed there is
// the one that costs most.
var helpers = []Function{
	{Duty: aboutOutput, Stems: []string{"output.", "out.", "ausgang.", "ausgangs.", "sortie."}},
	{Duty: aboutInput, Stems: []string{"input.", "in.", "eingang.", "eingangs.", "entrée.", "entree."}},
	{Duty: aboutSupply, Stems: []string{"supply", "power", "psu", "rail", "rectif", "ripple", "netzteil", "netzger", "versorg", "gleichricht", "alimentation", "alimentaz", "aliment", "redress"}},
	{Duty: aboutRegulator, Stems: []string{"regulator", "ldo", "regler", "spannungsregler", "festspannungsregler", "régulat", "regulat"}},
	{Duty: aboutSwitching, Stems: []string{"switching", "switcher", "switchmode", "smps", "buck", "boost", "converter", "schaltregler", "schaltnetz", "wandler", "découpage", "decoupage", "flyback", "chopper", "dcdc"}},
	{Duty: aboutMains, Stems: []string{"mains", "netz", "secteur", "rete.", "réseau", "reseau", "lichtnet", "netspann", "netfilter", "netaansl", "netzekering", "nätfilter", "nätspänn", "nätsäkr", "netstøj", "net.", "rede.",
		"inlet", "kaltger", "230v.", "230vac.", "240v.", "240vac.", "220v.", "220vac.", "120vac.", "115vac.", "110vac.", "sieci"}},
	{Duty: notMains, Stems: []string{"netzteil", "netzger", "netzwerk", "netzliste"}},
	{Duty: aboutRed, Stems: []string{"red"}},
	{Duty: aboutSpanish, Stems: []string{"de", "tensi", "fusible", "entrada", "corriente", "filtro", "entre", "fase."}},
	{Duty: aboutLine, Stems: []string{"line.", "ac", "línea.", "linea.", "ligne.", "powerline"}},
	{Duty: aboutLive, Stems: []string{"live", "hot", "l", "l1", "phase.", "fase.", "fas", "aussenleiter", "außenleiter"}},
	{Duty: aboutNeutral, Stems: []string{"n", "neutral", "neutr", "nulleiter", "nullleiter", "nul", "null.", "nolla."}},
	{Duty: aboutEarth, Stems: []string{"earth", "chassis", "châssis", "erde", "schutzleiter", "terre", "terra.", "tierra", "aarde", "jord", "pe", "gehäuse", "gehaeuse", "enclosure", "touchable", "telaio", "carcasa"}},
	{Duty: aboutGround, Stems: []string{"ground", "gnd", "masse", "massa"}},
	{Duty: aboutAcross, Stems: []string{"across", "between", "bridg", "zwischen", "über", "ueber", "entre", "tra", "fra", "tussen", "mellan", "parallel"}},
	{Duty: aboutPrimary, Stems: []string{"primary", "primär", "primaer", "primaire", "primari", "primair"}},
	{Duty: aboutSecondary, Stems: []string{"secondary", "sekundär", "sekundaer", "secondaire", "secundari", "secondari", "secundair"}},
	{Duty: aboutBarrier, Stems: []string{"barrier", "barrière", "barriere", "barrera", "trennstrecke", "isolationsstrecke", "isolierstrecke"}},
	{Duty: aboutIsolation, Stems: []string{"isolat", "isolier", "aislami", "isolament", "galvan", "potentialtrenn"}},
	{Duty: aboutDiode, Stems: []string{"schottky", "diode"}},
	{Duty: aboutSound, Stems: []string{"audio", "level", "stage", "signal", "delay", "sound", "preamp", "transmission"}},
	{Duty: aboutSafety, Stems: []string{"safety", "class", "suppress", "interference", "entstör", "entstoer", "störschutz", "stoerschutz", "antiparasit", "antidisturb", "emi", "rfi", "emc", "netzfilter", "netzentst", "ontstoor", "afstør", "avstör"}},
	{Duty: aboutMotor, Stems: []string{"motor", "moteur"}},
	{Duty: aboutRun, Stems: []string{"run.", "start.", "phase.", "betrieb."}},
	{Duty: aboutUp, Stems: []string{"up."}},
	{Duty: aboutHum, Stems: []string{"hum", "brumm", "notch", "ronfl"}},
	{Duty: letterX, Stems: []string{"x", "x1", "x2", "x3", "xcap"}},
	{Duty: letterY, Stems: []string{"y1", "y2", "y3", "y4", "ycap"}},
	{Duty: spanishY, Stems: []string{"y"}},
	{Duty: aboutCapacitor, Stems: []string{"cap", "caps.", "capacitor", "kondensator", "condensat", "condensador"}},
	{Duty: negation, Stems: []string{"no", "not", "non", "never.", "without.", "nicht.", "nie", "kein", "keine.", "ohne.", "pas", "sans.", "sin", "sem", "senza.", "niet.", "geen.", "ikke.", "inte.", "não.", "bez"}},
}

// foreign are the words of the functions in scripts of their own: Russian and
// Japanese; and what Dutch and Polish have beside the words above.
var foreign = []Function{
	{Duty: Coupling, Stems: []string{"разделит", "переходн", "sprzęga", "結合", "カップリング"}},
	{Duty: Decoupling, Stems: []string{"развяз", "блокиров", "шунтир", "odsprzęga", "デカップ", "バイパス"}},
	{Duty: Bulk, Stems: []string{"сглаж", "накопит", "wygładza", "平滑"}},
	{Duty: Timing, Stems: []string{"времязада", "таймер", "задерж", "czasow", "時定数", "遅延"}},
	{Duty: Oscillator, Stems: []string{"генератор", "контур", "кварц", "発振", "同調"}},
	{Duty: Filter, Stems: []string{"фильтр", "filtr", "フィルタ"}},
	{Duty: Reset, Stems: []string{"сброс", "リセット"}},
	{Duty: Snubber, Stems: []string{"снаббер", "демпф", "スナバ"}},
	{Duty: Backup, Stems: []string{"памят", "часов", "pamięci", "geheugen", "メモリ", "時計", "バックアップ"}},
	{Duty: Charged, Stems: []string{"аккумул", "заряд", "заряж", "подзар", "ładowa", "充電", "蓄電"}},
	{Duty: Bleeder, Stems: []string{"разряд", "rozładow", "ontlaad", "放電"}},
	{Duty: aboutMains, Stems: []string{"сетев", "сеть.", "сети.", "220в.", "230в.", "netontst", "netfilter", "netspanning", "商用", "ac電源", "一次電源"}},
	{Duty: aboutSafety, Stems: []string{"помех", "zakłóce", "przeciwzakł", "netontst", "ノイズフィルタ", "雑音"}},
	{Duty: aboutAcross, Stems: []string{"между", "między", "間"}},
	{Duty: aboutEarth, Stems: []string{"земл", "заземл", "корпус", "uziem", "obudow", "アース", "接地", "筐体"}},
	{Duty: aboutLive, Stems: []string{"фаза.", "фазой.", "faza.", "活線"}},
	{Duty: aboutNeutral, Stems: []string{"нейтрал", "нулев", "ноль.", "中性"}},
	{Duty: aboutPrimary, Stems: []string{"первичн", "pierwotn", "一次側"}},
	{Duty: aboutSecondary, Stems: []string{"вторичн", "wtórn", "二次側"}},
	{Duty: aboutIsolation, Stems: []string{"изоляц", "гальванич", "izolac", "絶縁"}},
	{Duty: aboutSupply, Stems: []string{"питани", "выпрям", "zasil", "prostow", "voeding", "電源", "整流"}},
	{Duty: negation, Stems: []string{"не.", "без.", "geen."}},
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
	for _, list := range [3][]Function{Functions, helpers, foreign} {
		for _, f := range list {
			for _, s := range f.Stems {
				if s[0] >= firstIdeograph {
					without = append(without, innerStem{[]byte(s), f.Duty})
					continue
				}
				if rest, ok := strings.CutPrefix(s, "*"); ok {
					within = append(within, innerStem{[]byte(rest), f.Duty})
					continue
				}
				text, dot := strings.CutSuffix(s, ".")
				by[s[0]] = append(by[s[0]], stem{text, f.Duty, dot || len(text) <= 3})
			}
		}
	}
	return by, within, without
}()
