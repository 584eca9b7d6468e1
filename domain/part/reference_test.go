package part

import (
	"slices"
	"testing"

	"boardlore/domain/quantity"
)

// rowContexts says how the reference's descriptions are put in the contract's
// words.
var rowContexts = map[string]quantity.Context{
	"SMD aluminium can marking":                  {Class: "capacitor", Construction: "aluminium-electrolytic", Found: "marking"},
	"SMD aluminium can voltage letter":           {Class: "capacitor", Construction: "aluminium-electrolytic", Found: "marking"},
	"SMD resistor marking":                       {Class: "resistor", Found: "marking"},
	"SMD resistor marking, EIA-96":               {Class: "resistor", Found: "marking"},
	"SMD resistor marking, four characters":      {Class: "resistor", Found: "marking"},
	"aluminium order code":                       {Class: "capacitor", Construction: "aluminium-electrolytic", Found: "order-code"},
	"aluminium order code, maker counting in pF": {Class: "capacitor", Construction: "aluminium-electrolytic", Found: "order-code"},
	"any part":                               {},
	"capacitor":                              {Class: "capacitor"},
	"capacitor below 10 pF":                  {Class: "capacitor"},
	"capacitor of 10 pF or more":             {Class: "capacitor"},
	"capacitor temperature rating":           {Class: "capacitor"},
	"capacitor voltage code, two characters": {Class: "capacitor", Found: "order-code"},
	"capacitor, age unknown":                 {Class: "capacitor"},
	"capacitor, continental":                 {Class: "capacitor", Continental: true},
	"capacitor, historic":                    {Class: "capacitor", Historic: true},
	"capacitor, type unknown":                {Class: "capacitor"},
	"capacitor; locale de":                   {Class: "capacitor", Language: "de"},
	"capacitor; locale en":                   {Class: "capacitor", Language: "en"},
	"capacitor; locale unknown":              {Class: "capacitor"},
	"ceramic capacitor":                      {Class: "capacitor", Construction: "ceramic"},
	"ceramic capacitor marking":              {Class: "capacitor", Construction: "ceramic", Found: "marking"},
	"ceramic disc marking":                   {Class: "capacitor", Construction: "ceramic", Found: "marking"},
	"electrolytic":                           {Class: "capacitor", Construction: "aluminium-electrolytic"},
	"electrolytic marking":                   {Class: "capacitor", Construction: "aluminium-electrolytic", Found: "marking"},
	"film capacitor marking":                 {Class: "capacitor", Construction: "film", Found: "marking"},
	"inductor":                               {Class: "inductor"},
	"inductor marking":                       {Class: "inductor", Found: "marking"},
	"letter alone, meaning unknown":          {},
	"part type unknown":                      {},
	"polymer capacitor marking":              {Class: "capacitor", Construction: "aluminium-polymer", Found: "marking"},
	"resistor":                               {Class: "resistor"},
	"resistor list":                          {Class: "resistor", Found: "list"},
	"resistor; locale en":                    {Class: "resistor", Language: "en"},
	"tantalum marking":                       {Class: "capacitor", Construction: "tantalum", Found: "marking"},
	"tantalum voltage letter":                {Class: "capacitor", Construction: "tantalum", Found: "marking"},
	"voltage":                                {},
	"voltage letter, kind of part unknown":   {Class: "capacitor"},
}

// TestReferenceTexts reads the published value texts as parts. A part is a
// whole line, so it may tell as a doubt what a single quantity refuses; it must
// never give a value without one.
func TestReferenceTexts(t *testing.T) {
	for _, row := range rows(t, "value-texts.csv") {
		if slices.Contains(noParts, row["id"]) {
			continue
		}
		c, ok := rowContexts[row["context"]]
		if !ok {
			t.Fatalf("no context for %q", row["context"])
		}
		t.Run(row["id"], func(t *testing.T) { checkText(t, row, c) })
	}
}

func checkText(t *testing.T, row map[string]string, c quantity.Context) {
	got, err := Read(row["text"], c)
	want := row["canonical"]
	if row["trade_form"] != "" {
		want = row["trade_form"]
	}
	var all []string
	doubts := 0
	for i := range got.Readings {
		all = append(all, memberOf(&got.Readings[i].Part, row["kind"]))
		doubts += len(got.Readings[i].Doubts)
	}
	switch row["outcome"] {
	case "ok":
		if err != nil || !slices.Contains(all, want) || len(all) > 1 {
			t.Errorf("%q (%s): %q, left over %q, %v; want %s", row["text"], row["context"], all, got.LeftOver, err, want)
		}
	case "ambiguous":
		if err == nil && len(all) < 2 && doubts == 0 {
			t.Errorf("%q (%s): %q without a doubt; want %s", row["text"], row["context"], all, row["alternatives"])
		}
	case "reject":
		if err == nil && all[0] != "" && doubts == 0 && !slices.Contains(wholeLines, row["id"]) {
			t.Errorf("%q (%s): %q without a doubt; want none: %s", row["text"], row["context"], all, row["note"])
		}
	}
}

// noParts are letters that say something only beside a value: ±3 % on any part,
// and the deviations of capacitors below 10 pF.
var noParts = []string{"V386", "V391", "V392", "V393", "V394"}

// wholeLines are texts that a quantity refuses and a part need not: 2x470uF has
// a count.
var wholeLines = []string{"V409"}

func memberOf(p *Part, kind string) string {
	switch kind {
	case "voltage":
		return p.Voltage.String()
	case "temperature":
		return p.TemperatureMax.String()
	case "tolerance":
		return p.Tolerance.String()
	}
	return p.Value.String()
}
