package main

import (
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/netip"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/docker/go-units"
	"github.com/spf13/cobra"

	"boardlore/api"
)

// config is everything that can be set, read here and nowhere else. Each
// setting is a flag and a variable of the same name; the flag wins.
type config struct {
	dataDir     string
	listen      string
	databaseURL string
	replicaURL  string
	poolerURL   string
	budget      int64 // bytes that the database may come to; 0 for what the disk has
	grace       time.Duration
	publicURL   string // scheme and host, without a slash at the end; "" where not set
	proxies     []netip.Prefix
	limits      api.Limits
	metrics     string // address of the figures' own listener; "" for none
	logLevel    slog.Level
	addresses   bool   // callers' addresses stand in the log
	mirror      string // address of the registry to follow; "" for none
	server      string // address of the registry to ask; "" where not set
	token       string // of an account there; "" for nobody's
	cache       string // folder in which its answers are kept; "" for none
}

// secure says that the world sees the server by https.
func (c *config) secure() bool { return strings.HasPrefix(c.publicURL, "https:") }

// setting is one line of the table of all settings.
type setting struct {
	flag, variable, standard, help string
	set                            func(*config, string) error
}

var (
	settingData = setting{"data", "BOARDLORE_DATA_DIR", "",
		"folder of the private database (default: a folder of your account)",
		func(c *config, v string) error { c.dataDir = v; return nil }}
	settingDatabase = setting{"database-url", "BOARDLORE_DATABASE_URL", "",
		"address of a PostgreSQL database to use instead of the private one; its password may come from PGPASSFILE or PGPASSWORD",
		func(c *config, v string) error { c.databaseURL = v; return postgresURL(v) }}
	settingReplica = setting{"replica-url", "BOARDLORE_REPLICA_URL", "",
		"address of a replica of that database for reads",
		func(c *config, v string) error { c.replicaURL = v; return postgresURL(v) }}
	settingPooler = setting{"pooler-url", "BOARDLORE_POOLER_URL", "",
		"address of a transaction pooler in front of that database, for all but migrations and notices",
		func(c *config, v string) error { c.poolerURL = v; return postgresURL(v) }}
	settingBudget = setting{"disk-budget", "BOARDLORE_DISK_BUDGET", "",
		"most that the database may come to, such as 20GB; uploads and submissions are refused before (default: what the private database's disk has)",
		func(c *config, v string) (err error) { c.budget, err = size(v); return err }}
	settingMetrics = setting{"metrics-listen", "BOARDLORE_METRICS_LISTEN", standardMetrics,
		"address for a monitor's figures and for profiles, apart from the public one; or off",
		func(c *config, v string) error { return c.setMetrics(v) }}
	settingLogLevel = setting{"log-level", "BOARDLORE_LOG_LEVEL", "info",
		"debug, info, warn or error; a request is info, one that failed by the server's doing error",
		func(c *config, v string) error { return c.logLevel.UnmarshalText([]byte(v)) }}
	settingAddresses = setting{"log-addresses", "BOARDLORE_LOG_ADDRESSES", "false",
		"true to have callers' addresses in the log",
		func(c *config, v string) (err error) { c.addresses, err = strconv.ParseBool(v); return err }}
	settingListen = setting{"listen", "BOARDLORE_LISTEN", "127.0.0.1:8080", "address to serve on, host:port",
		func(c *config, v string) error { c.listen = v; _, _, err := net.SplitHostPort(v); return err }}
	settingGrace = setting{"grace", "BOARDLORE_GRACE", "20s", "how long running requests may take to end at shutdown",
		func(c *config, v string) (err error) { c.grace, err = time.ParseDuration(v); return err }}
	settingPublic = setting{"public-url", "BOARDLORE_PUBLIC_URL", "",
		"how the world reaches the server, such as https://maps.example.org; with https, cookies go by https only",
		func(c *config, v string) (err error) { c.publicURL, err = publicURL(v); return err }}
	settingProxies = setting{"trusted-proxies", "BOARDLORE_TRUSTED_PROXIES", "",
		"addresses or networks of the proxies in front, parted by commas, whose X-Forwarded-For is believed",
		func(c *config, v string) (err error) { c.proxies, err = networks(v); return err }}
	settingLimits = setting{"limits", "BOARDLORE_LIMITS", "reads=20000,labour=500,writes=100,failed=2",
		"requests a second that one caller has for reading, computing, acting, and with refused tokens; or off",
		func(c *config, v string) (err error) { c.limits, err = limits(v); return err }}
)

var (
	databaseSettings = []setting{settingData, settingDatabase}
	serverSettings   = []setting{settingData, settingDatabase, settingReplica, settingPooler, settingBudget,
		settingListen, settingPublic, settingProxies, settingLimits, settingGrace,
		settingMetrics, settingLogLevel, settingAddresses}
)

