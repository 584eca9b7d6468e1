package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"boardlore/api/client"
	"boardlore/api/mirror"
	"boardlore/domain/transparency"
	"boardlore/store"
	"boardlore/store/bundle"
)

func bundleCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "bundle BOARD...",
		Short: "Put boards into one file that proves itself without a server",
		Long: `bundle writes all released maps of some boards, their photographs and drawings,
and the proofs that the public log holds them, into one tar file, from the
database or from a server (--server). It prints the log's key, by which
boardlore verify holds the file years later: keep that apart from the file.`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return usageError{fmt.Errorf("bundle takes one BOARD or more")}
			}
			return nil
		},
	}
	addSettings(cmd, databaseSettings)
	out := cmd.Flags().String("out", "", "file to write, which must not exist yet")
	server := cmd.Flags().String("server", "", "address of a registry, in place of a database")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if *out == "" {
			return usageError{fmt.Errorf("--out names the file to write")}
		}
		if *server != "" {
			c, err := client.New(*server, client.Options{})
			if err != nil {
				return usageError{err}
			}
			return writeBundle(cmd, mirror.Remote{Client: c}, args, *out)
		}
		return withStore(cmd, func(ctx context.Context, s *store.Store) error {
			return writeBundle(cmd, bundle.Local{Store: s}, args, *out)
		})
	}
	return cmd
}

// writeBundle writes the file whole or not at all.
func writeBundle(cmd *cobra.Command, src bundle.Source, boards []string, out string) (err error) {
	if _, err := os.Lstat(out); err == nil {
		return fmt.Errorf("%s is there already: name another file", out)
	}
	f, err := os.CreateTemp(filepath.Dir(out), ".bundle-")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // where it was not moved
	w, err := bundle.Write(cmd.Context(), f, src, boards, progressTo(cmd.ErrOrStderr()))
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err != nil {
		return err
	}
	if err := os.Chmod(f.Name(), 0o644); err != nil {
		return err
	}
	if err := os.Rename(f.Name(), out); err != nil {
		return err
	}
	for _, sum := range w.Lacking {
		fmt.Fprintf(cmd.ErrOrStderr(), "not in it, since it was withdrawn: photograph %s\n", sum)
	}
	fmt.Fprintf(cmd.ErrOrStderr(), "%s: %d maps, %d photographs, %d entries of the log; its key:\n", out, w.Maps,
		w.Photographs, w.Entries)
	_, err = fmt.Fprintln(cmd.OutOrStdout(), w.Key)
	return err
}

func verifyCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "verify FILE",
		Short: "Hold a bundle to the log's key, without any server",
		Long: `verify holds every byte of a bundle to the key of the registry's log (--key, as
GET /v1 shows it): that each map is the one that was released under its number,
that photographs are those that the maps name, and that drawings are what this
program draws. It exits 1 where anything does not hold.`,
		Args: exactly(1, "one FILE"),
	}
	key := cmd.Flags().String("key", "", "verifier key of the log")
	var opt bundle.Options
	cmd.Flags().BoolVar(&opt.WithoutDrawings, "without-drawings", false,
		"do not hold the drawings, as where another version made them")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if *key == "" {
			return usageError{fmt.Errorf("--key names the log's key, which the registry shows at GET /v1")}
		}
		f, err := os.Open(args[0])
		if err != nil {
			return err
		}
		defer f.Close()
		r, err := bundle.Verify(f, *key, opt)
		if err != nil {
			return err
		}
		tellBundle(cmd, &r, opt)
		return nil
	}
	return cmd
}

func tellBundle(cmd *cobra.Command, r *bundle.Report, opt bundle.Options) {
	out := cmd.OutOrStdout()
	fmt.Fprintf(out, "holds: %s, checkpoint of %d entries\n", r.Origin, r.Size)
	for _, h := range r.Entries {
		what := fmt.Sprintf("%s revision %d: %s", h.Board, h.Number, h.Act)
		switch {
		case h.Act == transparency.Withdrawal:
			what += " (" + h.Kind + ")"
		case h.Act == transparency.Release && !h.Map:
			what += ", without its map"
		}
		fmt.Fprintf(out, "  entry %d  %s  %s\n", h.Index, what, h.Digest)
	}
	fmt.Fprintf(out, "  %d photographs\n", r.Photographs)
	for _, sum := range r.Lacking {
		fmt.Fprintf(out, "  not in it: photograph %s\n", sum)
	}
	if opt.WithoutDrawings {
		fmt.Fprintln(out, "  the drawings were not held")
	}
}
