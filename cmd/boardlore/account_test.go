package main

import (
	"bytes"
	"context"
	"os"
	"strings"
	"testing"

	"boardlore/store"
	"boardlore/store/storetest"
)

func TestMain(m *testing.M) { os.Exit(storetest.Main(m, storetest.Waiting)) }

// TestAccountCommands goes through the life of an account at the command line.
// What a script reads is on standard output, and only that.
func TestAccountCommands(t *testing.T) {
	dsn := storetest.DSN(t, func(ctx context.Context, dsn string) error { return store.Migrate(ctx, dsn, nil) })
	account := func(code int, args ...string) (string, string) {
		t.Helper()
		var stdout, stderr bytes.Buffer
		if got := run(t.Context(), append([]string{"account"}, append(args, "--database-url", dsn)...), &stdout,
			&stderr); got != code {
			t.Fatalf("account %v: exit %d, want %d: %s", args, got, code, stderr.String())
		}
		if code != exitOK && (stdout.Len() > 0 || !strings.HasPrefix(stderr.String(), "boardlore: ")) {
			t.Errorf("account %v: refused with %q and %q", args, stdout.String(), stderr.String())
		}
		return stdout.String(), stderr.String()
	}
	holds := func(token, role string) {
		t.Helper()
		s, err := store.Open(t.Context(), dsn, store.Options{}) // another server, which remembers nobody
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		a, err := s.Authenticate(t.Context(), strings.TrimSpace(token))
		if role == "" && err == nil || role != "" && (err != nil || a.Name != "wren" || string(a.Role) != role) {
			t.Errorf("token is of %+v, %v; want %q", a, err, role)
		}
	}

	token, _ := account(exitOK, "add", "wren", "--role", "contributor")
	if strings.Count(token, "\n") != 1 || strings.ContainsAny(strings.TrimSpace(token), " \t") {
		t.Errorf("not the token alone: %q", token)
	}
	holds(token, "contributor")
	account(exitFailed, "add", "wren", "--role", "reviewer")
	account(exitFailed, "add", " wren", "--role", "reviewer")
	for _, wrong := range [][]string{{"add", "finch"}, {"add", "finch", "--role", "king"},
		{"add", "--role", "reviewer"}, {"role", "wren"}, {"token"}, {"disable", "a", "b"}, {"list", "wren"}} {
		account(exitUsage, wrong...)
	}
	account(exitOK, "role", "wren", "--role", "reviewer")
	holds(token, "reviewer")

	second, _ := account(exitOK, "token", "wren")
	holds(token, "")
	holds(second, "reviewer")
	if _, says := account(exitFailed, "token", "finch"); !strings.Contains(says, "account list") {
		t.Errorf("the refusal does not say where to look: %s", says)
	}

	account(exitOK, "disable", "wren")
	account(exitOK, "disable", "wren")
	holds(second, "")
	account(exitFailed, "token", "wren")
	account(exitFailed, "role", "wren", "--role", "steward")
	account(exitFailed, "disable", "finch")
	account(exitOK, "enable", "wren", "--why", "back from a holiday")
	holds(second, "reviewer")
	account(exitFailed, "enable", "finch")
	account(exitOK, "disable", "wren", "--why", "gone again")
	list, _ := account(exitOK, "list")
	if lines := strings.Split(strings.TrimSpace(list), "\n"); len(lines) != 2 || !strings.HasPrefix(lines[1],
		"wren  reviewer") || !strings.HasSuffix(lines[1], "disabled") {
		t.Errorf("list: %s", list)
	}
}
