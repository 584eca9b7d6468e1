//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package cluster

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"
)

// usual are the folders that distributions put PostgreSQL's server programs into, off the PATH where several versions
// live side by side.
var usual = []string{
	"/usr/lib/postgresql/*/bin",               // Debian and its kin
	"/usr/pgsql-*/bin",                        // PostgreSQL's own packages for Red Hat and its kin
	"/usr/lib/postgresql*/bin",                // SUSE
	"/usr/libexec/postgresql*",                // Alpine
	"/usr/lib64/pgsql/bin",                    // Gentoo, Slackware
	"/usr/local/pgsql/bin",                    // built from source
	"/usr/local/lib/postgresql/bin",           // BSD
	"/opt/homebrew/opt/postgresql@*/bin",      // Homebrew
	"/usr/local/opt/postgresql@*/bin",         // Homebrew on Intel
	"/Library/PostgreSQL/*/bin",               // the macOS installer
	"/Applications/Postgres*.app/*/*/*/*/bin", // a macOS application
	"/opt/local/lib/postgresql*/bin",          // MacPorts
}

// Find answers the programs of PostgreSQL that a new cluster would be made with: the first on the PATH, else the newest
// in the usual folders of distributions. It fetches nothing. The error is ErrNoPostgres, with the line that installs it.
func Find(ctx context.Context) (Programs, error) {
	all := programs(ctx, Options{}, "", account{})
	if len(all) == 0 {
		return Programs{}, fmt.Errorf("%w: install it, for example with: %s", ErrNoPostgres, installLine(0))
	}
	return all[0], nil
}

// find answers programs of the wanted major version, or of any that will do if it is 0, fetching them if need be.
func find(ctx context.Context, f folder, want int, a account, opt Options) (Programs, error) {
	cache := cacheFolder(f)
	all := programs(ctx, opt, cache, a)
	for _, p := range all {
		if want == 0 || p.Major == want {
			return p, nil
		}
	}
	fetched := errors.New("fetching is turned off")
	if !opt.NoFetch {
		var p Programs
		if p, fetched = fetch(ctx, cache, want, opt); fetched == nil {
			return p, nil
		}
	}
	if want == 0 {
		return Programs{}, fmt.Errorf("%w (%d or later; looked on the PATH and where distributions put it), and none "+
			"could be fetched: %w; install it, for example with: %s", ErrNoPostgres, Oldest, fetched, installLine(0))
	}
	return Programs{}, fmt.Errorf("%w: %s was made by PostgreSQL %d, and here is %s; fetching that version: %w; "+
		"install it, for example with: %s", ErrVersion, f.data(), want, spell(all), fetched, installLine(want))
}

func spell(all []Programs) string {
	if len(all) == 0 {
		return "none"
	}
	var s []string
	for _, p := range all {
		s = append(s, fmt.Sprintf("%d (%s)", p.Major, p.Dir))
	}
	return strings.Join(s, ", ")
}

// programs lists the installations that will do and that the account can run, in the order of preference.
func programs(ctx context.Context, opt Options, cache string, a account) []Programs {
	var all []Programs
	asked := map[string]bool{}
	add := func(dirs ...string) {
		var found []Programs
		for _, dir := range dirs {
			dir, ok := binaries(dir)
			if !ok || asked[dir] {
				continue
			}
			asked[dir] = true
			if p, ok := installation(ctx, dir); ok && p.Major >= Oldest && a.reaches(p.Dir) {
				found = append(found, p)
			}
		}
		slices.SortStableFunc(found, func(x, y Programs) int { return cmp.Compare(y.Major, x.Major) })
		all = append(all, found...)
	}
	if opt.Bin != "" {
		add(opt.Bin)
	}
	for _, dir := range filepath.SplitList(os.Getenv("PATH")) {
		add(dir)
	}
	add(glob(usual...)...)
	if cache != "" {
		add(glob(filepath.Join(cache, "postgresql-*", "bin"))...)
	}
	return all
}

func glob(patterns ...string) []string {
	var dirs []string
	for _, p := range patterns {
		found, _ := filepath.Glob(p) // its one error is a malformed pattern
		dirs = append(dirs, found...)
	}
	return dirs
}

var versionText = regexp.MustCompile(`^postgres \(PostgreSQL\) (\d+)`)

// binaries answers the folder where the server programs that dir names really are: it may hold links to them.
func binaries(dir string) (string, bool) {
	postgres, err := filepath.EvalSymlinks(filepath.Join(dir, "postgres"))
	if err != nil || !filepath.IsAbs(postgres) {
		return "", false
	}
	dir = filepath.Dir(postgres)
	info, err := os.Stat(filepath.Join(dir, "initdb"))
	return dir, err == nil && info.Mode()&0o111 != 0
}

// installation answers the server programs in dir, if they run and say their version.
func installation(ctx context.Context, dir string) (Programs, bool) {
	ctx, cancel := context.WithTimeout(ctx, 10*time.Second)
	defer cancel()
	out, err := exec.CommandContext(ctx, filepath.Join(dir, "postgres"), "--version").Output()
	if err != nil {
		return Programs{}, false
	}
	m := versionText.FindSubmatch(out)
	if m == nil {
		return Programs{}, false
	}
	n, err := strconv.Atoi(string(m[1]))
	return Programs{Dir: dir, Major: n}, err == nil
}

// cacheFolder is where fetched programs are kept: for all clusters of the account, and where, as root, the database's
// own account can run them.
func cacheFolder(f folder) string {
	if os.Geteuid() == 0 {
		return "/var/cache/boardlore"
	}
	if dir, err := os.UserCacheDir(); err == nil && filepath.IsAbs(dir) {
		return filepath.Join(dir, "boardlore")
	}
	return filepath.Join(f.path, "programs")
}

// installLine is the command that installs PostgreSQL here, in the given major version unless it is 0.
func installLine(major int) string {
	release, _ := os.ReadFile("/etc/os-release") // not there on other systems than Linux
	return installFor(runtime.GOOS, string(release), major)
}

func installFor(goos, release string, major int) string {
	version := ""
	if major != 0 {
		version = strconv.Itoa(major)
	}
	newest := cmp.Or(version, "17")
	switch {
	case goos == "darwin":
		return "brew install postgresql@" + newest
	case goos == "freebsd":
		return "pkg install postgresql" + newest + "-server"
	case goos != "linux":
		return "the package postgresql-server"
	}
	line := map[string]string{
		"alpine": "apk add postgresql" + newest,
		"arch":   "pacman -S postgresql",
		"fedora": "dnf install postgresql" + version + "-server",
		"rhel":   "dnf install postgresql" + version + "-server",
		"suse":   "zypper install postgresql" + version + "-server",
	}
	for _, id := range distribution(release) {
		if l, ok := line[id]; ok {
			return l
		}
	}
	if version != "" {
		return "apt-get install postgresql-" + version
	}
	return "apt-get install postgresql"
}

// distribution reads the names in an os-release file that say what kind of Linux it is, the most particular first.
func distribution(release string) []string {
	var ids []string
	for _, key := range []string{"ID=", "ID_LIKE="} {
		for line := range strings.Lines(release) {
			if v, ok := strings.CutPrefix(strings.TrimSpace(line), key); ok {
				ids = append(ids, strings.Fields(strings.Trim(v, `"'`))...)
			}
		}
	}
	return ids
}
