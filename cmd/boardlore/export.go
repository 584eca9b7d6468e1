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

	"boardlore/store"
)

func exportCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "export",
		Short: "Write the whole registry, or some boards, as one JSON document a line",
		Long: `export writes the public log with the maps to standard output, also while a
server runs: every release as one JSON document a line, withdrawals and moves
between them, in the order in which they happened; then kits and records, and
what became of photographs; a photograph stands before the line that names it.
The marks of units stay here: a record's unit leaves as a keyed hash, so that
whoever loads it counts the same units. boardlore load reads all of it, and so
does any program that reads JSON. An export that broke off goes on with --after
and the index of its last line, and with --after-event and its event where the
last line has one.`,
		Args: exactly(0, "no arguments"),
	}
	addSettings(cmd, databaseSettings)
	boards := cmd.Flags().StringSlice("board", nil, "ID of a board; several for these alone")
	after := cmd.Flags().Int64("after", -1, "index of the line after which to go on")
	afterEvent := cmd.Flags().Int64("after-event", 0, "event of the line after which to go on with kits and records")
	what := cmd.Flags().String("what", "", "log or beside: that part alone")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		part := store.ExportPart(*what)
		if part != store.Whole && part != store.Log && part != store.Beside {
			return usageError{fmt.Errorf("--what is log or beside")}
		}
		return withStore(cmd, func(ctx context.Context, s *store.Store) error {
			out := bufio.NewWriterSize(cmd.OutOrStdout(), 1<<20)
			progress, n := progressTo(cmd.ErrOrStderr()), 0
			for x, err := range s.Export(ctx, store.ExportFilter{Part: part, After: *after, AfterEvent: *afterEvent,
				Boards: *boards}) {
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
and releases it here under the same number; photographs, kits and records come
along, each held to its digest. What is here already is passed over,
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
			fmt.Fprintf(cmd.ErrOrStderr(),
				"%d revisions loaded, %d were here, %d withdrawn; %d photographs, %d kits, %d records\n",
				n.Released, n.Had, n.Withdrawn, n.Photographs, n.Kits, n.Records)
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
func loadLines(ctx context.Context, s *store.Store, in io.Reader, from string, progress func(string)) (store.Loaded,
	error) {
	const longest = 32 << 20 // a photograph in base64
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
