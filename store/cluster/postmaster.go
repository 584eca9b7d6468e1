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
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"time"
)

const (
	adoptWait  = 20 * time.Second // how long a postmaster that was found running may keep silent before it is stopped
	sharedWait = 30 * time.Second // how long what is left of a killed postmaster may take to go
	tellAfter  = 3 * time.Second  // a start that takes longer is worth a word
)

// postmaster is what postmaster.pid says. The file is PostgreSQL's own: the number, the data directory, the time of the
// start, the port, the socket's folder, the address, the shared memory, the state, a line each.
type postmaster struct {
	pid    int
	socket string
	state  string // "starting", "stopping", "ready", "standby"; empty at first
}

func pidFile(data string) string { return filepath.Join(data, "postmaster.pid") }

func readPostmaster(data string) (postmaster, error) {
	text, err := os.ReadFile(pidFile(data))
	if err != nil {
		return postmaster{}, err
	}
	line := strings.Split(string(text), "\n")
	pid, err := strconv.ParseInt(strings.TrimPrefix(line[0], "-"), 10, 32) // a single-user postgres writes a minus
	if err != nil || pid <= 0 {
		return postmaster{}, fmt.Errorf("%s cannot be read: %q", pidFile(data), line[0])
	}
	pm := postmaster{pid: int(pid)}
	if len(line) > 4 {
		pm.socket = line[4]
	}
	if len(line) > 7 {
		pm.state = strings.TrimSpace(line[7])
	}
	return pm, nil
}

// process is a postmaster, started by this process or by an owner before it.
type process struct {
	pid    int
	socket string        // the folder of its socket
	exited chan struct{} // closed when it has ended
	status error         // how it ended, if this process started it; read after exited
}

// spawn starts cmd on a thread that stays until the command ends.
func spawn(cmd *exec.Cmd) (*process, error) {
	p := &process{exited: make(chan struct{})}
	started := make(chan error)
	go func() {
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		err := cmd.Start()
		if err == nil {
			p.pid = cmd.Process.Pid
		}
		started <- err
		if err == nil {
			p.status = cmd.Wait()
			close(p.exited)
		}
	}()
	return p, <-started
}

// follow watches a process that is not a child of this one.
func follow(pm postmaster, data string) *process {
	p := &process{pid: pm.pid, socket: pm.socket, exited: make(chan struct{})}
	go func() {
		defer close(p.exited)
		t := time.NewTicker(4 * pollEvery)
		defer t.Stop()
		for alive(p.pid) && serves(p.pid, data) {
			<-t.C
		}
	}()
	return p
}

func (p *process) gone() bool {
	select {
	case <-p.exited:
		return true
	default:
		return false
	}
}

// killGroup ends a process and those that it started.
func (p *process) killGroup() { _ = syscall.Kill(-p.pid, syscall.SIGKILL) }

// stop shuts the postmaster down: fast, and when ctx ends or after a minute immediately.
func (p *process) stop(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, stopWait)
	defer cancel()
	for _, s := range []syscall.Signal{syscall.SIGINT, syscall.SIGQUIT} {
		if p.gone() {
			return nil
		}
		if err := syscall.Kill(p.pid, s); err != nil && !errors.Is(err, syscall.ESRCH) {
			return fmt.Errorf("stop the database (process %d): %w", p.pid, err)
		}
		select {
		case <-p.exited:
			return nil
		case <-ctx.Done():
		}
		// An immediate shutdown ends by itself: the postmaster kills what has not gone in five seconds.
		ctx, cancel = context.WithTimeout(context.Background(), 10*time.Second)
		defer cancel()
	}
	return fmt.Errorf("stop the database: process %d does not end", p.pid)
}

// start adopts the postmaster that an earlier owner left, or starts one.
func (c *Cluster) start(ctx context.Context) (*process, error) {
	data := c.dir.data()
	pm, err := readPostmaster(data)
	if err == nil && serves(pm.pid, data) && alive(pm.pid) {
		if p := c.adopt(ctx, pm); p != nil {
			return p, nil
		}
	}
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("start the database: %w", err)
	}
	return c.launch(ctx)
}

// adopt takes over a postmaster that runs, if it answers. One that is stopping, or that cannot be reached any more, is
// seen to its end.
func (c *Cluster) adopt(ctx context.Context, pm postmaster) *process {
	c.tell("the database is still running (process %d): taking it over", pm.pid)
	p := follow(pm, c.dir.data())
	wait, cancel := context.WithTimeout(ctx, adoptWait)
	defer cancel()
	for !p.gone() && wait.Err() == nil {
		now, err := readPostmaster(c.dir.data())
		if err == nil && now.pid == p.pid && now.state != "stopping" && now.socket != "" {
			if p.socket = now.socket; ping(wait, address(p.socket, "postgres")) == nil {
				return p
			}
		}
		if err == nil && now.state == "starting" && ctx.Err() == nil {
			wait, cancel = context.WithTimeout(ctx, adoptWait) // recovery takes what it takes
			defer cancel()
		}
		_ = pause(wait, pollEvery)
	}
	if ctx.Err() == nil && !p.gone() {
		c.tell("the database that is still running does not answer: stopping it")
		_ = p.stop(ctx) // if that fails, launch says what is in the way
	}
	return nil
}

