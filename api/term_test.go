package api

import (
	"context"
	"errors"
	"testing"
	"testing/synctest"
	"time"
)

func TestTerm(t *testing.T) {
	type key struct{}
	for _, c := range []struct {
		name string
		end  func(t *term, cancel context.CancelFunc)
		want error
	}{
		{"goes on", func(*term, context.CancelFunc) {}, nil},
		{"time is over", func(*term, context.CancelFunc) { time.Sleep(time.Minute) }, context.DeadlineExceeded},
		{"the client went", func(_ *term, cancel context.CancelFunc) { cancel() }, context.Canceled},
		{"answered", func(t *term, _ context.CancelFunc) { t.end() }, context.Canceled},
	} {
		for _, waits := range []string{"nobody", "before", "below", "after"} {
			t.Run(c.name+", "+waits, func(t *testing.T) {
				synctest.Test(t, func(t *testing.T) {
					parent, cancel := context.WithCancel(context.WithValue(context.Background(), key{}, "kept"))
					defer cancel()
					term := &term{Context: parent, until: time.Now().Add(time.Minute)}
					defer term.end()
					var done <-chan struct{}
					switch waits {
					case "before":
						done = term.Done()
					case "below":
						below, stop := context.WithCancel(term)
						defer stop()
						done = below.Done()
					}
					c.end(term, cancel)
					synctest.Wait()
					if waits == "after" {
						done = term.Done()
						synctest.Wait()
					}
					if err := term.Err(); !errors.Is(err, c.want) {
						t.Errorf("Err %v, want %v", err, c.want)
					}
					select {
					case <-done:
						if c.want == nil {
							t.Error("done too early")
						}
					default:
						if c.want != nil && done != nil {
							t.Error("nobody is told")
						}
					}
					if v := term.Value(key{}); v != "kept" {
						t.Errorf("Value %v", v)
					}
					if d, ok := term.Deadline(); !ok || !d.Equal(term.until) {
						t.Errorf("Deadline %v", d)
					}
				})
			})
		}
	}
}
