package main

import (
	"cmp"
	"fmt"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/spf13/cobra"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/kit"
	"boardlore/domain/message"
	"boardlore/schema"
)

func reconcileCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "reconcile MAP KIT",
		Short: "Check a kit against a map, offline",
		Long: `reconcile checks a kit (JSON, or a list: CSV, tabs, semicolons, or one part a
line) against a map, alone or in the envelope that a registry gives with
?envelope=true, before anything is desoldered. Only a kit that is complete
is an all clear. It exits

  0  complete: every position gets a part that suits, and nothing is doubtful
  3  to-check: every position gets a part, but something has to be checked
  4  short: some position stays empty, whatever is confirmed
  5  conflict: the kit's own labels put a part where it must not stand
  1  where the map or the kit cannot be read, 2 where the command is wrong.`,
		Args: exactly(2, "a MAP and a KIT"),
	}
	f := cmd.Flags()
	variant := f.String("variant", "", "the variant of the board")
	scope := f.String("scope", "service", "service, all, or designators joined by commas")
	format := f.String("format", "text", "text, json or csv")
	pairs := f.Bool("pairs", false, "list every allowed pair with its penalty (json)")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		m, err := readMapFile(cmd, args[0])
		if err != nil {
			return err
		}
		k, problems, err := readKitFile(cmd, args[1])
		if err != nil {
			return err
		}
		build := *variant
		if build == m.Variant {
			build = "" // it was made for that one
		}
		effective, err := m.Effective(build)
		if err != nil {
			return err
		}
		whole, err := digest(m)
		if err != nil {
			return err
		}
		own, err := digest(effective)
		if err != nil {
			return err
		}
		if build == "" {
			own = whole
		}
		report, err := kit.Reconcile(kit.Request{Map: effective, Kit: k, Variant: cmp.Or(*variant, m.Variant), Digest: own, Scope: kit.ParseScope(*scope), Pairs: *pairs,
			Others: kit.Builds(kit.Other{Digest: whole, Map: m}), Problems: problems})
		if err != nil {
			return err
		}
		out, err := spellReport(report, *format)
		if err != nil {
			return err
		}
		if _, err := cmd.OutOrStdout().Write(out); err != nil {
			return err
		}
		return outcomes[report.Outcome]
	}
	return cmd
}

// outcomes are the exit codes, nil for an all clear.
var outcomes = map[string]error{kit.Complete: nil, kit.ToCheck: exitToCheck, kit.Short: exitShort, kit.Conflict: exitConflict}

func spellReport(r kit.Report, format string) ([]byte, error) {
	switch format {
	case "text":
		return []byte(r.Text(message.English, terminalWidth)), nil
	case "csv":
		return r.CSV(message.English), nil
	case "json":
		b, err := json.Marshal(r, json.Deterministic(true), jsontext.WithIndent("  "))
		return append(b, '\n'), err
	}
	return nil, usageError{fmt.Errorf("--format is one of text, json, csv")}
}

func readMapFile(cmd *cobra.Command, name string) (*board.Map, error) {
	data, err := readFile(cmd.InOrStdin(), name)
	if err != nil {
		return nil, err
	}
	inner, _, prefix := schema.Unwrap(data)
	m, fs := schema.ReadMap(inner)
	for i := range fs {
		fs[i].Pointer = prefix + fs[i].Pointer
	}
	if m == nil {
		return nil, refused(cmd, name, "map", fs)
	}
	return m, nil
}

// readKitFile reads a kit, and what there is to say of the list that it is.
func readKitFile(cmd *cobra.Command, name string) (*kit.Kit, []kit.Problem, error) {
	data, err := readFile(cmd.InOrStdin(), name)
	if err != nil {
		return nil, nil, err
	}
	k, problems, err := schema.OpenKit(data, "")
	if f, ok := fault.As(err); ok && len(f.Findings) > 0 {
		return nil, nil, refused(cmd, name, "kit", f.Findings)
	}
	return k, problems, err
}

func digest(m *board.Map) (string, error) {
	canonical, err := m.Canonical()
	return board.Digest(canonical), err
}

// refused prints why a document will not do.
func refused(cmd *cobra.Command, name, what string, fs []finding.Finding) error {
	if err := printFindings(cmd.ErrOrStderr(), name, what, fs, false); err != nil {
		return err
	}
	return errFindings
}
