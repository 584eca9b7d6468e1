package message_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"boardlore/domain/message"
)

// speaks reports whether what a file says is for readers of pages and answers:
// that of every file of domain, schema, store and api is, but of those aside and
// of packages for tests.
func speaks(file string) bool {
	top, _, _ := strings.Cut(file, "/")
	return slices.Contains([]string{"api", "domain", "schema", "store"}, top) && aside[file] == "" &&
		aside[path.Dir(file)] == "" &&
		!strings.HasSuffix(path.Dir(file), "test")
}

// aside are the files and packages whose words are for others, and why.
var aside = map[string]string{
	"api/client": "told to programs, and at the command line",
	"api/describe.go": "the contract, one document for those who write programs, in English as " +
		"its schemas are",
	"api/metrics.go":                      "helps of figures, told to whoever keeps the server",
	"api/mirror":                          "told to whoever keeps the mirror",
	"api/openapi.go":                      "the contract",
	"api/query.go":                        "the contract",
	"api/versions.go":                     "the contract",
	"domain/board/lexicon.go":             "words that are recognised, not said",
	"domain/board/plain.go":               "words that are recognised, not said",
	"domain/message":                      "what speaks, and the names of its joinings",
	"domain/quantity/quantity.go":         "the form of a quantity in a debugger",
	"domain/review/bearing.go":            "words that are recognised, not said",
	"domain/transparency/transparency.go": "the form of a log entry",
	"store/backup":                        "told at the command line of whoever keeps the server",
	"store/bundle":                        "told at the command line of whoever holds a bundle",
	"store/checkdata.go":                  "told at the command line of whoever keeps the server",
	"store/cluster":                       "told to the log of whoever keeps the server",
	"store/reach.go":                      "told to the log of whoever keeps the server",
}

// forPrograms are headers, types of media, and methods with their paths.
var forPrograms = regexp.MustCompile(`^(text|application)/[a-z]|^(;? ?[a-z]+-src '|public, |private, |User-agent: |ETag, |GET, |Authorization, |Accept-Language, )|` +
	`^(GET|POST|PUT|DELETE) /|%s\nstatus %d, type`)

// data are literals of three words and more that nobody is told: words to be
// recognised, headings of tables for programs.
var data = regexp.MustCompile(`^(Kit from a list|v voltage spannung .*|tolerance toleranz .*|power leistung .*|temperature temperatur .*|current strom .*|` +
	`your the our .*|\(\?i\).*|for\|at\|.*|may stand in|no quick rule for |Wilson score interval, .*|enum of other than texts|goes on (from|under) a .*|%s\n(taken up|left) at [\s\S]*|hot_place false|answer broken off|problem not writable|an object of %d members|a list of %d items)$|^\s*\n|nicht \(\?:lieferbar|agotad\[oa\]`)

var (
	aWord = regexp.MustCompile(`\p{L}{2,}`)
	aKey  = regexp.MustCompile(`^[a-z]+(\.[A-Za-z0-9-]+)+$`)
)

// markup is a piece of a drawing.
var markup = regexp.MustCompile(`^<[a-z]|="`)

// ofParts are paths of members, which are not keys though sentences about parts
// begin alike.
var ofParts = regexp.MustCompile(`^part\.(class|value|voltage)$`)

