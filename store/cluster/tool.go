//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package cluster

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
)

var clientVersion = regexp.MustCompile(`\(PostgreSQL\) (\d+)`)

// clientMajor is the major version of a client program, 0 where it does not say.
func clientMajor(ctx context.Context, path string) int {
	out, err := exec.CommandContext(ctx, path, "--version").Output()
	if err != nil {
		return 0
	}
	m := clientVersion.FindSubmatch(out)
	if m == nil {
		return 0
	}
	n, _ := strconv.Atoi(string(m[1]))
	return n
}

// Tool finds one of PostgreSQL's client programs, such as pg_dump, of a major
// version that is at least the server's: an older one refuses its work. Of
// several it is the one nearest to the server's version.
func Tool(ctx context.Context, name string, server int) (string, error) {
	best, found := 0, ""
	for _, p := range programs(ctx, Options{}, "", account{}) {
		path := filepath.Join(p.Dir, name)
		if info, err := os.Stat(path); err != nil || info.Mode()&0o111 == 0 {
			continue
		}
		if p.Major >= server && (best == 0 || p.Major < best) {
			best, found = p.Major, path
		}
	}
	if found == "" { // there may be clients without a server
		if path, err := exec.LookPath(name); err == nil && clientMajor(ctx, path) >= server {
			return path, nil
		}
		return "", fmt.Errorf("%w of version %d or later with the program %s: install it, for example with: %s",
			ErrNoPostgres, server, name, installLine(server))
	}
	return found, nil
}
