package api

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// workshop is a folder with the pinned tools of others (testdata/generators)
// and the description. Where .ci/run has not installed them the test is skipped.
func workshop(t *testing.T) string {
	t.Helper()
	if testing.Short() {
		t.Skip("runs tools of others")
	}
	installed := os.Getenv("BOARDLORE_TEST_GENERATORS")
	if installed == "" {
		if strings.Contains(os.Getenv("BOARDLORE_TEST_REQUIRE"), "generators") {
			t.Fatal("BOARDLORE_TEST_GENERATORS names no folder in which npm ci was run")
		}
		t.Skip("BOARDLORE_TEST_GENERATORS names no folder in which npm ci was run; .ci/run sets it")
	}
	dir := t.TempDir()
	for _, name := range []string{"package.json", "ajv.mjs", "go.mod", "go.sum"} {
		b, err := os.ReadFile(filepath.Join("testdata/generators", name))
		if err != nil {
			t.Fatal(err)
		}
		putFile(t, filepath.Join(dir, name), b)
	}
	if err := os.Symlink(filepath.Join(installed, "node_modules"), filepath.Join(dir, "node_modules")); err != nil {
		t.Fatal(err)
	}
	b, err := openAPI("1")
	if err != nil {
		t.Fatal(err)
	}
	putFile(t, filepath.Join(dir, "api.json"), b)
	return dir
}

func putFile(t *testing.T, name string, b []byte) {
	t.Helper()
	if err := os.WriteFile(name, b, 0o600); err != nil {
		t.Fatal(err)
	}
}

// run runs a tool in the workshop and gives what it printed.
func run(t *testing.T, dir, name string, args ...string) string {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), name, args...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "CI=true", "NO_COLOR=1", "REDOCLY_TELEMETRY=off", "GOFLAGS=-mod=mod", "GOWORK=off")
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Errorf("%s %s: %v\n%s", name, strings.Join(args, " "), err, tail(out))
	}
	return string(out)
}

func tail(b []byte) []byte { return b[max(0, len(b)-3000):] }

// TestOthersGenerate has three generators of others make code from the
// description, the compilers of their languages take it, and a linter read it.
func TestOthersGenerate(t *testing.T) {
	dir := workshop(t)
	bin := filepath.Join(dir, "node_modules", ".bin")
	run(t, dir, filepath.Join(bin, "openapi-typescript"), "api.json", "-o", "types/one.ts")
	run(t, dir, filepath.Join(bin, "openapi-ts"), "-i", "api.json", "-o", "two")
	run(t, dir, filepath.Join(bin, "tsc"), "--noEmit", "--strict", "--skipLibCheck", "--target", "es2022", "--module",
		"nodenext",
		"--moduleResolution", "nodenext", "types/one.ts", "two/index.ts")
	run(t, dir, "go", "tool", "oapi-codegen", "-generate", "types,skip-prune", "-package", "generated", "-o", "gen.go",
		"api.json")
	run(t, dir, "go", "build", "./...")
	code, err := os.ReadFile(filepath.Join(dir, "gen.go"))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"Map", "Kit", "Evidence", "CommonBoard", "Reconciliation", "Plan"} {
		if !bytes.Contains(code, []byte("\ntype "+name+" struct {")) {
			t.Errorf("no type %s with members was generated", name)
		}
	}
	if out := run(t, dir, filepath.Join(bin, "redocly"), "lint", "api.json"); !strings.Contains(out, "valid") {
		t.Errorf("the linter says %s", tail([]byte(out)))
	}
}

// TestOneValidatorForAll loads every schema into one strict validator of another
// language, and holds documents to them there.
func TestOneValidatorForAll(t *testing.T) {
	dir := workshop(t)
	type example struct {
		Name     string         `json:"name"`
		Schema   string         `json:"schema"`
		Holds    bool           `json:"holds"`
		Document jsontext.Value `json:"document"`
	}
	examples := []example{{"the sample map", "map", true, jsontext.Value(sampleMap)}}
	for what, alter := range map[string][2]string{
		"a member that there is none of": {`"name":"Main board"`, `"name":"Main board","colour":"green"`},
		"no name":                        {`"name":"Main board",`, ``},
		"a side that there is none of":   {`"side":"top"`, `"side":"left"`},
	} {
		altered := strings.Replace(sampleMap, alter[0], alter[1], 1)
		if altered == sampleMap {
			t.Fatalf("%s: nothing was altered", what)
		}
		examples = append(examples, example{what, "map", false, jsontext.Value(altered)})
	}
	b, err := json.Marshal(examples)
	if err != nil {
		t.Fatal(err)
	}
	putFile(t, filepath.Join(dir, "examples.json"), b)
	schemas, err := filepath.Abs("../schema/documents")
	if err != nil {
		t.Fatal(err)
	}
	out := run(t, dir, "node", "ajv.mjs", schemas, "examples.json")
	files, err := filepath.Glob(filepath.Join(schemas, "*.json"))
	if want := fmt.Sprintf("%d schemas", len(files)); err != nil || !strings.Contains(out, want) {
		t.Errorf("want %s: %s", want, out)
	}
}
