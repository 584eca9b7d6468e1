package main

import (
	"fmt"
	"strings"

	"github.com/go-json-experiment/json/jsontext"
	"github.com/spf13/cobra"

	"boardlore/api/client"
	"boardlore/domain/review"
	"boardlore/schema"
)

func proposeCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "propose FILE --summary TEXT",
		Short: "Submit a map to a registry, or amend a proposal",
		Long: `propose submits the map in FILE (- for standard input) to a registry, where
reviewers look at it. A map in its envelope, as boardlore fetch gives it, is a
correction of the revision that the envelope names; another one says with --base
what it was made from, 0 for a new board. --amend NUMBER puts the map in place of
that of your own proposal.

Evidence that bears on positions names them before a colon: "C13, C14: sleeve
read on two boards". The token is read from the file that --token-file names, or
from BOARDLORE_TOKEN.` + exitHelp,
		Args: exactly(1, "one FILE"),
	}
	addSettings(cmd, registrySettings)
	f := cmd.Flags()
	summary := f.String("summary", "", "what changes and why")
	evidence := f.StringArray("evidence", nil, "what it rests on; several times for several items")
	base := f.Int("base", -1, "the revision that the map was made from; 0 for a new board")
	amend := f.Int64("amend", 0, "number of your proposal whose map this is to be")
	key := f.String("key", "", "Idempotency-Key of an earlier try whose outcome is not known")
	asJSON := f.Bool("json", false, "print the receipt as JSON")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if *amend == 0 && *summary == "" {
			return usageError{fmt.Errorf("--summary says what changes and why")}
		}
		if *amend != 0 && (*summary != "" || *evidence != nil || *base >= 0) {
			return usageError{fmt.Errorf("--amend takes the map alone")}
		}
		doc, err := readFile(cmd.InOrStdin(), args[0])
		if err != nil {
			return err
		}
		c, err := registry(cmd)
		if err != nil {
			return err
		}
		var receipt client.Receipt
		if *amend != 0 {
			receipt, err = amended(cmd, c, *amend, doc)
		} else {
			receipt, err = proposed(cmd, c, doc, *summary, *evidence, *base, *key)
		}
		if err != nil {
			return err
		}
		if *asJSON {
			return printJSON(cmd, receipt)
		}
		return tellReceipt(cmd, c, &receipt)
	}
	return cmd
}

func proposed(cmd *cobra.Command, c *client.Client, doc []byte, summary string, evidence []string, base int,
	key string) (client.Receipt, error) {
	inner, _, _ := schema.Unwrap(doc)
	m, fs := schema.ReadMap(inner)
	if m == nil {
		return client.Receipt{}, refused(cmd, "the map", "map", fs)
	}
	s := client.Submission{Board: m.Board, Map: jsontext.Value(doc), Summary: summary}
	if base >= 0 {
		s.Base = &base
	}
	for _, text := range evidence {
		s.Evidence = append(s.Evidence, evidenceOf(text))
	}
	ctx := cmd.Context()
	if key != "" {
		ctx = client.WithKey(ctx, key)
	}
	return c.Propose(ctx, s)
}

// evidenceOf takes designators from before a colon, where all that stands there
// look like some.
func evidenceOf(text string) review.Evidence {
	head, rest, ok := strings.Cut(text, ":")
	if !ok || strings.TrimSpace(rest) == "" {
		return review.Evidence{Text: text}
	}
	var names []string
	for _, n := range strings.Split(head, ",") {
		n = strings.TrimSpace(n)
		if n == "" || strings.ContainsAny(n, " \t") || !strings.ContainsAny(n, "0123456789") {
			return review.Evidence{Text: text}
		}
		names = append(names, n)
	}
	return review.Evidence{Text: strings.TrimSpace(rest), Designators: names}
}

// amended puts a map in place of the one that the proposal has now.
func amended(cmd *cobra.Command, c *client.Client, id int64, doc []byte) (client.Receipt, error) {
	now, err := c.Proposal(cmd.Context(), id)
	if err != nil {
		return client.Receipt{}, err
	}
	if now.Fresh.Kept {
		return client.Receipt{}, away(c)
	}
	return c.Amend(cmd.Context(), id, now.Tag, doc)
}

// away refuses to act on what was kept.
func away(c *client.Client) error {
	return fmt.Errorf("%s can't be reached, and a kept copy is nothing to act on: try again", c.Address())
}

func tellReceipt(cmd *cobra.Command, c *client.Client, r *client.Receipt) error {
	w := table(cmd)
	fmt.Fprintf(w, "proposal\t%d\t%s/proposals/%d\n", r.ID, c.Address(), r.ID)
	fmt.Fprintf(w, "board\t%s\n", r.Board)
	fmt.Fprintf(w, "state\t%s\n", r.State)
	fmt.Fprintf(w, "digest\t%s\n", r.Digest)
	if !r.Standing.Missing.IsZero() {
		fmt.Fprintf(w, "missing\t%s\n", r.Standing.Missing)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	tellFindings(cmd.OutOrStdout(), r.Findings)
	return nil
}
