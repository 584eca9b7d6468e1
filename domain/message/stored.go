package message

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// kept is a message as it is stored: its key with its values, so that whoever
// reads it later reads it in a language of their own. A list has its joining
// instead of a key.
type kept struct {
	Key    string `json:"key,omitzero"`
	List   string `json:"list,omitzero"`
	Values []any  `json:"values,omitzero"`
}

// Stored has every message written by its key and values instead of in words.
// Reading takes both forms.
var Stored = json.JoinOptions(json.Deterministic(true),
	json.WithMarshalers(json.MarshalToFunc(func(enc *jsontext.Encoder, m Message) error {
		return json.MarshalEncode(enc, keep(m))
	})))

// keep makes of a value what JSON holds of it: a text, a number, a message or
// a list of those.
func keep(v any) any {
	switch v := v.(type) {
	case Message:
		if v.Key == "" && len(v.Values) == 1 {
			if s, is := v.Values[0].(string); is {
				return s
			}
		}
		return kept{Key: v.Key, Values: keepAll(v.Values)}
	case List:
		return kept{List: v.Key, Values: keepAll(v.Items)}
	case Sayer:
		return keep(v.Say())
	case int, int64, float64:
		return v
	}
	return spell(v)
}

func keepAll(vs []any) []any {
	if len(vs) == 0 {
		return nil
	}
	out := make([]any, len(vs))
	for i, v := range vs {
		out[i] = keep(v)
	}
	return out
}

// The greatest messages that are read: what a message says may be many times as
// long as what is sent for it, since a sentence may have a blank twice.
const (
	longest = 64 << 10 // bytes, at most, in any language
	deepest = 200      // messages within messages
)

// UnmarshalJSONFrom takes a message that was stored, or what was spoken for a
// text. One that would grow too long in words is refused.
func (m *Message) UnmarshalJSONFrom(dec *jsontext.Decoder) error {
	var v any
	if err := json.UnmarshalDecode(dec, &v); err != nil {
		return err
	}
	switch v := restored(v).(type) {
	case string:
		*m = Text(v)
	case Message:
		for _, l := range Languages {
			if n := l.length(v, 0); n > longest {
				return fmt.Errorf("a message of %d bytes or more, at most %d are read", n, longest)
			}
		}
		*m = v
	default:
		return fmt.Errorf("%v is no message", v)
	}
	return nil
}

// length is at least as many bytes as a value has in words.
func (l *Language) length(v any, depth int) int {
	if depth > deepest {
		return longest + 1
	}
	n := 0
	switch v := v.(type) {
	case Message:
		n = len(v.Key)
		ls := make([]int, len(v.Values))
		for i, x := range v.Values {
			ls[i] = l.length(x, depth+1)
		}
		for _, p := range l.sentences[v.Key] {
			n += p.length(ls)
		}
		if v.Key == "" && len(ls) > 0 {
			n = ls[0]
		}
	case List:
		for _, x := range v.Items {
			n += l.length(x, depth+1) + 16 // and what joins them
		}
	default:
		n = len(spell(v))
	}
	return min(n, longest+1)
}

// length is that of a piece whose values have these lengths.
func (p *piece) length(values []int) int {
	n := len(p.text)
	for _, words := range p.forms {
		n = max(n, len(words))
	}
	if p.blank == 0 || p.blank > len(values) || p.forms != nil {
		return n
	}
	if n = values[p.blank-1]; p.how == "quoted" {
		n *= 10 // what can't be printed is written as \U0001F600
	}
	return n + 3
}

// restored makes a value of what JSON holds of it.
func restored(v any) any {
	switch v := v.(type) {
	case float64:
		if v == math.Trunc(v) && math.Abs(v) < 1<<53 {
			return int64(v)
		}
		return v
	case map[string]any:
		values, _ := v["values"].([]any)
		for i := range values {
			values[i] = restored(values[i])
		}
		if joined, is := v["list"].(string); is {
			return List{joined, values}
		}
		key, _ := v["key"].(string)
		return Message{key, values}
	}
	return v
}

// Filled is the message with what stands for a name or a text in its places:
// values that are such a place, and places within a text of its own.
func (m Message) Filled(places map[string]Message) Message {
	m.Values = slices.Clone(m.Values)
	for i, v := range m.Values {
		switch v := v.(type) {
		case string:
			if of, is := places[v]; is {
				m.Values[i] = of
			} else if m.Key == "" {
				m.Values[i] = filledText(v, places)
			}
		case Message:
			m.Values[i] = v.Filled(places)
		}
	}
	return m
}

// filledText fills the places of a text that was stored in English, as the
// first events were.
func filledText(s string, places map[string]Message) string {
	var pairs []string
	for _, name := range slices.Sorted(maps.Keys(places)) {
		pairs = append(pairs, name, places[name].String())
	}
	return strings.NewReplacer(pairs...).Replace(s)
}
