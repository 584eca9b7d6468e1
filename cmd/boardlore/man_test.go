package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestManualPages: each command has a page that says its flags and what its help says.
func TestManualPages(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "man1")
	if got := command(t.Context(), "man", dir); got.code != exitOK {
		t.Fatalf("%+v", got)
	}
	for name, want := range map[string]string{"boardlore.1": "boardlore-reconcile", "boardlore-serve.1": "database-url",
		"boardlore-account-add.1": "role", "boardlore-mirror.1": "proves", "boardlore-fetch.1": "exits 0"} {
		b, err := os.ReadFile(filepath.Join(dir, name))
		page := strings.ReplaceAll(string(b), `\-`, "-")
		if err != nil || !strings.HasPrefix(page, ".") || !strings.Contains(page, ".SH NAME") || !strings.Contains(page, want) {
			t.Errorf("%s: %v, or no %q in it:\n%s", name, err, want, page)
		}
	}
	if got := command(t.Context(), "man"); got.code != exitUsage {
		t.Errorf("without a folder: %+v", got)
	}
}
