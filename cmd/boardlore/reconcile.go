package main

import (
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
		Use:   "reconcile MAP|BOARD KIT",
		Short: "Check a kit against a board's map",
		Long: `reconcile checks a kit (JSON, or a list: CSV, tabs, semicolons, or one part a
line) against a map, before anything is desoldered. MAP and KIT are files (- for
standard input); BOARD is the ID of a board of the registry that --server names,
and a KIT of which there is no file the ID of one that the registry keeps. Where
the registry can't be reached, copies that were kept are taken, and their age is
told. Only a kit that is complete is an all clear. It exits

  0  complete: every position gets a part that suits, and nothing is doubtful
  3  to-check: every position gets a part, but something has to be checked
  4  short: some position stays empty, whatever is confirmed
  5  conflict: the kit's own labels put a part where it must not stand
  7  complete, but against a kept copy older than a day
  1  where the map or the kit cannot be read, 2 where the command is wrong, 6 where
     the registry can't be reached and nothing was kept.`,
		Args:              exactly(2, "a MAP or the ID of a BOARD, and a KIT"),
		ValidArgsFunction: completeBoards,
	}
	addSettings(cmd, registrySettings)
	f := cmd.Flags()
	variant := f.String("variant", "", "the variant of the board")
	revision := f.Int("revision", 0, "of a BOARD: the revision; the current one where it is 0")
	scope := f.String("scope", "service", "service, all, or designators joined by commas")
	format := f.String("format", "text", "text, json or csv")
	asJSON := f.Bool("json", false, "the same as --format json")
	pairs := f.Bool("pairs", false, "list every allowed pair with its penalty (json)")
	choices(cmd, "format", "text", "json", "csv")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if *asJSON {
			*format = "json"
		}
		if err := oneOf("format", *format, "text", "json", "csv"); err != nil {
			return err
		}
		s, err := openMap(cmd, args[0], *revision)
		if err != nil {
			return err
		}
		k, problems, err := openKit(cmd, args[1], s)
		if err != nil {
			return err
		}
		report, err := reconciled(s, k, problems, *variant, kit.ParseScope(*scope), *pairs)
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
		if worst := outcomes[report.Outcome]; worst != nil {
			return worst
		}
		return s.stale
	}
	return cmd
}

// reconciled holds a kit against one build of a map.
func reconciled(s *source, k *kit.Kit, problems []kit.Problem, variant string, scope kit.Scope, pairs bool) (kit.Report,
	error) {
	effective, err := s.build(variant)
	if err != nil {
		return kit.Report{}, err
	}
	whole, err := digest(s.m)
	if err != nil {
		return kit.Report{}, err
	}
	own := whole
	if variant != "" && s.variant == "" {
		if own, err = digest(effective); err != nil {
			return kit.Report{}, err
		}
	}
	r := kit.Request{Map: effective, Kit: k, Revision: s.revision, Variant: variant, Digest: own, Scope: scope,
		Pairs: pairs, Problems: problems}
	if s.variant != "" {
		r.Variant = s.variant
	} else {
		r.Others = kit.Builds(kit.Other{Digest: whole, Map: s.m, Revision: s.revision})
	}
	return kit.Reconcile(r)
}

// openKit takes a kit by its file or, where there is no such file and the name
// is an ID, from the registry that keeps it; a copy that is too old counts as
// the map's does.
func openKit(cmd *cobra.Command, name string, s *source) (*kit.Kit, []kit.Problem, error) {
	if !boardID(name) {
		return readKitFile(cmd, name)
	}
	c, err := registry(cmd)
	if err != nil {
		return nil, nil, err
	}
	a, err := c.Kit(cmd.Context(), name, 0)
	if err != nil {
		return nil, nil, err
	}
	if stale := tellAge(cmd, c, a.Fresh); stale != nil {
		s.stale = stale
	}
	return a.Value, nil, nil
}

// outcomes are the exit codes, nil for an all clear.
var outcomes = map[string]error{kit.Complete: nil, kit.ToCheck: exitToCheck, kit.Short: exitShort,
	kit.Conflict: exitConflict}

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
	if err := printFindings(cmd.ErrOrStderr(), name, what, fs); err != nil {
		return err
	}
	return errFindings
}
