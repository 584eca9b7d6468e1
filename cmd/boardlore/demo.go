package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"boardlore/domain/kit"
	"boardlore/domain/message"
	"boardlore/seeds"
	"boardlore/store"
)

// The board and the kit that the demo reconciles.
const (
	demoBoard = "tarn-mx12-main"
	demoKit   = "mx12-main-swapped"
)

func demoCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Start a registry with an invented scenario, reconcile a kit, and serve",
		Long: `demo starts a private database in a folder of its own, loads invented boards,
proposals and kits, reconciles one kit against one board, prints the result,
and serves on a free loopback port until it is interrupted. A second run goes
on with the same folder; --fresh moves that folder aside and begins anew.`,
		Args: exactly(0, "no arguments"),
	}
	addSettings(cmd, serverSettings)
	cmd.Flags().Lookup(settingListen.flag).DefValue = "a free loopback port"
	fresh := cmd.Flags().Bool("fresh", false, "move the demo's old data folder aside and begin anew")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		c, err := readConfig(cmd, serverSettings)
		if err != nil {
			return err
		}
		if !cmd.Flags().Changed(settingListen.flag) && os.Getenv(settingListen.variable) == "" {
			c.listen = "127.0.0.1:0"
		}
		if !cmd.Flags().Changed(settingMetrics.flag) && os.Getenv(settingMetrics.variable) == "" {
			c.metrics = "" // nobody watches a demo
		}
		if !cmd.Flags().Changed(settingData.flag) && os.Getenv(settingData.variable) == "" {
			c.dataDir = standardDir("demo")
		}
		if *fresh {
			if err := moveAside(c.dataDir, time.Now()); err != nil {
				return err
			}
		}
		return demo(cmd.Context(), c, cmd.OutOrStdout(), cmd.ErrOrStderr())
	}
	return cmd
}

// moveAside renames an old data folder; nothing is ever removed.
func moveAside(dir string, now time.Time) error {
	old := filepath.Clean(dir) + ".before-" + now.UTC().Format("20060102-150405")
	if err := os.Rename(dir, old); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	return nil
}

func demo(ctx context.Context, c config, stdout, stderr io.Writer) error {
	progress := progressTo(stderr)
	where := c.dataDir
	if c.databaseURL != "" {
		where = "the given database"
	}
	fmt.Fprintf(stderr, "boardlore demo, data in %s\n", where)
	log := slog.New(slog.NewTextHandler(stderr, &slog.HandlerOptions{Level: slog.LevelWarn}))
	return withServer(ctx, c, log, progress, func(ctx context.Context, s *store.Store, address string) error {
		accounts, err := seeds.Load(ctx, s, progress)
		if err != nil {
			return err
		}
		report, err := demoReport(ctx, s)
		if err != nil {
			return err
		}
		fmt.Fprintf(stdout, "\n%s\n", report.Text(message.English, terminalWidth))
		tour(stdout, "http://"+address, accounts)
		return nil
	})
}

// terminalWidth is the width that printed tables keep to.
const terminalWidth = 100

func demoReport(ctx context.Context, s *store.Store) (kit.Report, error) {
	r, err := s.Revision(ctx, demoBoard, 0, "")
	if err != nil {
		return kit.Report{}, err
	}
	k, err := s.Kit(ctx, demoKit, 0)
	if err != nil {
		return kit.Report{}, err
	}
	return kit.Reconcile(kit.Request{Map: r.Map, Kit: k.Kit, Revision: r.Number, Digest: r.Digest})
}

// tour prints where the demo serves, who may act there, and what to try.
func tour(w io.Writer, base string, accounts []seeds.Account) {
	fmt.Fprintf(w, "\nServing on %s until you press Ctrl-C.\n\nAccounts and their tokens, made anew at each start:\n",
		base)
	for _, a := range accounts {
		fmt.Fprintf(w, "  %-10s %-12s %s\n", a.Name, a.Role, a.Token)
	}
	fmt.Fprintf(w, `
Look at the board in a browser: %[1]s/boards/%[2]s
Check a kit of your own against it: %[1]s/boards/%[2]s/kit-check
Review open corrections, signed in with a reviewer's token: %[1]s/desk

Or ask the server as a tool does:
  curl %[1]s/v1/boards/%[2]s
  curl '%[1]s/v1/boards/%[2]s/differences?from=1&to=3&as=text'

To endorse a correction, name what was read by its ETag:
  read=$(curl -sI %[1]s/v1/proposals/6 | tr -d '\r' | sed -n 's/^[Ee][Tt]ag: //p')
  curl -H 'Authorization: Bearer %[3]s' -H "If-Match: $read" -H 'Content-Type: application/json' \
    -d '{"verdict":"endorse","summary":"Read on my board too."}' %[1]s/v1/proposals/6/reviews
`, base, demoBoard, accounts[2].Token)
}
