package backup

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"boardlore/store"
	"boardlore/store/cluster"
)

// Save writes everything in the database behind address, as it stands at one
// moment, into the file name, which must not exist yet. What is stored is held
// to its digests first, in the same snapshot; faults are told in the error, and
// the file is written all the same, since it may be the best there is. progress
// is told of each step and, every few seconds, of the bytes so far.
func Save(ctx context.Context, address, name, program string, progress func(string)) (m Manifest, err error) {
	s, err := store.Open(ctx, address, store.Options{MaxConns: 2})
	if err != nil {
		return m, err
	}
	defer s.Close()
	if m, err = manifestOf(ctx, s, program); err != nil {
		return m, err
	}
	if _, err := os.Lstat(name); err == nil {
		return m, fmt.Errorf("%s is there already: name another file", name)
	}
	part := name + ".part"
	w, err := begin(part)
	if err != nil {
		return m, err
	}
	defer os.Remove(part) // gone by then, where all went well
	checked, err := s.Frozen(ctx, progress, func(snapshot string) error {
		return dump(ctx, w, address, snapshot,
			m.Server, progress)
	})
	if err == nil {
		m.Events, m.Counts, m.Bytes = checked.Events, checked.Counts, w.size
		err = w.finish(m)
	}
	if err = errors.Join(err, w.file.Close()); err != nil {
		return m, fmt.Errorf("back up: %w", err)
	}
	if err := verified(part); err != nil {
		return m, fmt.Errorf("what was written does not read back: %w", err)
	}
	if err := place(part, name); err != nil {
		return m, err
	}
	return m, faulty(checked, "the backup was written, but what is stored is not sound")
}

func manifestOf(ctx context.Context, s *store.Store, program string) (Manifest, error) {
	m := Manifest{Format: 1, Program: program, TakenAt: time.Now().UTC().Truncate(time.Second)}
	var err error
	if m.Migration, err = store.Newest(); err != nil { // which Open has found the database at
		return m, err
	}
	m.Server, err = s.ServerVersion(ctx)
	return m, err
}

// place gives a whole file its name, unless somebody else took it meanwhile.
func place(part, name string) error {
	if err := os.Link(part, name); err != nil {
		return err
	}
	dir, err := os.Open(filepath.Dir(name))
	if err != nil {
		return err
	}
	return errors.Join(dir.Sync(), dir.Close())
}

func verified(name string) error {
	o, err := open(name)
	if err != nil {
		return err
	}
	return o.file.Close()
}

// faulty is the error of a check that found faults; nil where it found none.
func faulty(c store.Checked, what string) error {
	if len(c.Faults) == 0 {
		return nil
	}
	return fmt.Errorf("%s: %d faults, the first: %s", what, len(c.Faults), c.Faults[0])
}

func dump(ctx context.Context, w *writer, address, snapshot string, server int, progress func(string)) error {
	cmd, err := tool(ctx, "pg_dump", server, address, "--format=custom", "--no-owner", "--no-privileges", "--snapshot="+
		snapshot)
	if err != nil {
		return err
	}
	cmd.Stdout = &counting{w: w, what: "saved", progress: progress}
	return run(cmd)
}

// tool prepares a client program on the database behind address. A password
// goes by the environment, where other accounts don't see it.
func tool(ctx context.Context, name string, server int, address string, args ...string) (*exec.Cmd, error) {
	path, err := cluster.Tool(ctx, name, server)
	if err != nil {
		return nil, err
	}
	bare, password, err := apart(address)
	if err != nil {
		return nil, err
	}
	cmd := exec.CommandContext(ctx, path, append(args, "--dbname="+bare)...)
	cmd.Env = append(os.Environ(), "LC_ALL=C")
	if password != "" {
		cmd.Env = append(cmd.Env, "PGPASSWORD="+password)
	}
	return cmd, nil
}

// apart takes the password out of an address: it may stand after the name or, and
// then that one counts, among the parameters.
func apart(address string) (bare, password string, err error) {
	u, err := url.Parse(address)
	if err != nil {
		return "", "", errors.New("the database's address can't be read")
	}
	var has bool
	if password, has = u.User.Password(); has {
		u.User = url.User(u.User.Username())
	}
	q := u.Query()
	if q.Has("password") {
		password = q.Get("password")
		q.Del("password")
		u.RawQuery = q.Encode()
	}
	return u.String(), password, nil
}

// run runs a client program; what it says goes into the error.
func run(cmd *exec.Cmd) error {
	var said bytes.Buffer
	cmd.Stderr = &said
	if err := cmd.Run(); err != nil {
		text := strings.Join(strings.Fields(said.String()), " ")
		return fmt.Errorf("%s: %w: %s", filepath.Base(cmd.Path), err, text[:min(len(text), 1000)])
	}
	return nil
}

// counting passes bytes on and tells how many, every few seconds.
type counting struct {
	w        io.Writer
	what     string
	progress func(string)
	n        int64
	told     time.Time
}

func (c *counting) Write(p []byte) (int, error) {
	n, err := c.w.Write(p)
	c.n += int64(n)
	if c.told.IsZero() {
		c.told = time.Now()
	}
	if time.Since(c.told) > 2*time.Second && c.progress != nil {
		c.told = time.Now()
		c.progress(fmt.Sprintf("%s %d MiB", c.what, c.n>>20))
	}
	return n, err
}
