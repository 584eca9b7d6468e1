package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// rank orders the folders: a package may import only packages of its own
// folder and of lower ones, so that dependencies point one way.
var rank = map[string]int{"domain": 0, "schema": 1, "migrations": 1, "store": 2, "seeds": 3, "api": 3, "cmd": 4}

// impure are the packages that domain must not import: it computes, and leaves
// the world to others.
var impure = map[string]bool{"time": true, "os": true, "net": true, "net/http": true, "context": true,
	"math/rand":    true,
	"math/rand/v2": true, "crypto/rand": true, "log": true, "log/slog": true, "database/sql": true, "io/fs": true,
	"os/exec": true, "syscall": true}

func TestDependenciesPointOneWay(t *testing.T) {
	seen := 0
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		rel := filepath.ToSlash(strings.TrimPrefix(path, "../../"))
		from, _, _ := strings.Cut(rel, "/")
		own, known := rank[from]
		if !known {
			t.Errorf("%s lies in no folder of the design", rel)
			return nil
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, i := range f.Imports {
			name, err := strconv.Unquote(i.Path.Value)
			if err != nil {
				return err
			}
			seen++
			if from == "domain" && impure[name] && !testSupport(rel) {
				t.Errorf("%s imports %s; domain is pure", rel, name)
			}
			if to, ours := strings.CutPrefix(name, "boardlore/"); ours {
				folder, _, _ := strings.Cut(to, "/")
				if strings.HasPrefix(rel, "api/client/") && rank[folder] > 0 {
					t.Errorf("%s imports %s; the client is for programs without the server's code", rel, name)
				}
				if folder != from && rank[folder] >= own {
					t.Errorf("%s imports %s; dependencies point cmd, api, store, schema, domain", rel, name)
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if seen < 100 {
		t.Fatalf("only %d imports were read; the walk has missed the tree", seen)
	}
}

// testSupport says whether a file outside the _test.go files serves tests only.
func testSupport(rel string) bool { return strings.Contains(filepath.Dir(rel), "test") }
