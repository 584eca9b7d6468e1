package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

func explainCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "explain TEXT...",
		Short: "Show span by span how a part's text is understood",
		Long: `explain reads a text as a part, as a kit's line is read, and prints every way to
read it, then span by span what was understood, by which rule and with what
weight, what is left over, and the spans that lost. It exits 1 where the text
is not sure.`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return usageError{fmt.Errorf("give a TEXT")}
			}
			return nil
		},
	}
	class := cmd.Flags().String("class", "", "what sort of part it is known to be")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		t, err := part.Explain(strings.Join(args, " "), quantity.Context{Class: *class})
		if err != nil {
			return err
		}
		if err := printExplained(cmd.OutOrStdout(), &t); err != nil {
			return err
		}
		if !t.Sure {
			return errFindings
		}
		return nil
	}
	return cmd
}

func printExplained(w io.Writer, t *part.Text) error {
	for i := range t.Readings {
		fmt.Fprintln(w, t.Readings[i].Canonical)
		for _, d := range t.Readings[i].Doubts {
			fmt.Fprintln(w, "  doubt:", d)
		}
	}
	if t.Sure {
		fmt.Fprintln(w, "sure")
	} else {
		fmt.Fprintln(w, "not sure")
	}
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, s := range t.Spans {
		fmt.Fprintf(table, "%s\t%q\t%s\t%s\t%s\t%d\n", s.State, s.Text, s.What, s.Says, s.Rule, s.Weight)
	}
	return table.Flush()
}
