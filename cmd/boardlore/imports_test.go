package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
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

// imported is what a file, told from the module's root, imports.
type imported struct{ file, name string }

// imports are those of all files that are no tests.
func imports(t *testing.T) (out []imported) {
	t.Helper()
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
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
			out = append(out, imported{filepath.ToSlash(strings.TrimPrefix(path, "../../")), name})
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(out) < 100 {
		t.Fatalf("only %d imports were read; the walk has missed the tree", len(out))
	}
	return out
}

func TestDependenciesPointOneWay(t *testing.T) {
	for _, i := range imports(t) {
		from, _, _ := strings.Cut(i.file, "/")
		own, known := rank[from]
		if !known {
			t.Errorf("%s lies in no folder of the design", i.file)
		}
		if from == "domain" && impure[i.name] && !testSupport(i.file) {
			t.Errorf("%s imports %s; domain is pure", i.file, i.name)
		}
		to, ours := strings.CutPrefix(i.name, "boardlore/")
		folder, _, _ := strings.Cut(to, "/")
		if ours && strings.HasPrefix(i.file, "api/client/") && rank[folder] > 0 {
			t.Errorf("%s imports %s; the client is for programs without the server's code", i.file, i.name)
		}
		if ours && folder != from && rank[folder] >= own {
			t.Errorf("%s imports %s; dependencies point cmd, api, store, schema, domain", i.file, i.name)
		}
	}
}

// TestLinkedLibrariesAreTold: DEVELOPERS.md says of each library why it is
// linked, and of none that is not.
func TestLinkedLibrariesAreTold(t *testing.T) {
	text, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	_, section, _ := strings.Cut(string(text), "| library | for |\n| --- | --- |\n")
	table, _, found := strings.Cut(section, "\n\n")
	if !found {
		t.Fatal("DEVELOPERS.md has no table of libraries")
	}
	told := map[string]bool{}
	for row := range strings.Lines(table) {
		cells := strings.Split(row, "|")
		for name := range strings.SplitSeq(cells[1], ",") {
			told[strings.TrimSpace(name)] = false
		}
	}
	for _, i := range imports(t) {
		if first, _, _ := strings.Cut(i.name, "/"); !strings.Contains(first, ".") || testSupport(i.file) {
			continue // the standard library's, ours, the tests'
		}
		name := libraryName(i.name)
		if _, known := told[name]; !known {
			t.Errorf("%s links %s, which DEVELOPERS.md gives no reason for", i.file, name)
		}
		told[name] = true
	}
	for name, linked := range told {
		if !linked {
			t.Errorf("DEVELOPERS.md says why %s is linked, and it is not", name)
		}
	}
}

// libraryName is where a library comes from, without the host that most come from.
func libraryName(path string) string {
	parts := strings.Split(path, "/")
	switch parts[0] {
	case "github.com":
		return strings.Join(parts[1:3], "/")
	case "rsc.io":
		return strings.Join(parts[:2], "/")
	}
	return strings.Join(parts[:min(3, len(parts))], "/")
}

// testSupport says whether a file outside the _test.go files serves tests only.
func testSupport(rel string) bool { return strings.Contains(filepath.Dir(rel), "test") }
