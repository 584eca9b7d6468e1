package message_test

import (
	"strings"
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

// TestStoredBound: what is sent for a message is not made into words that are
// many times as long, as sentences with a blank twice, or marks in marks, do.
func TestStoredBound(t *testing.T) {
	const twice = "rule.value-differs" // has its first value twice
	if n := strings.Count(message.English.Say(twice, "1 µF", ""), "1 µF"); n != 2 {
		t.Fatalf("%s has it %d times now", twice, n)
	}
	nested := func(outer string, times int) string {
		s := `"x"`
		for range times {
			s = strings.ReplaceAll(outer, "%s", s)
		}
		return s
	}
	long := strings.Repeat("x", 60<<10)
	for name, c := range map[string]struct {
		json string
		read bool
	}{
		"a message":                       {nested(`{"key":"`+twice+`","values":[%s,"b"]}`, 3), true},
		"some within each other":          {nested(`{"key":"text.then","values":["a",%s]}`, 100), true},
		"too many within each other":      {nested(`{"key":"text.then","values":["a",%s]}`, 300), false},
		"twice in each other":             {nested(`{"key":"`+twice+`","values":[%s,"b"]}`, 40), false},
		"quoted in each other":            {nested(`{"key":"kit.variant-quoted","values":[%s]}`, 40), false},
		"a long text":                     {`"` + long + `"`, true},
		"a long text in a sentence":       {`{"key":"text.then","values":["a","` + long + `"]}`, true},
		"a long text twice in a sentence": {`{"key":"` + twice + `","values":["` + long + `","b"]}`, false},
		"a long list": {`{"key":"text.whole","values":[{"list":"list.and","values":["` + long +
			`","` + long + `"]}]}`, false},
	} {
		var m message.Message
		err := json.Unmarshal([]byte(c.json), &m)
		if (err == nil) != c.read {
			t.Errorf("%s: %v", name, err)
		}
		if n := len(m.String()); n > 64<<10 {
			t.Errorf("%s: %d bytes", name, n)
		}
	}
}
