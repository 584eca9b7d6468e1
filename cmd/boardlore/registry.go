package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/spf13/cobra"

	"boardlore/api/client"
	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/schema"
)

// tokenVariable holds an account's token. There is no flag for it, since what
// stands in an argument every process of the machine can read.
const tokenVariable = "BOARDLORE_TOKEN"

var (
	settingServer = setting{"server", "BOARDLORE_SERVER", "",
		"address of the registry to ask, such as https://maps.example.org",
		func(c *config, v string) error { c.server = v; return nil }}
	settingToken = setting{"token-file", "BOARDLORE_TOKEN_FILE", "",
		"file that holds your token; else the token stands in " + tokenVariable,
		func(c *config, v string) (err error) { c.token, err = readToken(v); return err }}
	settingCache = setting{"cache", "BOARDLORE_CACHE", "",
		"folder in which answers are kept for use without a network, or off (default: a folder of your account)",
		func(c *config, v string) (err error) { c.cache, err = cacheDir(v); return err }}

	registrySettings = []setting{settingServer, settingToken, settingCache}
)

// readToken reads a token out of a file that nobody else can read, or else out of
// the environment; "" where there is none.
func readToken(file string) (string, error) {
	if file == "" {
		return strings.TrimSpace(os.Getenv(tokenVariable)), nil
	}
	info, err := os.Stat(file)
	if err != nil {
		return "", err
	}
	if runtime.GOOS != "windows" && info.Mode().IsRegular() && info.Mode().Perm()&0o077 != 0 {
		return "", fmt.Errorf("others can read it: chmod 600 %s", file)
	}
	b, err := os.ReadFile(file)
	if s := strings.TrimSpace(string(b)); err != nil || s != "" && !strings.ContainsAny(s, " \t\r\n") {
		return s, err
	}
	return "", errors.New("it does not hold just a token")
}

func cacheDir(v string) (string, error) {
	if v == "off" {
		return "", nil
	}
	if v != "" {
		return v, nil
	}
	dir, err := os.UserCacheDir()
	if err != nil {
		return "", nil // an account without a home keeps nothing
	}
	return filepath.Join(dir, "boardlore"), nil
}

// registry is a client of the registry that the settings of cmd name.
func registry(cmd *cobra.Command) (*client.Client, error) {
	c, err := readConfig(cmd, registrySettings)
	if err != nil {
		return nil, err
	}
	if c.server == "" {
		return nil, usageError{fmt.Errorf("--server (or %s) names the registry to ask", settingServer.variable)}
	}
	// A person waits before the screen: one more try, and then what was kept.
	r, err := client.New(c.server, client.Options{Token: c.token, Cache: c.cache, Tries: 2, Trouble: func(err error) {
		fmt.Fprintf(cmd.ErrOrStderr(), "boardlore: %s\n", oneLine(err.Error()))
	}})
	if err != nil {
		return nil, usageError{err}
	}
	return r, nil
}

// staleAfter is from which age on a kept copy is no all clear any more.
const staleAfter = 24 * time.Hour

// tellAge says of a kept answer how old it is. A command that gave one older
// than a day ends with exitStale, whatever it found.
func tellAge(cmd *cobra.Command, c *client.Client, f client.Freshness) error {
	if !f.Kept {
		return nil
	}
	fmt.Fprintf(cmd.ErrOrStderr(), "boardlore: %s can't be reached; this is a kept copy, last confirmed %s ago\n",
		c.Address(), age(f.Age))
	if f.Age < staleAfter {
		return nil
	}
	fmt.Fprintln(cmd.ErrOrStderr(),
		"boardlore: STOP: it is older than a day, and may have been corrected or withdrawn since: ask again before you rely on it")
	return exitStale
}

// age is a span in words, never longer than it was.
func age(d time.Duration) string {
	for _, u := range []struct {
		of   time.Duration
		name string
	}{{24 * time.Hour, "day"}, {time.Hour, "hour"}, {time.Minute, "minute"}} {
		switch n := int(d / u.of); {
		case n == 1:
			return "1 " + u.name
		case n > 1:
			return fmt.Sprintf("%d %ss", n, u.name)
		}
	}
	return "less than a minute"
}

// printJSON writes one answer for programs.
func printJSON(cmd *cobra.Command, v any) error {
	b, err := json.Marshal(v, json.Deterministic(true), jsontext.WithIndent("  "))
	if err != nil {
		return err
	}
	_, err = cmd.OutOrStdout().Write(append(b, '\n'))
	return err
}

// printLine writes one answer of many, on a line of its own.
func printLine(cmd *cobra.Command, v any) error {
	b, err := json.Marshal(v, json.Deterministic(true))
	if err != nil {
		return err
	}
	_, err = cmd.OutOrStdout().Write(append(b, '\n'))
	return err
}

