// Package tabletest reads the published tables, and the lists of real boards,
// that the tests of several packages check against.
package tabletest

import (
	"encoding/csv"
	"os"
	"testing"
)

// Rows reads a table with headings, each row by column name.
func Rows(t testing.TB, path string) []map[string]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, r := range all[1:] {
		m := map[string]string{}
		for i, name := range all[0] {
			m[name] = r[i]
		}
		out = append(out, m)
	}
	if len(out) == 0 {
		t.Fatalf("%s has no rows", path)
	}
	return out
}

// Context has the members of quantity.Context, into which it converts; the
// tests inside that package can't import one that imports it.
type Context struct {
	Class, Construction, Found, Language string
	Historic, Continental                bool
}

// Contexts says how the descriptions in the published value texts are put in
// the contract's words.
var Contexts = map[string]Context{
	"SMD aluminium can marking": {Class: "capacitor", Construction: "aluminium-electrolytic",
		Found: "marking"},
	"SMD aluminium can voltage letter": {Class: "capacitor", Construction: "aluminium-electrolytic",
		Found: "marking"},
	"SMD resistor marking":                  {Class: "resistor", Found: "marking"},
	"SMD resistor marking, EIA-96":          {Class: "resistor", Found: "marking"},
	"SMD resistor marking, four characters": {Class: "resistor", Found: "marking"},
	"aluminium order code": {Class: "capacitor", Construction: "aluminium-electrolytic",
		Found: "order-code"},
	"aluminium order code, maker counting in pF": {Class: "capacitor", Construction: "aluminium-electrolytic",
		Found: "order-code"},
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
	"electrolytic marking": {Class: "capacitor", Construction: "aluminium-electrolytic",
		Found: "marking"},
	"film capacitor marking":               {Class: "capacitor", Construction: "film", Found: "marking"},
	"inductor":                             {Class: "inductor"},
	"inductor marking":                     {Class: "inductor", Found: "marking"},
	"letter alone, meaning unknown":        {},
	"part type unknown":                    {},
	"polymer capacitor marking":            {Class: "capacitor", Construction: "aluminium-polymer", Found: "marking"},
	"resistor":                             {Class: "resistor"},
	"resistor list":                        {Class: "resistor", Found: "list"},
	"resistor; locale en":                  {Class: "resistor", Language: "en"},
	"tantalum marking":                     {Class: "capacitor", Construction: "tantalum", Found: "marking"},
	"tantalum voltage letter":              {Class: "capacitor", Construction: "tantalum", Found: "marking"},
	"voltage":                              {},
	"voltage letter, kind of part unknown": {Class: "capacitor"},
}
