//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package cluster

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	embeddedpostgres "github.com/fergusstrange/embedded-postgres"
)

// fetchable are the releases that the library knows, by major version; newest is what a new cluster gets.
var fetchable = map[int]embeddedpostgres.PostgresVersion{
	15: embeddedpostgres.V15,
	16: embeddedpostgres.V16,
	17: embeddedpostgres.V17,
	18: embeddedpostgres.V18,
}

const newest = 18

const fetchWait = 10 * time.Minute

// fetch brings PostgreSQL's programs into the cache and answers them.
func fetch(ctx context.Context, cache string, want int, opt Options) (Programs, error) {
	if want == 0 {
		want = newest
	}
	release, ok := fetchable[want]
	if !ok {
		return Programs{}, fmt.Errorf("no source for PostgreSQL %d", want)
	}
	if opt.Progress != nil {
		opt.Progress(fmt.Sprintf("no PostgreSQL on this machine: fetching %s", release))
	}
	if err := os.MkdirAll(cache, 0o755); err != nil {
		return Programs{}, err
	}
	scratch, err := os.MkdirTemp(cache, "fetch-")
	if err != nil {
		return Programs{}, err
	}
	defer os.RemoveAll(scratch)
	ctx, cancel := context.WithTimeout(ctx, fetchWait)
	defer cancel()
	got := make(chan error, 1)
	go func() { got <- download(scratch, release, opt.Mirror) }()
	select {
	case <-ctx.Done():
		return Programs{}, fmt.Errorf("fetch PostgreSQL %s: %w", release, ctx.Err())
	case err = <-got:
	}
	if err != nil {
		return Programs{}, fmt.Errorf("fetch PostgreSQL %s: %w", release, err)
	}
	return keep(ctx, scratch, filepath.Join(cache, "postgresql-"+string(release)))
}

// download has the library fetch, verify and unpack a release into scratch. The library does that only on the way to
// starting a database, and it empties the data folder that it is given; so all its folders lie in scratch, and a
// locale that no program can be started with (an argument cannot hold a zero byte) stops it short of initdb.
func download(scratch string, release embeddedpostgres.PostgresVersion, mirror string) error {
	c := embeddedpostgres.DefaultConfig().
		Version(release).
		CachePath(filepath.Join(scratch, "archive")).
		RuntimePath(filepath.Join(scratch, "runtime")).
		BinariesPath(tree(scratch)).
		DataPath(filepath.Join(scratch, "none")).
		Locale("\x00").
		Port(0).
		Logger(io.Discard)
	if mirror != "" {
		c = c.BinaryRepositoryURL(mirror)
	}
	stopped := embeddedpostgres.NewDatabase(c).Start()
	if _, err := os.Stat(filepath.Join(tree(scratch), "bin", "postgres")); err != nil {
		return errors.Join(stopped, err)
	}
	return nil
}

func tree(scratch string) string { return filepath.Join(scratch, "tree") }

// keep moves what was fetched to its place. Of two processes that fetch at once, the second takes what the first left.
func keep(ctx context.Context, scratch, place string) (Programs, error) {
	if err := publish(tree(scratch)); err != nil {
		return Programs{}, err
	}
	moved := os.Rename(tree(scratch), place)
	p, ok := installation(ctx, filepath.Join(place, "bin"))
	if !ok {
		return Programs{}, errors.Join(fmt.Errorf("the programs fetched into %s do not run on this machine", place),
			moved)
	}
	return p, nil
}

// publish lets every account read and run what lies under dir, whatever this process's umask made of it.
func publish(dir string) error {
	return filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.Type()&fs.ModeSymlink != 0 {
			return err
		}
		info, err := e.Info()
		if err != nil {
			return err
		}
		mode := info.Mode().Perm() | 0o444
		if mode&0o100 != 0 {
			mode |= 0o111
		}
		return os.Chmod(path, mode)
	})
}
