package main

import (
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"boardlore/store/storetest"
)

// Images that the server's image is made of, where the usual ones can't be pulled.
const (
	goImage       = "BOARDLORE_TEST_GO_IMAGE"
	postgresImage = "BOARDLORE_TEST_POSTGRES_IMAGE"
	testImage     = "boardlore-test"
)

// TestImage builds the image and runs it, alone and as docker-compose.yml has it,
// where a container engine answers and can have the images that it is made of.
func TestImage(t *testing.T) {
	ask, cancel := context.WithTimeout(t.Context(), 3*time.Second)
	defer cancel()
	if err := exec.CommandContext(ask, "docker", "info").Run(); err != nil {
		t.Skip("no container engine answers")
	}
	buildImage(t)
	t.Run("programs", imagePrograms)
	t.Run("demo", imageDemo)
	t.Run("compose", imageCompose)
}

func buildImage(t *testing.T) {
	t.Helper()
	args := []string{"build", "-q", "-t", testImage, "--build-arg", "VERSION=v0-test", "-f", "deploy/Dockerfile"}
	for variable, name := range map[string]string{goImage: "GO_IMAGE", postgresImage: "POSTGRES_IMAGE"} {
		if v := os.Getenv(variable); v != "" {
			args = append(args, "--build-arg", name+"="+v)
		}
	}
	build := exec.CommandContext(t.Context(), "docker", append(args, ".")...)
	build.Dir = "../.."
	out, err := build.CombinedOutput()
	said := string(out)
	pulls := strings.Contains(said, "pull") || strings.Contains(said, "registry") || strings.Contains(said, "resolve")
	switch {
	case err == nil:
	case pulls && !storetest.Required("image"):
		t.Skipf("the images that it is made of can't be had: %s", said)
	default:
		t.Fatalf("%v: %s", err, said)
	}
}

// docker runs one command of the engine and returns what it printed.
func docker(t *testing.T, args ...string) string {
	t.Helper()
	return ran(t, exec.CommandContext(context.WithoutCancel(t.Context()), "docker", args...))
}

func ran(t *testing.T, cmd *exec.Cmd) string {
	t.Helper()
	var said strings.Builder
	cmd.Stderr = &said
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v: %s%s", strings.Join(cmd.Args, " "), err, out, said.String())
	}
	return strings.TrimSpace(string(out))
}

func imagePrograms(t *testing.T) {
	for args, want := range map[string]string{"--version": "v0-test", "check-data --help": "digest"} {
		if out := docker(t, append([]string{"run", "--rm", testImage},
			strings.Fields(args)...)...); !strings.Contains(out, want) {
			t.Errorf("%s: %s", args, out)
		}
	}
	find := []string{"run", "--rm", "--entrypoint", "sh", testImage, "-c",
		`for f in "$(command -v pg_dump)" /usr/lib/postgresql/*/bin/pg_dump; do [ -x "$f" ] && exec "$f" --version; done`}
	if out := docker(t, find...); !strings.Contains(out, "PostgreSQL") {
		t.Errorf("no pg_dump for backups: %s", out)
	}
}

// imageDemo: the image alone, with a volume for its data, is healthy, answers,
// stops by itself within the grace that it was given, and keeps its data.
func imageDemo(t *testing.T) {
	volume := docker(t, "volume", "create")
	t.Cleanup(func() { docker(t, "volume", "rm", "-f", volume) })
	start := func(args ...string) (id, base string) {
		run := []string{"run", "-d", "-p", "127.0.0.1::8080", "-v", volume + ":/var/lib/boardlore", testImage}
		id = docker(t, append(run, args...)...)
		t.Cleanup(func() { docker(t, "rm", "-f", "-v", id) })
		healthy(t, id)
		_, port, _ := strings.Cut(docker(t, "port", id, "8080/tcp"), ":")
		return id, "http://127.0.0.1:" + port
	}
	const board = "/v1/boards/" + demoBoard + "/map"
	id, base := start("demo")
	status, first := fetched(t, base+board, "")
	if status != http.StatusOK {
		t.Errorf("the demo's map is %d: %s", status, first)
	}
	if status, page := fetched(t, base+"/", ""); status != http.StatusOK || !strings.Contains(page, "<html") {
		t.Errorf("the first page is %d", status)
	}
	stopped(t, id, "40")
	_, base = start("serve", "--data", "/var/lib/boardlore/demo")
	if status, again := fetched(t, base+board, ""); status != http.StatusOK || again != first {
		t.Errorf("after another container took the volume over, the map is %d", status)
	}
}

// healthy waits until the image's own check says so.
func healthy(t *testing.T, id string) {
	t.Helper()
	state := ""
	for deadline := time.Now().Add(3 * time.Minute); time.Now().Before(deadline); time.Sleep(500 * time.Millisecond) {
		state = docker(t, "inspect", "-f", "{{.State.Status}} {{.State.Health.Status}}", id)
		if state == "running healthy" {
			return
		}
		if !strings.HasPrefix(state, "running") {
			break
		}
	}
	t.Fatalf("the container is %q: %s", state, docker(t, "logs", "--tail", "20", id))
}

// stopped stops a container and sees that it ended by itself.
func stopped(t *testing.T, id, grace string) {
	t.Helper()
	docker(t, "stop", "-t", grace, id)
	if code := docker(t, "inspect", "-f", "{{.State.ExitCode}}", id); code != "0" {
		t.Errorf("stopped with exit code %s: %s", code, docker(t, "logs", "--tail", "20", id))
	}
}

