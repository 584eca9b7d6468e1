package message_test

import (
	"errors"
	"testing"

	"github.com/go-json-experiment/json"

	"boardlore/domain/message"
)

type side string

func (s side) Say() message.Message { return message.Of("list.or-end", string(s), "none") }

func TestSpeak(t *testing.T) {
	for _, c := range []struct{ de, en, want string }{
		{want: message.Of("text.then", "a", 2).String(), en: "a 2"},
		{want: message.Text("5 % {1}").String(), en: "5 % {1}"},
		{want: message.Message{}.String(), en: ""},
		{want: message.Of("no.such-key", 1).String(), en: "no.such-key"},
		{want: message.Of("text.then", "a").String(), en: "a "},
		{want: message.All([]string{"C1", "C2", "C3"}).Say().String(), en: "C1, C2 and C3"},
		{want: message.All([]string{"C1"}).Say().String(), en: "C1"},
		{want: message.Or([]int{1, 2}).Say().String(), en: "1 or 2"},
		{want: message.Of("text.then", side("top"), errors.New("x")).String(), en: "top or none x"},
		{want: message.Of("text.then", 1.5, []int{1}).String(), en: "1.5 [1]"},
		{want: message.Named("de").Speak(message.All([]string{"C1", "C2"}).Say()), en: "C1 und C2"},
		{want: message.Text("a").And(message.Message{}, message.Text("b")).String(), en: "a b"},
		{want: message.Message{}.And(message.Text("b")).String(), en: "b"},
	} {
		if c.want != c.en {
			t.Errorf("%q, want %q", c.want, c.en)
		}
	}
}

// TestTreatments: what is done to a value in its blank, whatever letter it
// begins with.
func TestTreatments(t *testing.T) {
	for _, c := range []struct{ sentence, value, want string }{
		{"{1:clause}", "Überdruck.", "überdruck."}, {"{1:clause}", "It opens.", "it opens."}, {"{1:clause}", "", ""},
		{"{1:open}!", "It opens.", "It opens!"}, {"{1:quoted}", `a "b"`, `"a \"b\""`},
		{"{1:article}", "inductor", "an inductor"}, {"{1:article}", "fuse", "a fuse"}, {"{1:article}", "", "a "},
		{"It{1:aside} fits.", "clock", "It (clock) fits."}, {"It{1:aside} fits.", "", "It fits."},
	} {
		l, err := message.Parse("en", "a.sentence = "+c.sentence)
		if err != nil {
			t.Fatal(err)
		}
		if got := l.Say("a.sentence", c.value); got != c.want {
			t.Errorf("%s of %q: %q, want %q", c.sentence, c.value, got, c.want)
		}
	}
}

// TestParse: a file that would leave something unsaid is refused.
func TestParse(t *testing.T) {
	for name, text := range map[string]string{"a line without words": "a.b", "a key twice": "a.b = x\na.b = y",
		"a blank of nothing":   "a.b = {0}",
		"an unknown treatment": "a.b = {1:loud}", "an unknown form": "a.b = {1?some:x|other:y}",
		"no form for the rest": "a.b = {1?one:x}"} {
		if _, err := message.Parse("en", text); err == nil {
			t.Errorf("%s is taken", name)
		}
	}
	if _, err := message.Parse("no language", ""); err == nil {
		t.Error("a tag that is none is taken")
	}
}

// TestMatch: RFC 9110, 12.5.4, with the lookup of RFC 4647.
func TestMatch(t *testing.T) {
	for accept, want := range map[string]string{"": "en", "de": "de", "de-AT,de;q=0.9": "de", "fr": "en",
		"fr, de;q=0.5, en;q=0.4": "de",
		"en-GB, de;q=0.9":        "en", "*": "en", "de;q=0": "en", ";;;": "en", "ja-JP-u-ca-japanese": "en"} {
		if got := message.Match(accept).Tag; got != want {
			t.Errorf("%q: %s, want %s", accept, got, want)
		}
	}
}

func TestJSON(t *testing.T) {
	type answer struct {
		Sentence message.Message `json:"sentence"`
		Basis    message.Message `json:"basis,omitzero"`
	}
	a := answer{Sentence: message.All([]string{"C1", "C2"}).Say()}
	b, err := json.Marshal(a)
	if err != nil || string(b) != `{"sentence":"C1 and C2"}` {
		t.Error(string(b), err)
	}
	b, err = json.Marshal([]answer{a}, json.WithMarshalers(message.Marshalers(message.Named("de"))))
	if err != nil || string(b) != `[{"sentence":"C1 und C2"}]` {
		t.Error(string(b), err)
	}
	var back answer
	if err := json.Unmarshal([]byte(`{"sentence":"as it came"}`), &back); err != nil ||
		back.Sentence.String() != "as it came" || !back.Basis.IsZero() {
		t.Error(back, err)
	}
}
