package schema

import (
	"bytes"

	"boardlore/domain/finding"
	"boardlore/domain/kit"
	"boardlore/domain/message"
)

// RereadMap is what a stored map would be told today: a refusal for each stop, and a sentence where it would be stored
// otherwise. Nothing is rewritten; what was released stays as it was.
func RereadMap(name string, document []byte) []message.Message {
	m, fs := ReadMap(document)
	if m == nil {
		return refusals(name, fs)
	}
	again, err := m.Canonical()
	return otherwise(name, document, again, err)
}

// RereadKit is the same for a kit, and for the texts of its lines, which are read anew each time.
func RereadKit(name string, document []byte) []message.Message {
	k, fs := ReadKit(document)
	if k == nil {
		return refusals(name, fs)
	}
	var out []message.Message
	for _, f := range kit.Doubts(k) {
		out = append(out, message.Of("reread.doubted", name, f.Sentence))
	}
	return out
}

func refusals(name string, fs []finding.Finding) (out []message.Message) {
	for _, f := range fs {
		if f.Severity == finding.Stop {
			out = append(out, message.Of("reread.refused", name, f.Sentence))
		}
	}
	return out
}

func otherwise(name string, document, again []byte, err error) []message.Message {
	if err != nil || !bytes.Equal(document, again) {
		return []message.Message{message.Of("reread.otherwise", name)}
	}
	return nil
}
