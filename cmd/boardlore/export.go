package main

import (
	"bufio"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"

	"boardlore/domain/board"
	"boardlore/store"
)

func exportCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "export",
		Short: "Write every released revision as one JSON document a line",
		Long: `export writes the public log with the maps to standard output, also while a
server runs: every release as one JSON document a line, withdrawals and moves
between them, in the order in which they happened. boardlore load reads it, and
so does any program that reads JSON. An export that broke off goes on with
--after and the index of its last line.`,
		Args: exactly(0, "no arguments"),
	}
	addSettings(cmd, databaseSettings)
	boards := cmd.Flags().StringSlice("board", nil, "ID of a board; several for these alone")
	after := cmd.Flags().Int64("after", -1, "index of the line after which to go on")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		return withStore(cmd, func(ctx context.Context, s *store.Store) error {
			out := bufio.NewWriterSize(cmd.OutOrStdout(), 1<<20)
			progress, n := progressTo(cmd.ErrOrStderr()), 0
			for x, err := range s.Export(ctx, store.ExportFilter{After: *after, Boards: *boards}) {
				if err != nil {
					return err
				}
				line, err := x.Line("")
				if err != nil {
					return err
				}
				if _, err := out.Write(append(line, '\n')); err != nil {
					return err
				}
				if n++; n%told == 0 {
					progress(fmt.Sprintf("%d lines written", n))
				}
			}
			progress(fmt.Sprintf("%d lines written", n))
			return out.Flush()
		})
	}
	return cmd
}

// told is after how many lines progress is told.
const told = 10_000

func loadCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "load FILE",
		Short: "Bring an export into this registry",
		Long: `load reads what boardlore export or GET /v1/export wrote, plain or compressed with
gzip (- for standard input), holds every map to its digest and to all checks,
and releases it here under the same number. What is here already is passed over,
so that a load that broke off is simply begun again. A revision that says
something else here stops it.`,
		Args: exactly(1, "one FILE, or - for standard input"),
	}
	addSettings(cmd, databaseSettings)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		in, err := openExport(cmd, args[0])
		if err != nil {
			return err
		}
		defer in.Close()
		progress := progressTo(cmd.ErrOrStderr())
		return withStore(cmd, func(ctx context.Context, s *store.Store) error {
			n, err := loadLines(ctx, s, in, args[0], progress)
			fmt.Fprintf(cmd.ErrOrStderr(), "%d revisions loaded, %d were here, %d withdrawn\n", n.Released, n.Had, n.Withdrawn)
			return err
		})
	}
	return cmd
}

// openExport opens an export, uncompressed where it is compressed.
func openExport(cmd *cobra.Command, name string) (io.ReadCloser, error) {
	in := io.NopCloser(cmd.InOrStdin())
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			return nil, err
		}
		in = f
	}
	r := bufio.NewReaderSize(in, 1<<20)
	if head, err := r.Peek(2); err != nil || head[0] != 0x1f || head[1] != 0x8b {
		return readCloser{r, in}, nil
	}
	z, err := gzip.NewReader(r)
	return readCloser{z, in}, err
}

type readCloser struct {
	io.Reader
	io.Closer
}

// loadLines loads line by line; memory is bounded by the longest line and one
// batch of them.
func loadLines(ctx context.Context, s *store.Store, in io.Reader, from string, progress func(string)) (store.Loaded, error) {
	const longest = 2*board.MaxBytes + 1<<16
	lines := bufio.NewScanner(in)
	lines.Buffer(make([]byte, 1<<20), longest)
	var l *store.Loader
	n := 0
	for lines.Scan() {
		x, server, err := store.ReadLine(lines.Bytes())
		if err != nil {
			return l.Count(), fmt.Errorf("line %d: %w", n+1, err)
		}
		if l == nil {
			if server == "" {
				server = from
			}
			if l, err = s.NewLoader(ctx, server); err != nil {
				return store.Loaded{}, err
			}
		}
		x.Map = append([]byte(nil), x.Map...) // the scanner's buffer is used again
		if len(x.Map) == 0 {
			x.Map = nil
		}
		if err := l.Add(ctx, x); err != nil {
			return l.Count(), fmt.Errorf("up to line %d: %w", n+1, err)
		}
		if n++; n%told == 0 {
			progress(fmt.Sprintf("%d lines read", n))
		}
	}
	if err := lines.Err(); err != nil {
		return l.Count(), fmt.Errorf("after line %d: %w", n, err)
	}
	if l == nil {
		return store.Loaded{}, errors.New("the export holds no line")
	}
	err := l.Flush(ctx)
	return l.Count(), err
}