// disown makes a stale lock file of PostgreSQL's harmless: postmaster.pid, or the one beside the socket. Its number may
// belong to some other process of the same account by now, or to a killed postmaster that its parent has not asked
// after, which PostgreSQL cannot tell from a running one. It does pass over the number of its own parent, this process;
// the rest of the file stays, for PostgreSQL to find what is left of the killed one's shared memory.
func disown(file, data string) error {
	text, err := os.ReadFile(file)
	if err != nil {
		return nil // absent, as a rule; else PostgreSQL says what is wrong with it
	}
	first, rest, _ := bytes.Cut(text, []byte("\n"))
	pid, err := strconv.Atoi(string(bytes.TrimSpace(first)))
	if err != nil || pid > 0 && alive(pid) && serves(pid, data) {
		return nil
	}
	text = append(fmt.Appendf(nil, "%d\n", os.Getpid()), rest...)
	if err := os.WriteFile(file, text, 0o600); err != nil {
		return fmt.Errorf("stale %s: %w", file, err)
	}
	return nil
}

// launch starts a postmaster and waits until it answers. After a kill, what is left of the one before may hold its
// shared memory for a moment: that is worth another try.
func (c *Cluster) launch(ctx context.Context) (*process, error) {
	deadline := time.Now().Add(sharedWait)
	for {
		p, err := c.launchOnce(ctx)
		if err == nil || !strings.Contains(err.Error(), "pre-existing shared memory") || time.Now().After(deadline) {
			return p, err
		}
		c.tell("waiting for what is left of a killed database to end")
		if err := pause(ctx, 5*pollEvery); err != nil {
			return nil, fmt.Errorf("start the database: %w", err)
		}
	}
}

func (c *Cluster) launchOnce(ctx context.Context) (*process, error) {
	socket, err := c.dir.socket(c.acct)
	if err != nil {
		return nil, err
	}
	for _, file := range []string{pidFile(c.dir.data()), filepath.Join(socket, ".s.PGSQL."+port+".lock")} {
		if err := disown(file, c.dir.data()); err != nil {
			return nil, err
		}
	}
	cmd, err := c.command("postgres", c.dir.data(), c.flags(socket)...)
	if err != nil {
		return nil, err
	}
	defer closeFiles(cmd)
	said, err := c.startLog()
	if err != nil {
		return nil, err
	}
	defer said.Close()
	cmd.Stdout, cmd.Stderr = said, said
	if c.opt.Ephemeral {
		dieWithParent(cmd.SysProcAttr)
	}
	began := time.Now()
	p, err := spawn(cmd)
	if err != nil {
		return nil, fmt.Errorf("start the database: %w", err)
	}
	p.socket = socket
	if err := c.answers(ctx, p); err != nil {
		if !p.gone() {
			// Whoever gave up the wait wants it gone; a moment's grace is for a clean end.
			short, cancel := context.WithTimeout(context.Background(), 5*time.Second)
			defer cancel()
			return nil, errors.Join(fmt.Errorf("start the database: %w", err), p.stop(short))
		}
		return nil, fmt.Errorf("start the database: %w: %s", err, c.lastWords(began))
	}
	return p, nil
}

// flags are the settings that no configuration file may change.
func (c *Cluster) flags(socket string) []string {
	set := []string{
		"listen_addresses=",
		"port=" + port,
		"unix_socket_directories=" + socket,
		"unix_socket_permissions=0700",
	}
	if c.opt.Ephemeral {
		set = append(set, "fsync=off", "synchronous_commit=off", "full_page_writes=off", "wal_level=minimal",
			"max_wal_senders=0", "max_wal_size=1GB", "logging_collector=off", "max_connections=200",
			"log_min_error_statement=error")
	}
	var args []string
	for _, s := range set {
		args = append(args, "-c", s)
	}
	return args
}

// answers waits until the postmaster takes connections, as long as it lives and ctx lasts.
func (c *Cluster) answers(ctx context.Context, p *process) error {
	began, told := time.Now(), false
	for {
		if p.gone() {
			return errors.Join(errors.New("it ended at once"), p.status)
		}
		if pm, err := readPostmaster(c.dir.data()); err == nil && pm.pid == p.pid && pm.state == "ready" &&
			ping(ctx, address(p.socket, "postgres")) == nil {
			return nil
		}
		if !told && time.Since(began) > tellAfter {
			told = true
			c.tell("the database is recovering what was written last: this can take a while")
		}
		if err := pause(ctx, pollEvery/2); err != nil {
			return err
		}
	}
}

func (c *Cluster) startLog() (*os.File, error) {
	f, err := os.OpenFile(filepath.Join(c.dir.log(), "start.log"), os.O_CREATE|os.O_TRUNC|os.O_WRONLY|os.O_APPEND,
		0o600)
	if err != nil {
		return nil, fmt.Errorf("log of the database: %w", err)
	}
	return f, nil
}

// lastWords is what the log says of a start that came to nothing.
func (c *Cluster) lastWords(since time.Time) string {
	var said []string
	for _, path := range glob(filepath.Join(c.dir.log(), "*.log")) {
		info, err := os.Stat(path)
		if err != nil || info.ModTime().Before(since.Truncate(time.Second)) {
			continue
		}
		text, err := os.ReadFile(path)
		if err != nil {
			continue
		}
		if len(text) > 4096 {
			text = text[len(text)-4096:]
		}
		said = append(said, tail(string(text)))
	}
	return fmt.Sprintf("%s (more in %s)", strings.Join(said, "; "), c.dir.log())
}
