//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package cluster

import (
	"archive/zip"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// repository serves an archive of programs that name their version and do no more, as the fetching library expects it:
// a zip file with an xz-compressed tar file in it, and its digest beside it.
func repository(t *testing.T, digest func(string) string) *httptest.Server {
	t.Helper()
	if _, err := exec.LookPath("xz"); err != nil {
		t.Skip("no xz here to make an archive with")
	}
	dir := t.TempDir()
	bin := filepath.Join(dir, "bin")
	script := []byte("#!/bin/sh\necho 'postgres (PostgreSQL) 18.3'\n")
	if err := errors.Join(os.Mkdir(bin, 0o755), os.WriteFile(filepath.Join(bin, "postgres"), script, 0o755),
		os.WriteFile(filepath.Join(bin, "initdb"), script, 0o755)); err != nil {
		t.Fatal(err)
	}
	txz, err := exec.Command("tar", "-C", dir, "-cJf", "-", "bin/postgres", "bin/initdb").Output()
	if err != nil {
		t.Fatal(err)
	}
	var jar bytes.Buffer
	z := zip.NewWriter(&jar)
	w, err := z.Create("postgres-linux-x86_64.txz")
	if err != nil {
		t.Fatal(err)
	}
	_, err = w.Write(txz)
	if err := errors.Join(err, z.Close()); err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(jar.Bytes())
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasSuffix(r.URL.Path, ".sha256") {
			_, _ = w.Write([]byte(digest(hex.EncodeToString(sum[:]))))
			return
		}
		_, _ = w.Write(jar.Bytes())
	}))
	t.Cleanup(s.Close)
	return s
}

func TestFetch(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir()) // the library leaves an empty log there
	s := repository(t, func(sum string) string { return sum })
	cache := filepath.Join(t.TempDir(), "cache")
	var told []string
	opt := Options{Mirror: s.URL, Progress: func(s string) { told = append(told, s) }}
	for range 2 { // the second finds the first's in its place
		p, err := fetch(context.Background(), cache, 0, opt)
		if err != nil {
			t.Fatal(err)
		}
		if want := filepath.Join(cache, "postgresql-18.3.0", "bin"); p.Major != 18 || p.Dir != want {
			t.Errorf("got %+v, want 18 in %s", p, want)
		}
	}
	if len(told) != 2 || !strings.Contains(told[0], "fetching 18.3.0") {
		t.Errorf("told %q", told)
	}
	left, err := os.ReadDir(cache)
	if err != nil || len(left) != 1 {
		t.Errorf("left in the cache: %v, %v", left, err)
	}
	all := programs(context.Background(), Options{}, cache, account{})
	if len(all) == 0 || all[len(all)-1].Major != 18 {
		t.Errorf("what was fetched is not among %v", all)
	}
}

func TestFetchRefuses(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir()) // the library leaves an empty log there
	tampered := repository(t, func(string) string { return strings.Repeat("0", 64) })
	gone := httptest.NewServer(http.NotFoundHandler())
	t.Cleanup(gone.Close)
	for name, c := range map[string]struct {
		mirror string
		major  int
		says   string
	}{
		"wrong digest": {tampered.URL, 0, "checksums"},
		"not there":    {gone.URL, 17, "17.5.0"},
		"no release":   {gone.URL, 97, "PostgreSQL 97"},
	} {
		cache := t.TempDir()
		_, err := fetch(context.Background(), cache, c.major, Options{Mirror: c.mirror})
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: got %v", name, err)
		}
		if left, err := os.ReadDir(cache); err != nil || len(left) != 0 {
			t.Errorf("%s: left in the cache: %v, %v", name, left, err)
		}
	}
}

// Without any PostgreSQL the message says how to get it, and nothing is made.
func TestNoPostgres(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir()) // the library leaves an empty log there
	t.Setenv("PATH", t.TempDir())
	places := usual
	usual = nil
	t.Cleanup(func() { usual = places })
	gone := httptest.NewServer(http.NotFoundHandler())
	t.Cleanup(gone.Close)
	if _, err := Find(context.Background()); !errors.Is(err, ErrNoPostgres) || !strings.Contains(err.Error(),
		"install") {
		t.Errorf("Find: %v", err)
	}
	for name, opt := range map[string]Options{"fetching": {Mirror: gone.URL}, "not fetching": {NoFetch: true}} {
		f := folder{filepath.Join(t.TempDir(), "data")}
		_, err := find(context.Background(), f, 0, account{}, opt)
		if !errors.Is(err, ErrNoPostgres) || !strings.Contains(err.Error(), installLine(0)) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestInstallLine(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		goos, release string
		major         int
		want          string
	}{
		{"linux", "ID=debian\n", 0, "apt-get install postgresql"},
		{"linux", "ID=ubuntu\nID_LIKE=debian\n", 16, "apt-get install postgresql-16"},
		{"linux", "NAME=x\nID=\"rocky\"\nID_LIKE=\"rhel centos fedora\"\n", 0, "dnf install postgresql-server"},
		{"linux", "ID=alpine\n", 0, "apk add postgresql17"},
		{"linux", "ID=\"opensuse-leap\"\nID_LIKE=\"suse opensuse\"\n", 15, "zypper install postgresql15-server"},
		{"linux", "", 0, "apt-get install postgresql"},
		{"darwin", "", 16, "brew install postgresql@16"},
		{"freebsd", "", 0, "pkg install postgresql17-server"},
	} {
		if got := installFor(c.goos, c.release, c.major); got != c.want {
			t.Errorf("%s %q %d: got %q, want %q", c.goos, c.release, c.major, got, c.want)
		}
	}
}

func TestFits(t *testing.T) {
	t.Parallel()
	for dir, want := range map[string]bool{
		"/var/lib/boardlore/run":                 true,
		"/home/a b/run":                          true,
		"/" + strings.Repeat("x", socketLimit-1): true,
		"/" + strings.Repeat("x", socketLimit):   false,
		"/a,b":                                   false, "/a%b": false, "/a\nb": false, `/a"b`: false, `/a\b`: false,
		"/a'b": false,
	} {
		if got := fits(dir); got != want {
			t.Errorf("%q: got %v", dir, got)
		}
	}
}

func FuzzPostmasterFile(f *testing.F) {
	f.Add("4711\n/data\n1700000000\n5432\n/run\n\n  1  2\nready   \n")
	f.Add("-4711\n/data\n")
	f.Add("")
	f.Add("0\n")
	dir := f.TempDir()
	f.Fuzz(func(t *testing.T, text string) {
		if err := os.WriteFile(pidFile(dir), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		pm, err := readPostmaster(dir)
		if err == nil && pm.pid <= 0 {
			t.Errorf("%q names process %d", text, pm.pid)
		}
	})
}

func FuzzMajor(f *testing.F) {
	for _, s := range []string{"15", "9.6", "", "15.", "-1", "99999999999999999999"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		n, err := major(text, "data")
		if err == nil && n < Oldest {
			t.Errorf("%q is taken for version %d", text, n)
		}
		if err != nil && !errors.Is(err, ErrForeign) && !errors.Is(err, ErrVersion) {
			t.Errorf("%q: %v is of no known kind", text, err)
		}
	})
}