func postgresURL(v string) error {
	if v == "" {
		return nil
	}
	u, err := url.Parse(v)
	if err != nil || u.Scheme != "postgres" && u.Scheme != "postgresql" {
		return errors.New("write postgres://user@host/database, with each of / # ? % and blanks in a password percent-encoded, " +
			"or leave the password out and name a file for it in PGPASSFILE")
	}
	return nil
}

// size reads a number of bytes; a database of less than 100 MB could take in nothing.
func size(v string) (int64, error) {
	if v == "" {
		return 0, nil
	}
	n, err := units.FromHumanSize(v)
	if err != nil || n < 100e6 {
		return 0, errors.New("write a size from 100MB on, such as 20GB")
	}
	return n, nil
}

// standardMetrics is where the figures are where nobody says.
const standardMetrics = "127.0.0.1:9464"

func (c *config) setMetrics(v string) error {
	if v == "off" {
		return nil
	}
	c.metrics = v
	_, _, err := net.SplitHostPort(v)
	return err
}

func publicURL(v string) (string, error) {
	if v == "" {
		return "", nil
	}
	u, err := url.Parse(v)
	if err != nil || u.Scheme != "http" && u.Scheme != "https" || u.Host == "" || u.User != nil ||
		strings.Trim(u.Path, "/") != "" || u.RawQuery != "" || u.Fragment != "" {
		return "", errors.New("write https://host, without a path")
	}
	return u.Scheme + "://" + u.Host, nil
}

func networks(v string) ([]netip.Prefix, error) {
	var out []netip.Prefix
	for _, s := range strings.FieldsFunc(v, func(r rune) bool { return r == ',' || r == ' ' }) {
		p, err := netip.ParsePrefix(s)
		if a, aerr := netip.ParseAddr(s); aerr == nil {
			p, err = netip.PrefixFrom(a, a.BitLen()), nil
		}
		if err != nil {
			return nil, fmt.Errorf("%q is no address and no network; write such as 10.0.0.7 or 10.0.0.0/24", s)
		}
		out = append(out, p)
	}
	return out, nil
}

// limits reads the allowances of one caller. What is not named keeps its
// default; bursts go with the rates.
func limits(v string) (api.Limits, error) {
	var l api.Limits
	if v == "off" {
		return api.Limits{Off: true}, nil
	}
	for _, s := range strings.FieldsFunc(v, func(r rune) bool { return r == ',' || r == ' ' }) {
		name, figure, _ := strings.Cut(s, "=")
		rate, err := strconv.ParseFloat(figure, 64)
		if err != nil || !(rate > 0 && rate <= 1e9) {
			return l, fmt.Errorf("%q is no rate; write such as writes=10, or off for no limits", s)
		}
		switch r := (api.Rate{PerSecond: rate}); name {
		case "reads":
			l.Reads = r
		case "labour":
			l.Labour = r
		case "writes":
			l.Writes = r
		case "failed":
			l.Failed = r
		default:
			return l, fmt.Errorf("there is no limit %q; there are reads, labour, writes, failed", name)
		}
	}
	return l, nil
}

// addSettings gives cmd a flag for each setting.
func addSettings(cmd *cobra.Command, settings []setting) {
	for _, s := range settings {
		cmd.Flags().String(s.flag, s.standard, fmt.Sprintf("%s [%s]", s.help, s.variable))
	}
}

// readConfig reads the settings of cmd: the flag where given, else the
// variable, else the standard value. Each failure names its setting.
func readConfig(cmd *cobra.Command, settings []setting) (config, error) {
	var c config
	for _, s := range settings {
		v := cmd.Flags().Lookup(s.flag).Value.String()
		source := "--" + s.flag
		if e := os.Getenv(s.variable); e != "" && !cmd.Flags().Changed(s.flag) {
			v, source = e, s.variable
		}
		if err := s.set(&c, v); err != nil {
			return c, usageError{fmt.Errorf("%s: %swill not do: %w", source, shown(s, v), err)}
		}
	}
	if c.dataDir == "" {
		c.dataDir = standardDir("data")
	}
	return c, nil
}

// shown is a refused value as the refusal quotes it. A database's address is not
// quoted at all: where it can't be read, nobody knows which part of it is the
// password.
func shown(s setting, v string) string {
	if strings.HasSuffix(s.flag, "-url") && s.flag != settingPublic.flag {
		return "the address given "
	}
	return strconv.Quote(v) + " "
}

// standardDir is where data lie when no folder is named. For root it is below
// /var/lib, since the database runs under another account, which could not
// reach a folder in root's home.
func standardDir(name string) string {
	if os.Geteuid() == 0 {
		return filepath.Join("/var/lib/boardlore", name)
	}
	if d := os.Getenv("XDG_DATA_HOME"); d != "" {
		return filepath.Join(d, "boardlore", name)
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return filepath.Join("boardlore", name)
	}
	return filepath.Join(home, ".local", "share", "boardlore", name)
}
