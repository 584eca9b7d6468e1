package store

import (
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// WantKey is the key of a value, for tests that fill the table themselves.
func WantKey(class, value string) int32 {
	v, err := quantity.Parse(value)
	if err != nil {
		panic(err)
	}
	key, _ := wantKey(&part.Part{Class: class, Value: v})
	return key
}
