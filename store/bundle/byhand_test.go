package bundle_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// byHand is the script that deploy/verify-by-hand.md has in its blocks.
func byHand(t *testing.T, key string) string {
	t.Helper()
	page, err := os.ReadFile("../../deploy/verify-by-hand.md")
	if err != nil {
		t.Fatal(err)
	}
	var script strings.Builder
	for _, block := range regexp.MustCompile("(?s)```bash\n(.*?)```").FindAllSubmatch(page, -1) {
		script.Write(block[1])
	}
	own := regexp.MustCompile(`KEY='[^']*'`)
	if n := len(own.FindAllString(script.String(), -1)); n != 1 {
		t.Fatalf("the page names the key %d times", n)
	}
	return own.ReplaceAllLiteralString(script.String(), "KEY='"+key+"'")
}

// TestByHand goes by the page with the programs that it names: a bundle holds,
// an altered one does not, and neither does one under another key.
func TestByHand(t *testing.T) {
	for _, program := range []string{"bash", "openssl", "basenc", "sha256sum", "tar"} {
		if _, err := exec.LookPath(program); err != nil {
			t.Skip(err)
		}
	}
	r := sample(t)
	file := write(t, r, "fen-a", "other")
	run := func(file []byte, key string) (string, error) {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, "bundle.tar"), file, 0o600); err != nil {
			t.Fatal(err)
		}
		cmd := exec.CommandContext(t.Context(), "bash", "-c", byHand(t, key))
		cmd.Dir = dir
		out, err := cmd.CombinedOutput()
		return string(out), err
	}
	if out, err := run(file, r.key); err != nil || !strings.HasSuffix(out, "all of it holds\n") {
		t.Fatalf("%v: %s", err, out)
	}
	if out, err := run(file, newRegistry(t).key); err == nil {
		t.Errorf("another key: %s", out)
	}
	for what, alter := range map[string]func(string, []byte) []byte{
		"a map": func(name string, b []byte) []byte { return bytes.Replace(b, []byte(`"C1"`), []byte(`"C2"`), 1) },
		"an entry": func(name string, b []byte) []byte {
			return bytes.Replace(b, []byte("mistaken"), []byte("illegal"),
				1)
		},
		"a photograph": func(name string, b []byte) []byte {
			return bytes.Replace(b, []byte("a picture"), []byte("a pictura"), 1)
		},
		"the size": func(name string, b []byte) []byte {
			return bytes.Replace(b, []byte("test\n5\n"), []byte("test\n6\n"), 1)
		},
	} {
		altered := remake(t, file, func(name string, data []byte) (string, []byte) { return name, alter(name, data) })
		if bytes.Equal(altered, file) {
			t.Fatalf("%s was not altered", what)
		}
		if out, err := run(altered, r.key); err == nil {
			t.Errorf("%s: %s", what, out)
		}
	}
}