func table(cmd *cobra.Command) *tabwriter.Writer {
	return tabwriter.NewWriter(cmd.OutOrStdout(), 0, 0, 2, ' ', 0)
}

// source is a map with what is known of it: out of a file, or of a registry.
type source struct {
	m        *board.Map // as it stands there, with its variants
	revision int        // 0 for one that no revision is known of
	variant  string     // that it was made for
	digest   string     // of the base map; "" where it was worked out
	stale    error      // of a kept copy that is too old
}

// openMap takes a map by its file or, where there is no such file and the name
// is an ID, by its board from the registry.
func openMap(cmd *cobra.Command, name string, revision int) (*source, error) {
	if !boardID(name) {
		return mapFile(cmd, name, revision)
	}
	c, err := registry(cmd)
	if err != nil {
		return nil, err
	}
	var a client.Answer[client.Envelope]
	if revision > 0 {
		a, err = c.RevisionMap(cmd.Context(), name, revision, client.RevisionOf{})
	} else {
		a, err = c.CurrentMap(cmd.Context(), name, "")
	}
	if err != nil {
		return nil, err
	}
	s := &source{m: a.Value.Map, revision: a.Value.Revision, digest: a.Value.Digest, stale: tellAge(cmd, c, a.Fresh)}
	if s.m == nil {
		return nil, fmt.Errorf("%s answers no map", c.Address())
	}
	return s, nil
}

func mapFile(cmd *cobra.Command, name string, revision int) (*source, error) {
	if revision > 0 {
		return nil, usageError{fmt.Errorf("--revision goes with a BOARD of a registry, and %s is a file", name)}
	}
	data, err := readFile(cmd.InOrStdin(), name)
	if err != nil {
		return nil, err
	}
	doc, e, _ := schema.Unwrap(data)
	m, fs := schema.ReadMap(doc)
	if m == nil {
		return nil, refused(cmd, name, "map", fs)
	}
	s := &source{m: m, variant: m.Variant}
	if own, err := digest(m); err != nil || own == e.Digest { // else it was edited, and is that revision no more
		s.revision = e.Revision
		return s, err
	}
	return s, nil
}

// boardID tells a board's ID, or a kit's, from the name of a file.
func boardID(name string) bool {
	if name == "-" || strings.ContainsAny(name, "./\\") {
		return false
	}
	_, err := os.Stat(name)
	return errors.Is(err, fs.ErrNotExist)
}

// build is the map for one build of the board.
func (s *source) build(variant string) (*board.Map, error) {
	if s.variant != "" {
		if variant != "" && variant != s.variant {
			return nil, usageError{fmt.Errorf("the map was made for the variant %s alone", s.variant)}
		}
		return s.m, nil
	}
	return s.m.Effective(variant)
}

// completeBoards completes IDs of boards, as the registry finds them; nothing
// where none is named or reached.
func completeBoards(cmd *cobra.Command, args []string, so string) ([]string, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveDefault
	}
	c, err := readConfig(cmd, registrySettings)
	if err != nil || c.server == "" {
		return nil, cobra.ShellCompDirectiveDefault
	}
	r, err := client.New(c.server, client.Options{Cache: c.cache, Tries: 1})
	if err != nil {
		return nil, cobra.ShellCompDirectiveDefault
	}
	found, err := r.Boards(cmd.Context(), client.BoardFilter{Query: so, Page: client.Page{Limit: 50}})
	if err != nil {
		return nil, cobra.ShellCompDirectiveDefault
	}
	var ids []string
	for _, b := range found.Value.Boards {
		if strings.HasPrefix(b.Board, so) {
			ids = append(ids, cobra.CompletionWithDesc(b.Board, b.Name))
		}
	}
	return ids, cobra.ShellCompDirectiveDefault
}

// choices has a flag completed with its words.
func choices(cmd *cobra.Command, flag string, words ...string) {
	err := cmd.RegisterFlagCompletionFunc(flag, cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp))
	if err != nil {
		panic(err) // a flag that is not there
	}
}

// oneOf refuses a flag's value that is none of its words.
func oneOf(flag, value string, words ...string) error {
	if slices.Contains(words, value) {
		return nil
	}
	return usageError{fmt.Errorf("--%s is one of %s", flag, strings.Join(words, ", "))}
}

func tellFindings(w io.Writer, fs []finding.Finding) {
	for _, f := range fs {
		where := f.Pointer
		if where != "" {
			where += ": "
		}
		fmt.Fprintf(w, "  %-7s %s%s [%s]\n", f.Severity, where, f.Sentence, f.Code)
	}
}
