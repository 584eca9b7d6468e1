package main

import (
	"fmt"
	"io"
	"os"

	"github.com/go-json-experiment/json"
	"github.com/spf13/cobra"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/kit"
	"boardlore/schema"
)

func checkCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "check FILE...",
		Short: "Check maps and kits offline, with the same findings as the server",
		Long: `check reads each file, a map (alone or in its envelope) or a kit as JSON or a kit
as a list (CSV, tabs, semicolons, or one part a line), and prints every finding. It exits 1 where a
finding would make a registry refuse the document. "-" is standard input.`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return usageError{fmt.Errorf("give one FILE or more")}
			}
			return nil
		},
	}
	asJSON := cmd.Flags().Bool("json", false, "print the findings as JSON, one line a file")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		refused := false
		for _, name := range args {
			data, err := readFile(cmd.InOrStdin(), name)
			if err != nil {
				return err
			}
			what, fs := checkDocument(data)
			refused = refused || finding.Worst(fs) == finding.Stop
			if err := printFindings(cmd.OutOrStdout(), name, what, fs, *asJSON); err != nil {
				return err
			}
		}
		if refused {
			return errFindings
		}
		return nil
	}
	return cmd
}

// readFile reads a file, or standard input for "-", up to a little more than
// the largest document, so that a larger one is refused as such.
func readFile(stdin io.Reader, name string) ([]byte, error) {
	in := stdin
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		in = f
	}
	return io.ReadAll(io.LimitReader(in, board.MaxBytes+1))
}

// checkDocument tells a map from a kit by its members and checks it.
func checkDocument(data []byte) (what string, fs []finding.Finding) {
	o, err := kit.Open(data, "")
	if f, ok := fault.As(err); ok {
		return "kit list", append(f.Findings, finding.Finding{Code: f.Code, Severity: finding.Stop, Sentence: f.Detail})
	}
	if o.Kit != nil {
		return fmt.Sprintf("kit list, %d lines", len(o.Kit.Lines)), listFindings(o.Problems)
	}
	data = o.Document
	var head struct {
		Lines []any `json:"lines"`
	}
	if err := json.Unmarshal(data, &head); err == nil && head.Lines != nil {
		_, fs := schema.ReadKit(data)
		return "kit", fs
	}
	inner, _, prefix := schema.Unwrap(data)
	_, fs = schema.ReadMap(inner)
	for i := range fs {
		fs[i].Pointer = prefix + fs[i].Pointer
	}
	return "map", fs
}

// listFindings tells of the lines of a list that a person has to look at; a
// line that can't be read is kept as text, so that none of them stops the kit.
func listFindings(problems []kit.Problem) []finding.Finding {
	fs := make([]finding.Finding, len(problems))
	for i, p := range problems {
		fs[i] = finding.Finding{Code: "list-line", Severity: finding.Caution, Found: p.Text, Sentence: p.Sentence()}
	}
	return fs
}

func printFindings(w io.Writer, name, what string, fs []finding.Finding, asJSON bool) error {
	if asJSON {
		return json.MarshalWrite(w, map[string]any{"file": name, "document": what, "findings": fs}, json.Deterministic(true))
	}
	verdict := "sound"
	if n := len(fs); n > 0 {
		verdict = fmt.Sprintf("%d findings", n)
	}
	if _, err := fmt.Fprintf(w, "%s: %s, %s\n", name, what, verdict); err != nil {
		return err
	}
	for _, f := range fs {
		where := f.Pointer
		if where != "" {
			where += ": "
		}
		if _, err := fmt.Fprintf(w, "  %-7s %s%s [%s]\n", f.Severity, where, f.Sentence, f.Code); err != nil {
			return err
		}
	}
	return nil
}
