//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package cluster

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
)

const (
	ownerLock  = "owner.lock"
	usersLock  = "users.lock"
	dataName   = "postgres"
	runName    = "run"
	logName    = "log"
	initPrefix = "initdb-" // a data directory in the making
)

// socketLimit is the longest path of a socket folder. A socket's whole path is at most 103 bytes on the tightest
// system (sun_path is 104 bytes with its closing zero on BSD and macOS, 108 on Linux).
const socketLimit = 103 - len("/.s.PGSQL.") - len(port)

// folder is a data folder, by its absolute path.
type folder struct{ path string }

func (f folder) data() string { return filepath.Join(f.path, dataName) }
func (f folder) run() string  { return filepath.Join(f.path, runName) }
func (f folder) log() string  { return filepath.Join(f.path, logName) }

// inspect answers the data folder at dir, or why it must not be touched. It changes nothing.
func inspect(dir string, opt Options) (folder, error) {
	path, err := filepath.Abs(dir)
	if err != nil {
		return folder{}, fmt.Errorf("data folder %s: %w", dir, err)
	}
	f := folder{path}
	major, err := f.version()
	if err != nil || major != 0 {
		return f, err
	}
	entries, err := os.ReadDir(path)
	if errors.Is(err, fs.ErrNotExist) {
		return f, nil
	}
	if err != nil {
		return f, fmt.Errorf("data folder: %w", err)
	}
	for _, e := range entries {
		if !known(e.Name(), opt) {
			return f, fmt.Errorf("%w: %s holds %q, so no database is put into it: name an empty folder, or one that "+
				"does not exist yet", ErrForeign, path, e.Name())
		}
	}
	return f, nil
}

// known tells whether a name may stand in a data folder that has no cluster yet.
func known(name string, opt Options) bool {
	own := []string{ownerLock, usersLock, dataName, runName, logName, "lost+found"}
	return slices.Contains(own, name) || slices.Contains(opt.Known, name) || strings.HasPrefix(name, initPrefix)
}

// version is the major version of the cluster in the folder, 0 if there is none yet.
func (f folder) version() (int, error) {
	entries, err := os.ReadDir(f.data())
	if errors.Is(err, fs.ErrNotExist) {
		return 0, nil
	}
	if err != nil {
		return 0, f.unreadable(err)
	}
	if len(entries) == 0 {
		return 0, nil
	}
	text, err := os.ReadFile(filepath.Join(f.data(), "PG_VERSION"))
	if errors.Is(err, fs.ErrNotExist) {
		return 0, fmt.Errorf("%w: %s is not empty and holds no PostgreSQL cluster", ErrForeign, f.data())
	}
	if err != nil {
		return 0, f.unreadable(err)
	}
	if _, err := os.Stat(filepath.Join(f.data(), "global", "pg_control")); err != nil {
		return 0, fmt.Errorf("%w: the cluster in %s is not whole: %w", ErrForeign, f.data(), err)
	}
	return major(strings.TrimSpace(string(text)), f.data())
}

// major reads a PG_VERSION. Before version 10 it had two numbers, such as 9.6.
func major(text, data string) (int, error) {
	first, _, _ := strings.Cut(text, ".")
	n, err := strconv.Atoi(first)
	if err != nil || n < 1 {
		return 0, fmt.Errorf("%w: %s names no version that can be read: %q", ErrForeign,
			filepath.Join(data, "PG_VERSION"), text)
	}
	if n < Oldest {
		return 0, fmt.Errorf("%w: %s was made by PostgreSQL %s, and %d is the oldest that will do: dump it with its own "+
			"programs and load the dump into a new folder", ErrVersion, data, text, Oldest)
	}
	return n, nil
}

func (f folder) unreadable(err error) error {
	if name := ownerName(f.data()); errors.Is(err, fs.ErrPermission) && name != "" {
		return fmt.Errorf("the database in %s belongs to account %s: run this as %s or as root: %w", f.path, name, name,
			err)
	}
	return fmt.Errorf("data folder: %w", err)
}

// create makes the data folder if it is not there. As root, others may pass through it to the database's own folders.
func (f folder) create() error {
	mode := fs.FileMode(0o700)
	if os.Geteuid() == 0 {
		mode = 0o711
	}
	if err := os.MkdirAll(f.path, mode); err != nil {
		return fmt.Errorf("data folder: %w", err)
	}
	return nil
}

// open opens one of the folder's lock files.
func (f folder) open(name string) (*os.File, error) {
	if err := f.create(); err != nil {
		return nil, err
	}
	file, err := os.OpenFile(filepath.Join(f.path, name), os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, fmt.Errorf("data folder: %w", err)
	}
	return file, nil
}

// tryOwn takes the owner's lock, or answers an *OwnedError at once.
func (f folder) tryOwn(passing bool) (*os.File, error) {
	file, err := f.open(ownerLock)
	if err != nil {
		return nil, err
	}
	err = flock(file, syscall.LOCK_EX)
	if errors.Is(err, syscall.EWOULDBLOCK) {
		defer file.Close()
		return nil, f.owner(file)
	}
	if err == nil {
		err = sign(file, passing)
	}
	if err != nil {
		_ = file.Close()
		return nil, fmt.Errorf("lock %s: %w", file.Name(), err)
	}
	return file, nil
}

