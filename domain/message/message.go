// Package message holds what boardlore says to people: a key and the values
// for its blanks. Whoever finds something out does not know who will read it,
// so nothing is put into words before the edge; there a sentence is spoken in
// the reader's language, from one file a language.
package message

import (
	"fmt"
	"reflect"
	"strconv"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// Message is one sentence, or a piece of one, before it is in words. The zero
// Message says nothing.
type Message struct {
	Key    string `json:"key,omitzero"` // of the language files; empty where the only value is somebody's own text
	Values []any  `json:"values,omitzero"`
}

// Of is the message of a key. The values fill the blanks {1}, {2} … in their
// order: texts, numbers, quantities, messages, lists of them, or whatever else
// says itself.
func Of(key string, values ...any) Message { return Message{key, values} }

// Text is a text that is the same in every language: what somebody wrote, a
// designator, a figure with its unit.
func Text(s string) Message {
	if s == "" {
		return Message{}
	}
	return Message{Values: []any{s}}
}

// Word is a word of a closed set, such as a class of parts: the message of the
// set and the word, or the word itself where the files do not have it.
func Word[T ~string](set string, word T) Message {
	switch key := set + "." + string(word); {
	case word == "":
		return Message{}
	case English.Has(key):
		return Of(key)
	}
	return Text(string(word))
}

// Sayer is a word of a closed set, or an error, that knows its message.
type Sayer interface{ Say() Message }

// IsZero reports whether there is nothing to say.
func (m Message) IsZero() bool { return m.Key == "" && len(m.Values) == 0 }

// Equal reports whether two messages say the same.
func (m Message) Equal(o Message) bool {
	return m.Key == o.Key && (len(m.Values) == 0 && len(o.Values) == 0 || reflect.DeepEqual(m.Values, o.Values))
}

// String speaks English.
func (m Message) String() string { return English.Speak(m) }

// And is a message followed by others, as sentences follow each other.
func (m Message) And(more ...Message) Message {
	for _, o := range more {
		switch {
		case o.IsZero():
		case m.IsZero():
			m = o
		default:
			m = Of("text.then", m, o)
		}
	}
	return m
}

// MarshalJSONTo speaks English; Marshalers speaks other languages.
func (m Message) MarshalJSONTo(enc *jsontext.Encoder) error {
	return enc.WriteToken(jsontext.String(m.String()))
}

// Marshalers has every message within an answer spoken in a language.
func Marshalers(l *Language) *json.Marshalers {
	return json.MarshalToFunc(func(enc *jsontext.Encoder, m Message) error {
		return enc.WriteToken(jsontext.String(l.Speak(m)))
	})
}

// List is things told one after the other; Key and the words -middle and -end
// say how they are joined.
type List struct {
	Key   string
	Items []any
}

// All joins things by commas and an "and" before the last.
func All[T any](items []T) List { return listed("list.and", items) }

// Or joins things by commas and an "or" before the last.
func Or[T any](items []T) List { return listed("list.or", items) }

// Commas joins things by commas alone.
func Commas[T any](items []T) List { return listed("list.comma", items) }

// Through joins the ends of a way by a "to".
func Through[T any](items []T) List { return listed("list.to", items) }

// Semicolons joins things by semicolons.
func Semicolons[T any](items []T) List { return listed("list.semicolon", items) }

// Words sets things side by side.
func Words[T any](items []T) List { return listed("list.word", items) }

func listed[T any](key string, items []T) List {
	l := List{key, make([]any, len(items))}
	for i, x := range items {
		l.Items[i] = x
	}
	return l
}

// Some names the first of many things, and how many more there are.
func Some[T any](items []T, most int) Message {
	if len(items) > most {
		return Of("list.some", Commas(items[:most]), len(items)-most)
	}
	return Commas(items).Say()
}

// Say makes a list a message of its own.
func (l List) Say() Message {
	if len(l.Items) == 0 {
		return Message{}
	}
	return Of("text.whole", l)
}

// spell writes a value that needs no language.
func spell(v any) string {
	switch v := v.(type) {
	case nil:
		return ""
	case string:
		return v
	case int:
		return strconv.Itoa(v)
	case int64:
		return strconv.FormatInt(v, 10)
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64)
	case rune:
		return string(v)
	case interface{ String() string }:
		return v.String()
	case error:
		return v.Error()
	}
	return spellKind(reflect.ValueOf(v))
}

// spellKind writes values of named types.
func spellKind(v reflect.Value) string {
	switch {
	case v.Kind() == reflect.String:
		return v.String()
	case v.CanInt():
		return strconv.FormatInt(v.Int(), 10)
	case v.CanUint():
		return strconv.FormatUint(v.Uint(), 10)
	case v.CanFloat():
		return strconv.FormatFloat(v.Float(), 'g', -1, 64)
	}
	return fmt.Sprint(v.Interface())
}
