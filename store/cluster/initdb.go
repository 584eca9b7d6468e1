//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package cluster

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
)

// settings go to the end of a new cluster's postgresql.conf, where they count and can be changed by whoever runs it.
const settings = `
# boardlore: for a small machine. Written once, when the cluster was made: change them here as you like.
max_connections = 100
shared_buffers = 128MB
work_mem = 8MB
maintenance_work_mem = 64MB
random_page_cost = 1.1                  # most disks are solid now
jit = off                               # queries here are short
wal_compression = on
fsync = on                              # what is acknowledged survives a power cut
full_page_writes = on
synchronous_commit = on
timezone = 'UTC'
log_timezone = 'UTC'
log_line_prefix = '%m [%p] '
log_min_error_statement = panic         # statements hold what people sent: not for the log
logging_collector = on
log_directory = '../log'
log_filename = 'postgres-%a.log'        # seven files, each begun anew after a week
log_rotation_age = 1d
log_rotation_size = 0
log_truncate_on_rotation = on
`

// initdb makes a new data directory beside its place and renames it when it is whole: a kill on the way leaves nothing
// that could be taken for a cluster. What earlier attempts left so is cleared away; the lock says nobody is at it.
func (c *Cluster) initdb(ctx context.Context) error {
	for _, left := range glob(filepath.Join(c.dir.path, initPrefix+"*")) {
		if err := discard(ctx, left); err != nil {
			return err
		}
	}
	tmp, err := os.MkdirTemp(c.dir.path, initPrefix)
	if err != nil {
		return fmt.Errorf("new cluster: %w", err)
	}
	defer os.RemoveAll(tmp)
	if c.acct.drop {
		if err := os.Chown(tmp, int(c.acct.uid), int(c.acct.gid)); err != nil {
			return fmt.Errorf("new cluster: %w", err)
		}
	}
	if err := c.fill(ctx, tmp); err != nil {
		return err
	}
	if err := os.Rename(tmp, c.dir.data()); err != nil {
		return fmt.Errorf("new cluster: %w", err)
	}
	return syncDir(c.dir.path)
}

// discard removes an unfinished cluster. A child of a killed initdb may still be writing to it for a moment.
func discard(ctx context.Context, dir string) error {
	ctx, cancel := context.WithTimeout(ctx, 10*time.Second)
	defer cancel()
	for {
		err := os.RemoveAll(dir)
		if err == nil {
			return nil
		}
		if pause(ctx, pollEvery) != nil {
			return fmt.Errorf("clear away an unfinished cluster: %w", err)
		}
	}
}

// fill runs initdb in dir. Not every system has the locale C.UTF-8, which sorts by bytes and knows all letters' cases;
// plain C will do.
func (c *Cluster) fill(ctx context.Context, dir string) error {
	locale := []string{"--lc-collate=C", "--lc-ctype=C.UTF-8"}
	if c.prog.Major >= 17 {
		locale = []string{"--locale-provider=builtin", "--builtin-locale=C.UTF-8"}
	}
	err := c.runInitdb(ctx, dir, locale)
	if err != nil && strings.Contains(err.Error(), "locale") {
		err = c.runInitdb(ctx, dir, nil)
	}
	if err != nil {
		return err
	}
	conf, err := os.OpenFile(filepath.Join(dir, "postgresql.conf"), os.O_WRONLY|os.O_APPEND, 0)
	if err != nil {
		return fmt.Errorf("new cluster: %w", err)
	}
	_, err = conf.WriteString(settings)
	if err := errors.Join(err, conf.Sync(), conf.Close()); err != nil {
		return fmt.Errorf("new cluster: %w", err)
	}
	return nil
}

func (c *Cluster) runInitdb(ctx context.Context, dir string, locale []string) error {
	args := append([]string{"--username=" + database, "--encoding=UTF8", "--locale=C", "--data-checksums",
		"--auth-local=trust", "--auth-host=reject", "--no-instructions"}, locale...)
	if c.opt.Ephemeral {
		args = append(args, "--no-sync", "--wal-segsize=1")
	}
	cmd, err := c.command("initdb", dir, args...)
	if err != nil {
		return err
	}
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	dieWithParent(cmd.SysProcAttr)
	err = wait(ctx, cmd)
	closeFiles(cmd)
	if err != nil {
		return fmt.Errorf("initdb: %w: %s", err, tail(out.String()))
	}
	return nil
}

// wait runs a command to its end on a thread of its own, and kills its process group when ctx ends. The thread lives as
// long as the command: on Linux a command that dies with its parent dies with the thread that started it.
func wait(ctx context.Context, cmd *exec.Cmd) error {
	p, err := spawn(cmd)
	if err != nil {
		return err
	}
	select {
	case <-p.exited:
		return p.status
	case <-ctx.Done():
		p.killGroup()
		<-p.exited
		return ctx.Err()
	}
}

// command prepares a program of PostgreSQL's on the data directory dir. If the database's account cannot pass through
// the folders above dir, it is handed dir open.
func (c *Cluster) command(program, dir string, args ...string) (*exec.Cmd, error) {
	cmd := exec.Command(filepath.Join(c.prog.Dir, program))
	if !c.acct.reaches(dir) {
		handed, err := handOver(cmd, dir)
		if err != nil {
			return nil, fmt.Errorf("account %s, which the database runs under, cannot get into %s: name a data folder "+
				"elsewhere, for example /var/lib/boardlore: %w", c.acct.name, dir, err)
		}
		dir = handed
	}
	cmd.Args = append([]string{program, "-D", dir}, args...)
	cmd.Dir = "/"
	cmd.Env = []string{"PATH=" + c.prog.Dir + ":/usr/bin:/bin", "LC_ALL=C", "TZ=UTC"}
	cmd.SysProcAttr = c.acct.process()
	return cmd, nil
}

// closeFiles closes this process's end of what was handed over.
func closeFiles(cmd *exec.Cmd) {
	for _, f := range cmd.ExtraFiles {
		_ = f.Close()
	}
}

func syncDir(path string) error {
	d, err := os.Open(path)
	if err != nil {
		return fmt.Errorf("data folder: %w", err)
	}
	defer d.Close()
	if err := d.Sync(); err != nil {
		return fmt.Errorf("data folder: %w", err)
	}
	return nil
}

// tail is the end of what a program said, on one line.
func tail(text string) string {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	return strings.Join(lines[max(0, len(lines)-6):], "; ")
}