// own takes the owner's lock for as long as the server runs. It waits for a command, not for another server.
func (f folder) own(ctx context.Context) (*os.File, error) {
	ctx, cancel := context.WithTimeout(ctx, passingWait)
	defer cancel()
	for {
		file, err := f.tryOwn(false)
		var owned *OwnedError
		if err == nil || !errors.As(err, &owned) || !owned.Passing {
			return file, err
		}
		if pause(ctx, pollEvery) != nil {
			return nil, err
		}
	}
}

// sign writes who holds the lock into its file, for the message to those who come second.
func sign(file *os.File, passing bool) error {
	if err := file.Truncate(0); err != nil {
		return err
	}
	role := "server"
	if passing {
		role = "command"
	}
	_, err := file.WriteAt(fmt.Appendf(nil, "%d %s\n", os.Getpid(), role), 0)
	return err
}

func (f folder) owner(file *os.File) *OwnedError {
	e := &OwnedError{Dir: f.path}
	buf := make([]byte, 64)
	n, _ := file.ReadAt(buf, 0) // a short or empty file only makes the message poorer
	if words := strings.Fields(string(buf[:n])); len(words) == 2 {
		e.PID, _ = strconv.Atoi(words[0])
		e.Passing = words[1] == "command"
	}
	return e
}

// join says that this process uses the cluster of another. It waits while a passing owner stops its cluster.
func (f folder) join(ctx context.Context) (*os.File, error) {
	file, err := f.open(usersLock)
	if err != nil {
		return nil, err
	}
	if err := flockWait(ctx, file, syscall.LOCK_SH); err != nil {
		_ = file.Close()
		return nil, fmt.Errorf("lock %s: %w", file.Name(), err)
	}
	return file, nil
}

// alone waits, for a bounded time, until no other process uses the cluster, and keeps new ones waiting until the file
// that it answers is closed.
func (f folder) alone(ctx context.Context) *os.File {
	file, err := f.open(usersLock)
	if err != nil {
		return nil
	}
	ctx, cancel := context.WithTimeout(ctx, usersWait)
	defer cancel()
	_ = flockWait(ctx, file, syscall.LOCK_EX) // past the wait the cluster is stopped all the same
	return file
}

func flock(file *os.File, how int) error {
	for {
		err := syscall.Flock(int(file.Fd()), how|syscall.LOCK_NB)
		if !errors.Is(err, syscall.EINTR) {
			return err
		}
	}
}

func flockWait(ctx context.Context, file *os.File, how int) error {
	for {
		err := flock(file, how)
		if !errors.Is(err, syscall.EWOULDBLOCK) {
			return err
		}
		if err := pause(ctx, pollEvery); err != nil {
			return err
		}
	}
}

// lay makes the folders beside the data directory, for the account that the database runs under.
func (f folder) lay(a account) error {
	if a.drop {
		if err := widen(f.path); err != nil {
			return err
		}
	}
	for _, dir := range []string{f.run(), f.log()} {
		if err := a.mkdir(dir); err != nil {
			return fmt.Errorf("data folder: %w", err)
		}
	}
	return nil
}

// widen lets other accounts pass through the data folder itself, without listing it.
func widen(path string) error {
	info, err := os.Stat(path)
	if err != nil {
		return fmt.Errorf("data folder: %w", err)
	}
	if mode := info.Mode().Perm(); mode&0o011 != 0o011 {
		if err := os.Chmod(path, mode|0o011); err != nil {
			return fmt.Errorf("data folder: %w", err)
		}
	}
	return nil
}

// socket answers the folder for the socket: run in the data folder if a socket's path can be that long and the account
// can get there, else one named after the data folder among the temporary files.
func (f folder) socket(a account) (string, error) {
	if dir := f.run(); fits(dir) && a.reaches(dir) {
		return dir, nil
	}
	sum := sha256.Sum256([]byte(f.path))
	name := fmt.Sprintf("boardlore-%d-%s", a.uid, hex.EncodeToString(sum[:8]))
	for _, tmp := range []string{os.TempDir(), "/tmp"} {
		dir := filepath.Join(tmp, name)
		if !fits(dir) || !a.reaches(tmp) {
			continue
		}
		if err := a.mkdir(dir); err != nil {
			return "", fmt.Errorf("folder for the database's socket: %w", err)
		}
		return dir, nil
	}
	return "", fmt.Errorf("no folder for the database's socket: %s is too long for one, and so is %s: name a data "+
		"folder with a shorter path", f.run(), os.TempDir())
}

// fits tells whether a socket in dir can be named, to the system (its length) and in connection strings and settings,
// where a comma parts several and quotes and controls have meanings of their own.
func fits(dir string) bool {
	return len(dir) <= socketLimit && !strings.ContainsFunc(dir, func(r rune) bool {
		return r < ' ' || strings.ContainsRune(`,"'\%`, r)
	})
}
