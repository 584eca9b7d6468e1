package storetest

import (
	"bufio"
	"cmp"
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/testcontainers/testcontainers-go"
	"github.com/testcontainers/testcontainers-go/modules/postgres"
)

const defaultImage = "postgres:15-alpine"

// engineWait is how long an engine may take to say that it is there. The library asks patiently and in many places;
// most machines have none, and tests should not wait for it.
const engineWait = 500 * time.Millisecond

var errNoEngine = errors.New("no container engine answers")

// container starts a server in a container.
func container(ctx context.Context) (_ *server, err error) {
	if !engine(ctx) {
		return nil, errNoEngine
	}
	// The library panics where it finds an engine's address and then cannot use it.
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("container engine: %v", r)
		}
	}()
	image := cmp.Or(os.Getenv(imageVariable), defaultImage)
	c, err := postgres.Run(ctx, image,
		postgres.WithUsername("boardlore"), postgres.WithPassword("boardlore"), postgres.WithDatabase("boardlore"),
		testcontainers.WithCmdArgs("-c", "max_connections=200", "-c", "synchronous_commit=off", "-c",
			"full_page_writes=off"),
		postgres.BasicWaitStrategies())
	if err != nil {
		return nil, errors.Join(fmt.Errorf("image %s: %w", image, err), end(ctx, c))
	}
	u, err := c.ConnectionString(ctx, "sslmode=disable")
	if err != nil {
		return nil, errors.Join(err, end(ctx, c))
	}
	return &server{admin: u, prefix: "test_", close: func(ctx context.Context) error { return end(ctx, c) }}, nil
}

func end(ctx context.Context, c *postgres.PostgresContainer) error {
	if c == nil {
		return nil
	}
	return c.Terminate(ctx, testcontainers.StopTimeout(0))
}

// engine tells whether one of the engines that the library would use answers.
func engine(ctx context.Context) bool {
	for _, host := range engines() {
		if answers(ctx, host) {
			return true
		}
	}
	return false
}

// engines lists the addresses that the library looks at: what the environment or the library's own file says, then the
// usual sockets.
func engines() []string {
	home, _ := os.UserHomeDir() // without one its sockets are not there either
	hosts := properties(filepath.Join(home, ".testcontainers.properties"))
	if h := os.Getenv("DOCKER_HOST"); h != "" {
		return append(hosts, h)
	}
	for _, path := range []string{
		"/var/run/docker.sock",
		filepath.Join(os.Getenv("XDG_RUNTIME_DIR"), "docker.sock"),
		filepath.Join(home, ".docker", "run", "docker.sock"),
		filepath.Join(home, ".docker", "desktop", "docker.sock"),
		filepath.Join("/run/user", strconv.Itoa(os.Getuid()), "docker.sock"),
	} {
		hosts = append(hosts, "unix://"+path)
	}
	return hosts
}

// properties reads the engines' addresses from the library's file, if there is one.
func properties(path string) []string {
	f, err := os.Open(path)
	if err != nil {
		return nil
	}
	defer f.Close()
	var hosts []string
	for lines := bufio.NewScanner(f); lines.Scan(); {
		key, value, _ := strings.Cut(lines.Text(), "=")
		if key = strings.TrimSpace(key); key == "tc.host" || key == "docker.host" {
			hosts = append(hosts, strings.TrimSpace(value))
		}
	}
	return hosts
}

// answers asks the engine at host for a sign of life. Of one behind TLS it asks only for a connection.
func answers(ctx context.Context, host string) bool {
	u, err := url.Parse(host)
	if err != nil {
		return false
	}
	network, addr := "tcp", u.Host
	if u.Scheme == "unix" {
		network, addr = "unix", u.Path
	}
	ctx, cancel := context.WithTimeout(ctx, engineWait)
	defer cancel()
	dial := func(ctx context.Context, _, _ string) (net.Conn, error) {
		return new(net.Dialer).DialContext(ctx, network, addr)
	}
	if os.Getenv("DOCKER_TLS_VERIFY") != "" && network == "tcp" {
		conn, err := dial(ctx, "", "")
		return err == nil && conn.Close() == nil
	}
	client := http.Client{Transport: &http.Transport{DialContext: dial, DisableKeepAlives: true}}
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, "http://engine/_ping", nil)
	if err != nil {
		return false
	}
	res, err := client.Do(req)
	if err != nil {
		return false
	}
	_ = res.Body.Close()
	return res.StatusCode == http.StatusOK
}
