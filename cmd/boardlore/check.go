package main

import (
	"fmt"
	"io"
	"os"
	"slices"

	"github.com/go-json-experiment/json"
	"github.com/spf13/cobra"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/kit"
	"boardlore/domain/message"
	"boardlore/schema"
)

func checkCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "check FILE...",
		Short: "Check maps and kits offline, with the same findings as the server",
		Long: `check reads each file, a map or a kit as JSON or a kit as a list (CSV, tabs,
semicolons, or one part a line), and prints every finding. A map may be in its
envelope. It exits 1 where a finding would make a registry refuse the document.
"-" is standard input.

A document without a finding is sound as such: what nobody can tell from the
document alone is not checked, and is named.`,
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
			d := checkDocument(data)
			refused = refused || finding.Worst(d.Findings) == finding.Stop
			d.File = name
			if *asJSON {
				err = printLine(cmd, d)
			} else {
				err = d.print(cmd.OutOrStdout())
			}
			if err != nil {
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

// checked is what a document was told.
type checked struct {
	File       string            `json:"file"`
	What       string            `json:"document"` // map, kit or kit list, and how long that is
	Findings   []finding.Finding `json:"findings"`
	NotChecked []string          `json:"not_checked"` // what the document alone can't show
}

// What a document alone can't show.
var (
	mapNotChecked = []string{
		"whether the board is as the map says",
		"what earlier revisions told of the board, against which a registry judges a correction (boardlore propose tells)",
	}
	kitNotChecked = []string{
		"whether its parts suit a board, are enough for it, and stand where its labels say (boardlore reconcile MAP KIT)",
	}
)

// checkDocument tells a map from a kit by its members and checks it.
func checkDocument(data []byte) checked {
	o, err := kit.Open(data, "")
	if f, ok := fault.As(err); ok {
		return checked{What: "kit list", Findings: append(f.Findings, finding.Finding{Code: f.Code,
			Severity: finding.Stop, Sentence: f.Detail}), NotChecked: kitNotChecked}
	}
	if o.Kit != nil {
		return checkedKit(fmt.Sprintf("kit list, %d lines", len(o.Kit.Lines)), o.Kit, listFindings(o.Problems))
	}
	doc, _, prefix := schema.Unwrap(o.Document)
	var head struct {
		Lines []any `json:"lines"`
	}
	if err := json.Unmarshal(doc, &head); err == nil && head.Lines != nil {
		k, fs := schema.ReadKit(doc)
		return checkedKit("kit", k, fs)
	}
	m, fs := schema.ReadMap(doc)
	for i := range fs {
		fs[i].Pointer = prefix + fs[i].Pointer
	}
	if m != nil && m.Variant != "" {
		return checked{What: "map of the variant " + m.Variant, Findings: fs,
			NotChecked: append(slices.Clone(mapNotChecked),
				"the other builds, which a map of one variant lacks: it is no submission")}
	}
	return checked{What: "map", Findings: fs, NotChecked: mapNotChecked}
}

// checkedKit reads the lines of a kit, as a reconciliation does before it looks
// at any board: a kit of which nothing reads as a part is refused there.
func checkedKit(what string, k *kit.Kit, fs []finding.Finding) checked {
	out := checked{What: what, Findings: fs, NotChecked: kitNotChecked}
	if k == nil {
		return out
	}
	r, err := kit.Reconcile(kit.Request{Map: &board.Map{}, Kit: k, Scope: kit.ParseScope(kit.ScopeAll)})
	if f, ok := fault.As(err); ok {
		out.Findings = append(append(out.Findings, f.Findings...), finding.Finding{Code: f.Code, Severity: finding.Stop,
			Sentence: f.Detail})
		return out
	}
	for i := range r.Lines {
		l := &r.Lines[i]
		if l.Sure {
			continue
		}
		how := "say it otherwise, or give its part."
		if l.Say != "" {
			how = fmt.Sprintf("write %q if that is meant.", l.Say)
		}
		out.Findings = append(out.Findings, finding.Finding{Code: "line-unsure", Severity: finding.Caution,
			Found: l.Text,
			Sentence: message.Text(fmt.Sprintf("Line %d is not sure, and fills no position for good: %s", l.Line,
				how))})
	}
	return out
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

// print writes for a person what was found, and what was not looked at.
func (d *checked) print(w io.Writer) error {
	if err := printFindings(w, d.File, d.What, d.Findings); err != nil {
		return err
	}
	for _, s := range d.NotChecked {
		if _, err := fmt.Fprintf(w, "  not checked: %s\n", s); err != nil {
			return err
		}
	}
	return nil
}

func printFindings(w io.Writer, name, what string, fs []finding.Finding) error {
	verdict := "sound as a document"
	if n := len(fs); n > 0 {
		verdict = fmt.Sprintf("%d findings", n)
	}
	if _, err := fmt.Fprintf(w, "%s: %s, %s\n", name, what, verdict); err != nil {
		return err
	}
	tellFindings(w, fs)
	return nil
}
