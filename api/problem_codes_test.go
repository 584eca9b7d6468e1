package api

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"boardlore/domain/fault"
)

// faultKinds are the kinds of fault by the names that code has for them.
var faultKinds = map[string]fault.Kind{"NotFound": fault.NotFound, "Conflict": fault.Conflict, "Stale": fault.Stale,
	"Unconditional":   fault.Unconditional,
	"Unauthenticated": fault.Unauthenticated, "NotAllowed": fault.NotAllowed, "Malformed": fault.Malformed,
	"Invalid":  fault.Invalid,
	"TooLarge": fault.TooLarge, "Unavailable": fault.Unavailable}

// raised is a fault that some line of the program makes.
type raised struct {
	code, kind string // kind as code names it; "" where it is not told in the same place
	at         token.Position
}

// TestEveryFaultHasItsProblem: whatever code of a fault any package makes is a
// row of the table of problems, with the status of its kind, so that its type
// leads to a page that explains it.
func TestEveryFaultHasItsProblem(t *testing.T) {
	all := faults(t)
	if len(all) < 60 {
		t.Fatalf("only %d faults found in the source", len(all))
	}
	told := map[string]bool{}
	for _, r := range all {
		p := problemIndex[r.code]
		kind, known := faultKinds[r.kind]
		switch key := r.code + " " + r.kind; {
		case told[key]:
		case p == nil:
			t.Errorf("%s: the code %q of a fault has no problem type", r.at, r.code)
			told[key] = true
		case known && problemIndex[kindProblem[kind]].Status != p.Status:
			t.Errorf("%s: %q is made as %s, and its problem type has status %d", r.at, r.code, r.kind, p.Status)
			told[key] = true
		}
	}
}

// faults finds the faults that the source of the program makes: by fault.New, as
// fault.Error, and by the functions that take a code.
func faults(t *testing.T) (all []raised) {
	t.Helper()
	for _, files := range sources(t) {
		helpers := map[string]int{}
		for _, f := range files {
			for _, d := range f.Decls {
				if fn, ok := d.(*ast.FuncDecl); ok && makesFaults(fn) {
					helpers[fn.Name.Name] = codeOf(fn)
				}
			}
		}
		for _, f := range files {
			all = append(all, chosenCodes(f)...)
			ast.Inspect(f, func(n ast.Node) bool {
				if r, ok := faultIn(n, helpers); ok {
					r.at = fileSet.Position(n.Pos())
					all = append(all, r)
				}
				return true
			})
		}
	}
	return all
}

// chosenCodes finds the codes that a function puts into a variable before it
// makes its fault.
func chosenCodes(f *ast.File) (all []raised) {
	for _, d := range f.Decls {
		fn, ok := d.(*ast.FuncDecl)
		if !ok || fn.Body == nil || !mentionsFault(fn) {
			continue
		}
		ast.Inspect(fn.Body, func(n ast.Node) bool {
			a, ok := n.(*ast.AssignStmt)
			for i := 0; ok && i < len(a.Lhs) && len(a.Lhs) == len(a.Rhs); i++ {
				if code, is := literal(a.Rhs[i]); is && isName(a.Lhs[i], "code") {
					r := raised{code: code, at: fileSet.Position(n.Pos())}
					all = append(all, r)
				}
			}
			return true
		})
	}
	return all
}

var fileSet = token.NewFileSet()

func sources(t *testing.T) map[string][]*ast.File {
	t.Helper()
	out := map[string][]*ast.File{}
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		f, err := parser.ParseFile(fileSet, path, nil, parser.SkipObjectResolution)
		if err == nil {
			out[filepath.Dir(path)] = append(out[filepath.Dir(path)], f)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// codeOf is which parameter of a function is the code of a fault, -1 for none.
func codeOf(fn *ast.FuncDecl) int {
	n := 0
	for _, p := range fn.Type.Params.List {
		for _, name := range p.Names {
			if name.Name == "code" {
				return n
			}
			n++
		}
	}
	return -1
}

// makesFaults reports whether a function makes a fault of the code that it is
// given; others make findings.
func makesFaults(fn *ast.FuncDecl) bool {
	return codeOf(fn) >= 0 && fn.Body != nil && mentionsFault(fn)
}

func mentionsFault(fn *ast.FuncDecl) (does bool) {
	ast.Inspect(fn.Body, func(n ast.Node) bool {
		if s, ok := n.(*ast.SelectorExpr); ok && isName(s.X, "fault") && s.Sel.Name != "As" {
			does = true
		}
		return !does
	})
	return does
}

func faultIn(n ast.Node, helpers map[string]int) (r raised, ok bool) {
	switch n := n.(type) {
	case *ast.CallExpr:
		name, of := calledName(n.Fun)
		switch at, helps := helpers[name]; {
		case of == "fault" && name == "New" && len(n.Args) > 1:
			r.kind = selected(n.Args[0])
			r.code, ok = literal(n.Args[1])
		case of == "" && helps && at < len(n.Args):
			r.code, ok = literal(n.Args[at])
		}
	case *ast.CompositeLit:
		if s, is := n.Type.(*ast.SelectorExpr); is && isName(s.X, "fault") && s.Sel.Name == "Error" {
			for _, e := range n.Elts {
				if kv, is := e.(*ast.KeyValueExpr); is && isName(kv.Key, "Code") {
					r.code, ok = literal(kv.Value)
				} else if is && isName(kv.Key, "Kind") {
					r.kind = selected(kv.Value)
				}
			}
		}
	}
	return r, ok
}

// calledName is the name of what is called, and of the package or value before it.
func calledName(fun ast.Expr) (name, of string) {
	switch f := fun.(type) {
	case *ast.Ident:
		return f.Name, ""
	case *ast.SelectorExpr:
		if x, ok := f.X.(*ast.Ident); ok {
			of = x.Name
		}
		if of != "fault" {
			of = "" // a method
		}
		return f.Sel.Name, of
	}
	return "", ""
}

func selected(e ast.Expr) string {
	if s, ok := e.(*ast.SelectorExpr); ok {
		return s.Sel.Name
	}
	return ""
}

func literal(e ast.Expr) (string, bool) {
	l, ok := e.(*ast.BasicLit)
	if !ok || l.Kind != token.STRING {
		return "", false
	}
	s, err := strconv.Unquote(l.Value)
	return s, err == nil
}

func isName(e ast.Expr, name string) bool {
	i, ok := e.(*ast.Ident)
	return ok && i.Name == name
}