// literals walks over the string literals of the program's source; those of
// errors that only the log sees, of panics and of patterns are left out.
func literals(t *testing.T, each func(file, text string, pos token.Position)) {
	err := filepath.WalkDir("../..", func(file string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(file, ".go") || strings.HasSuffix(file, "_test.go") {
			return err
		}
		set := token.NewFileSet()
		f, err := parser.ParseFile(set, file, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(f, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.ImportSpec:
				return false
			case *ast.Field:
				n.Tag = nil
			case *ast.KeyValueExpr: // what the contract says of a route or parameter
				k, is := n.Key.(*ast.Ident)
				return !is || k.Name != "about"
			case *ast.ValueSpec:
				return !strings.HasPrefix(n.Names[0].Name, "about")
			case *ast.CallExpr:
				return !unheard[called(n.Fun)]
			case *ast.BasicLit:
				if s, err := strconv.Unquote(n.Value); err == nil && n.Kind == token.STRING {
					each(filepath.ToSlash(strings.TrimPrefix(file, "../../")), s, set.Position(n.Pos()))
				}
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// unheard are the calls whose texts nobody is told.
// Those of fail say to the log what was attempted; those of a progress and of
// fault are told to whoever keeps the server, at its command line.
var unheard = map[string]bool{"errors.New": true, "fmt.Errorf": true, "panic": true, "regexp.MustCompile": true,
	"fail": true, "progress": true, "c.fault": true}

// aQuery is SQL, or a piece of it.
var aQuery = regexp.MustCompile(`\b(SELECT|FROM|WHERE|JOIN|AND|ORDER BY|UNION|SET|LISTEN|BEGIN|DO|UPDATE|EXISTS|INSERT|OR)\b|\b[a-z]\.[a-z_]+, |pg_|<@`)

func called(fun ast.Expr) string {
	switch x := fun.(type) {
	case *ast.Ident:
		return x.Name
	case *ast.SelectorExpr:
		return called(x.X) + "." + x.Sel.Name
	}
	return ""
}

// TestSentencesAreInTheFiles: no package says a sentence of its own.
func TestSentencesAreInTheFiles(t *testing.T) {
	literals(t, func(file, text string, pos token.Position) {
		if speaks(file) && len(aWord.FindAllString(text, -1)) >= 3 && strings.Contains(text, " ") &&
			!data.MatchString(text) && !aQuery.MatchString(text) && !markup.MatchString(text) &&
			!forPrograms.MatchString(text) {
			t.Errorf("%s:%d says %q: put it into en.txt and hold its key", file, pos.Line, text)
		}
	})
}

// TestKeys: every key that is held has its sentence, and every sentence its
// use; a key that is made at run time is used by its beginning.
func TestKeys(t *testing.T) {
	sets, used := map[string]bool{}, map[string]bool{}
	for _, k := range message.English.Keys() {
		set, _, _ := strings.Cut(k, ".")
		sets[set] = true
		sets[k[:strings.LastIndexByte(k, '.')]] = true
	}
	literals(t, func(file, text string, pos token.Position) {
		used[strings.TrimSuffix(text, ".")] = true
		set, _, _ := strings.Cut(text, ".")
		if aKey.MatchString(text) && sets[set] && speaks(file) && path.Dir(file) != "api/pages" &&
			!message.English.Has(text) && !sets[text] && !isFile(text) && !ofParts.MatchString(text) {
			t.Errorf("%s:%d: %s has no sentence", file, pos.Line, text)
		}
	})
	for _, k := range message.English.Keys() {
		if !used[k] && !used[k[:strings.LastIndexByte(k, '.')]] && !strings.HasPrefix(k, "list.") &&
			!strings.HasPrefix(k, "page.") { // the pages have a test of their own
			t.Errorf("%s is said nowhere", k)
		}
	}
}

func isFile(name string) bool {
	_, err := os.Stat(filepath.Join("../..", name))
	return err == nil
}

// TestLanguages: every language has the same keys, and each sentence the same
// blanks.
func TestLanguages(t *testing.T) {
	for _, l := range message.Languages[1:] {
		for _, k := range l.Keys() {
			if !message.English.Has(k) {
				t.Errorf("%s: %s is no key", l.Tag, k)
			}
		}
		for _, k := range message.English.Keys() {
			if !l.Has(k) {
				t.Errorf("%s: %s is not said", l.Tag, k)
			} else if !slices.Equal(l.Blanks(k), message.English.Blanks(k)) {
				t.Errorf("%s: %s fills in %v, in English %v", l.Tag, k, l.Blanks(k), message.English.Blanks(k))
			}
		}
	}
}
