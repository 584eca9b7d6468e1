package backup

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"boardlore/store"
	"boardlore/store/cluster"
)

// IntoDatabase brings a backup into the database behind address, which must
// hold nothing. The file is held to its seal before anything is written; what
// was written is held to its digests and to the manifest, and taken out again
// where it does not fit.
func IntoDatabase(ctx context.Context, name, address string, progress func(string)) (Manifest, error) {
	o, err := openFor(name, progress)
	if err != nil {
		return Manifest{}, err
	}
	defer o.file.Close()
	bare, err := store.Bare(ctx, address)
	if err != nil {
		return o.Manifest, err
	}
	if !bare {
		return o.Manifest, errors.New("the database holds something already: make an empty one and name that")
	}
	if err := o.load(ctx, address, progress); err != nil {
		return o.Manifest, errors.Join(err, store.Strip(context.WithoutCancel(ctx), address))
	}
	return o.Manifest, nil
}

// IntoFolder brings a backup into a new private cluster in dir, which must be
// absent or empty. All is done in a folder within it, and moved into place when
// it is whole: a restore that fails, or is killed, leaves nothing that a server
// would start on.
func IntoFolder(ctx context.Context, name, dir string, progress func(string)) (_ Manifest, err error) {
	o, err := openFor(name, progress)
	if err != nil {
		return Manifest{}, err
	}
	defer o.file.Close()
	made, err := empty(dir)
	if err != nil {
		return o.Manifest, err
	}
	defer func() {
		if err != nil && made {
			err = errors.Join(err, removeEmpty(dir))
		}
	}()
	inner, err := os.MkdirTemp(dir, "restoring-")
	if err != nil {
		return o.Manifest, err
	}
	defer os.RemoveAll(inner) // empty by then, where all went well
	if err := o.fill(ctx, inner, progress); err != nil {
		return o.Manifest, err
	}
	return o.Manifest, moveUp(inner, dir)
}

// openFor opens a backup that this program can take back.
func openFor(name string, progress func(string)) (*opened, error) {
	if progress != nil {
		progress("reading " + name + " through")
	}
	o, err := open(name)
	if err != nil {
		return nil, err
	}
	newest, err := store.Newest()
	if err == nil && o.Manifest.Migration > newest {
		err = fmt.Errorf("the backup was made by a newer version (%s, migration %d): restore it with that one",
			o.Manifest.Program, o.Manifest.Migration)
	}
	if err != nil {
		return nil, errors.Join(err, o.file.Close())
	}
	return o, nil
}

// empty makes sure that dir is there and holds nothing, and tells whether it was made.
func empty(dir string) (made bool, err error) {
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		mode := fs.FileMode(0o700)
		if os.Geteuid() == 0 {
			mode = 0o711 // the database's own account has to pass through
		}
		return true, os.MkdirAll(dir, mode)
	case err != nil:
		return false, err
	}
	for _, e := range entries {
		if e.Name() != "lost+found" {
			return false, fmt.Errorf("%s holds %q: name an empty folder, or one that does not exist yet", dir, e.Name())
		}
	}
	return false, nil
}

func removeEmpty(dir string) error {
	if err := os.Remove(dir); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

func (o *opened) fill(ctx context.Context, dir string, progress func(string)) error {
	c, err := cluster.Own(ctx, dir, cluster.Options{Progress: progress})
	if err != nil {
		return err
	}
	return errors.Join(o.load(ctx, c.URL(), progress), c.Close(context.WithoutCancel(ctx)))
}

func moveUp(inner, dir string) error {
	entries, err := os.ReadDir(inner)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if err := os.Rename(filepath.Join(inner, e.Name()), filepath.Join(dir, e.Name())); err != nil {
			return err
		}
	}
	return os.Remove(inner)
}

// load restores the dump in one transaction, migrates it, and holds what is
// there to its digests and to the manifest.
func (o *opened) load(ctx context.Context, address string, progress func(string)) error {
	cmd, err := tool(ctx, "pg_restore", o.Manifest.Server, address, "--exit-on-error", "--single-transaction",
		"--no-owner", "--no-privileges")
	if err != nil {
		return err
	}
	cmd.Stdin = o.dump()
	if progress != nil {
		progress(fmt.Sprintf("restoring %d MiB", o.Manifest.Bytes>>20))
	}
	if err := run(cmd); err != nil {
		return err
	}
	if err := store.Migrate(ctx, address, progress); err != nil {
		return err
	}
	s, err := store.Open(ctx, address, store.Options{MaxConns: 2})
	if err != nil {
		return err
	}
	defer s.Close()
	c, err := s.CheckData(ctx, progress)
	if err != nil {
		return err
	}
	for what, n := range o.Manifest.Counts {
		if c.Counts[what] != n {
			return fmt.Errorf("the backup says that it holds %d %s, and %d came back", n, what, c.Counts[what])
		}
	}
	if c.Events != o.Manifest.Events {
		return fmt.Errorf("the backup ends at event %d, and what came back at %d", o.Manifest.Events, c.Events)
	}
	if err := depart(ctx, s, progress); err != nil {
		return err
	}
	if len(c.Faults) > 0 && progress != nil {
		progress(fmt.Sprintf("not sound already when it was saved: %d faults, the first: %s", len(c.Faults),
			c.Faults[0]))
	}
	return nil
}

// depart has the log go on under another name, with a signed word on where it
// left the old one: mirrors may have seen more of that than the backup holds.
func depart(ctx context.Context, s *store.Store, progress func(string)) error {
	if m, err := s.Mirror(ctx); err != nil || m != nil && !m.Promoted {
		return err // it signs nothing
	}
	l, err := s.Depart(ctx)
	if err == nil && progress != nil {
		progress("the public log goes on as " + l.Key)
	}
	return err
}
