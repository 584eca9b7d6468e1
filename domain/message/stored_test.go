package message_test

import (
	"testing"

	"github.com/go-json-experiment/json"

	"boardlore/domain/message"
)

// TestStored: what was stored says the same in every language.
func TestStored(t *testing.T) {
	for _, m := range []message.Message{
		{},
		message.Text("C1"),
		message.Of("kit.base-build"),
		message.Of("kit.line-left-over", 3, int64(2)),
		message.Of("text.then", 1.5, message.All([]string{"C1", "C2"})),
		message.Of("text.then", message.Some([]string{"C1", "C2", "C3"}, 2), side("top")),
		message.All([]int{1, 2}).Say().And(message.Text("x")),
	} {
		b, err := json.Marshal(m, message.Stored)
		if err != nil {
			t.Fatal(err)
		}
		var again message.Message
		if err := json.Unmarshal(b, &again); err != nil {
			t.Fatalf("%s: %v", b, err)
		}
		for _, l := range message.Languages {
			if l.Speak(again) != l.Speak(m) {
				t.Errorf("%s: %q is %q after %s", l.Tag, l.Speak(m), l.Speak(again), b)
			}
		}
	}
	var m message.Message
	if err := json.Unmarshal([]byte(`[1]`), &m); err == nil {
		t.Error("a list is taken for a message")
	}
}

// TestFilled: places are filled in values, and in texts that were stored in
// English.
func TestFilled(t *testing.T) {
	places := map[string]message.Message{"{who}": message.Text("Ann"), "{summary}": message.Of("text.colon", "", "C1")}
	for _, c := range []struct {
		m    message.Message
		want string
	}{
		{message.Of("text.beside", "{who}", "{summary}"), "Ann: C1"},
		{message.Text("{who} submitted it{summary}"), "Ann submitted it: C1"},
		{message.Of("text.then", message.Text("{who}"), "{whoever}"), "Ann {whoever}"},
		{message.Of("text.then", "by {who}", 1), "by {who} 1"}, // a value of its own
	} {
		if got := c.m.Filled(places).String(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