func fetched(t *testing.T, address, token string) (status int, body string) {
	t.Helper()
	req, err := http.NewRequestWithContext(t.Context(), http.MethodGet, address, nil)
	if err != nil {
		t.Fatal(err)
	}
	if token != "" {
		req.Header.Set("Authorization", "Bearer "+token)
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return res.StatusCode, string(b)
}

// composition is docker-compose.yml with names, images and an address of the test's own.
type composition struct {
	t    *testing.T
	args []string
	env  []string
}

// oddPassword has what breaks an address, a shell and a settings file.
const oddPassword = `p/w#o?r%d $x"'@:`

func newComposition(t *testing.T) (c *composition, address string) {
	t.Helper()
	c = &composition{t: t, args: []string{"docker", "compose"}}
	if exec.CommandContext(t.Context(), "docker", "compose", "version").Run() != nil {
		c.args = []string{"docker-compose"}
	}
	if _, err := exec.LookPath(c.args[0]); err != nil {
		t.Skip("there is no docker compose")
	}
	image := os.Getenv(postgresImage)
	if image == "" {
		image = "postgres:17-alpine"
	}
	over := file(t, "images.yml", fmt.Sprintf("services:\n  database:\n    image: %s\n  server:\n    image: %s\n",
		image, testImage))
	address = freePort(t)
	here, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	c.args = append(c.args, "-p", "boardlore-test-"+strconv.Itoa(os.Getpid()), "--project-directory", here,
		"-f", filepath.Join(here, "docker-compose.yml"), "-f", over)
	c.env = append(os.Environ(), "BOARDLORE_DB_PASSWORD="+oddPassword, "BOARDLORE_PUBLISH="+address,
		"BOARDLORE_PUBLIC_URL=https://maps.example", "BOARDLORE_TRUSTED_PROXIES=10.1.2.0/24",
		"BOARDLORE_DISK_BUDGET=2GB",
		"BOARDLORE_LIMITS=reads=900", "BOARDLORE_GRACE=7s", "BOARDLORE_LOG_LEVEL=warn", "BOARDLORE_LOG_ADDRESSES=true")
	return c, "http://" + address
}

func freePort(t *testing.T) string {
	t.Helper()
	l, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

func (c *composition) command(args ...string) *exec.Cmd {
	all := append(append([]string{}, c.args...), args...)
	cmd := exec.CommandContext(context.WithoutCancel(c.t.Context()), all[0], all[1:]...)
	cmd.Env = c.env
	return cmd
}

func (c *composition) run(args ...string) string {
	c.t.Helper()
	return ran(c.t, c.command(args...))
}

func (c *composition) boardlore(args ...string) string {
	c.t.Helper()
	return c.run(append([]string{"exec", "-T", "server", "boardlore"}, args...)...)
}

// imageCompose: the composition as it is committed passes its settings on, becomes
// healthy, takes the commands of its first lines, stops within its grace, and
// keeps its data when all of its containers are gone.
func imageCompose(t *testing.T) {
	c, base := newComposition(t)
	settings := c.run("config")
	for _, want := range []string{"https://maps.example", "10.1.2.0/24", "2GB", "reads=900", "stop_grace_period: 40s",
		"wget", "readyz"} {
		if !strings.Contains(settings, want) {
			t.Errorf("the composition does not say %q", want)
		}
	}
	t.Cleanup(func() { c.run("down", "-v", "-t", "5") })
	c.run("up", "-d", "--no-build")
	server := c.run("ps", "-q", "server")
	healthy(t, server)
	if logs := c.run("logs", "--no-color"); strings.Contains(logs, "p/w#o") {
		t.Errorf("the logs hold the password: %s", logs)
	}
	token := c.boardlore("account", "add", "ann", "--role", "steward")
	if status, body := fetched(t, base+"/v1/account", token); status != http.StatusOK {
		t.Errorf("the steward's account is %d: %s", status, body)
	}
	settled(t, base)
	c.boardlore("backup", "/backups/first.backup")
	if out := c.boardlore("check-data"); !strings.Contains(out, "all sound") {
		t.Errorf("check-data: %s", out)
	}
	if out := c.run("exec", "-T", "server", "wget", "-q", "-O", "-",
		"http://server:9464/metrics"); !strings.Contains(out, "boardlore_ready 1") {
		t.Errorf("figures within the network: %.200s", out)
	}
	stopped(t, server, "40")
	c.run("down", "-t", "60")
	c.run("up", "-d", "--no-build")
	healthy(t, c.run("ps", "-q", "server"))
	if status, body := fetched(t, base+"/v1/account", token); status != http.StatusOK {
		t.Errorf("after down and up the steward's account is %d: %s", status, body)
	}
	if out := c.run("exec", "-T", "server", "ls", "/backups"); !strings.Contains(out, "first.backup") {
		t.Errorf("the backup is gone: %s", out)
	}
}

// settled: what was set reaches the server. The public address stands in its
// answers, and the figures are on no published port.
func settled(t *testing.T, base string) {
	t.Helper()
	if status, feed := fetched(t, base+"/v1/events.atom", ""); status != http.StatusOK ||
		!strings.Contains(feed, "https://maps.example/") {
		t.Errorf("the feed is %d and knows no public address: %.300s", status, feed)
	}
	if status, _ := fetched(t, base+"/metrics", ""); status != http.StatusNotFound {
		t.Errorf("figures on the public port: %d", status)
	}
}
