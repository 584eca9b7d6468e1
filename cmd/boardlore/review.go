package main

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"boardlore/api/client"
	"boardlore/domain/board"
	"boardlore/domain/message"
	"boardlore/domain/review"
)

// minDigest is how much of a digest has to be given, in hex digits: a
// hundred million maps would have to be tried to meet one by chance.
const minDigest = 12

func reviewCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "review PROPOSAL",
		Short: "Read a proposal, or give a verdict on what was read",
		Long: `review prints a proposal: its hazards and claims first, then what changes, what
the checks say and what others said. With --verdict it gives yours, on the very
map that you read: --read names its digest, as review printed it, or at least 12
digits of it, and a proposal that was amended since is refused.

A remark names its position before a colon: --remark "C49: the rail runs at 17 V";
--seen C49=board says that you looked at it on a board, a photograph or a
document. The token is read from the file that --token-file names, or from
BOARDLORE_TOKEN.` + exitHelp,
		Args: exactly(1, "the number of one PROPOSAL"),
	}
	addSettings(cmd, registrySettings)
	f := cmd.Flags()
	var v client.Verdict
	f.StringVar(&v.Verdict, "verdict", "", "endorse, query or object")
	f.StringVar(&v.Summary, "summary", "", "what the verdict says as a whole")
	remarks := f.StringArray("remark", nil, "DESIGNATOR: TEXT, or a TEXT of the whole; several times for several")
	seen := f.StringArray("seen", nil, "DESIGNATOR=board, =photograph or =document; several times for several")
	read := f.String("read", "", "digest of the map that you read")
	key := f.String("key", "", "Idempotency-Key of an earlier try whose outcome is not known")
	asJSON := f.Bool("json", false, "print the proposal, or the receipt, as JSON")
	choices(cmd, "verdict", review.Endorse, review.Query, review.Object)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		id, err := strconv.ParseInt(args[0], 10, 64)
		if err != nil || id < 1 {
			return usageError{fmt.Errorf("%q is no number of a proposal", args[0])}
		}
		if v.Verdict == "" && (v.Summary != "" || *remarks != nil || *seen != nil || *read != "") {
			return usageError{fmt.Errorf("--verdict is missing: endorse, query or object")}
		}
		if v.Verdict != "" {
			if err := verdictOf(&v, *remarks, *seen, *read); err != nil {
				return err
			}
		}
		c, err := registry(cmd)
		if err != nil {
			return err
		}
		p, err := c.Proposal(cmd.Context(), id)
		if err != nil {
			return err
		}
		if v.Verdict != "" {
			return giveVerdict(cmd, c, &p, v, *read, *key, *asJSON)
		}
		if *asJSON {
			err = printJSON(cmd, p.Value)
		} else {
			err = printProposal(cmd, c, &p.Value)
		}
		if err != nil {
			return err
		}
		return tellAge(cmd, c, p.Fresh)
	}
	return cmd
}

// verdictOf reads what a verdict says of positions.
func verdictOf(v *client.Verdict, remarks, seen []string, read string) error {
	if err := oneOf("verdict", v.Verdict, review.Endorse, review.Query, review.Object); err != nil {
		return err
	}
	if len(read) < minDigest || strings.Trim(read, "0123456789abcdef") != "" {
		return usageError{fmt.Errorf("--read names the digest of the map that you read, %d digits of it at least: boardlore review prints it", minDigest)}
	}
	for _, text := range remarks {
		e := evidenceOf(text)
		if len(e.Designators) == 0 {
			v.Remarks = append(v.Remarks, review.Remark{Text: e.Text})
		}
		for _, d := range e.Designators {
			v.Remarks = append(v.Remarks, review.Remark{Designator: d, Text: e.Text})
		}
	}
	for _, text := range seen {
		d, on, ok := strings.Cut(text, "=")
		if !ok || d == "" {
			return usageError{fmt.Errorf("--seen is DESIGNATOR=board, =photograph or =document, and not %q", text)}
		}
		if err := oneOf("seen", on, "board", "photograph", "document"); err != nil {
			return err
		}
		v.Seen = append(v.Seen, review.Seen{Designator: d, On: on})
	}
	return nil
}

func giveVerdict(cmd *cobra.Command, c *client.Client, p *client.Answer[client.ProposalDetail], v client.Verdict, read,
	key string, asJSON bool) error {
	if p.Fresh.Kept {
		return away(c)
	}
	if !strings.HasPrefix(p.Value.Digest, read) {
		return fmt.Errorf("proposal %d has another map by now than the one that you read: read it again (its digest is %s)", p.Value.ID, p.Value.Digest)
	}
	ctx := cmd.Context()
	if key != "" {
		ctx = client.WithKey(ctx, key)
	}
	r, err := c.Review(ctx, p.Value.ID, client.Of(p.Value.Digest), v)
	if err != nil {
		return err
	}
	if asJSON {
		return printJSON(cmd, r)
	}
	return tellReceipt(cmd, c, &r)
}

func printProposal(cmd *cobra.Command, c *client.Client, p *client.ProposalDetail) error {
	w := table(cmd)
	fmt.Fprintf(w, "proposal\t%d\t%s/proposals/%d\n", p.ID, c.Address(), p.ID)
	of := "a new board"
	if p.Base > 0 {
		of = fmt.Sprintf("against revision %d", p.Base)
	}
	fmt.Fprintf(w, "board\t%s\t%s, %s\n", p.Board, p.Name, of)
	fmt.Fprintf(w, "state\t%s\tby %s\n", p.State, p.Author)
	fmt.Fprintf(w, "read\t%s\n", p.Digest)
	if err := w.Flush(); err != nil {
		return err
	}
	out := cmd.OutOrStdout()
	fmt.Fprintf(out, "\n%s\n", p.Summary)
	for i := range p.Evidence {
		fmt.Fprintf(out, "  evidence: %s\n", strings.TrimPrefix(strings.Join(p.Evidence[i].Designators, ", ")+": "+
			p.Evidence[i].Text, ": "))
	}
	if len(p.Hazards) > 0 {
		fmt.Fprintln(out, "\nHAZARDS")
		for i := range p.Hazards {
			fmt.Fprintf(out, "  %s\n", p.Hazards[i].Sentence)
		}
	}
	printClaims(cmd, p.Claims)
	if d := p.Differences.Current; d != nil {
		fmt.Fprintf(out, "\n%s", d.Text(message.English))
	}
	if n := len(p.CarryForward.Conflicts); n > 0 {
		fmt.Fprintln(out, "\nCONFLICTS with what was released since")
		for i := range p.CarryForward.Conflicts {
			fmt.Fprintf(out, "  %s\n", p.CarryForward.Conflicts[i].Sentence)
		}
	}
	if len(p.Findings) > 0 {
		fmt.Fprintln(out, "\nFINDINGS")
		tellFindings(out, p.Findings)
	}
	printReviews(cmd, p)
	return nil
}

func printClaims(cmd *cobra.Command, claims []board.Claim) {
	if len(claims) == 0 {
		return
	}
	out := cmd.OutOrStdout()
	fmt.Fprintln(out, "\nCLAIMS")
	for i := range claims {
		x := &claims[i]
		mark := ""
		if x.Hazardous {
			mark = "hazardous: "
		}
		fmt.Fprintf(out, "  %s%s: %s\n", mark, strings.Join(x.Designators, ", "), x.Sentence)
	}
}

func printReviews(cmd *cobra.Command, p *client.ProposalDetail) {
	out := cmd.OutOrStdout()
	if len(p.Reviews) > 0 {
		fmt.Fprintln(out, "\nREVIEWS")
	}
	for i := range p.Reviews {
		r := &p.Reviews[i]
		state := ""
		if !r.Standing {
			state = " (does not stand)"
		}
		fmt.Fprintf(out, "  %s: %s%s", r.Reviewer, r.Verdict, state)
		if r.Summary != "" {
			fmt.Fprintf(out, ": %s", r.Summary)
		}
		fmt.Fprintln(out)
		for _, m := range r.Remarks {
			fmt.Fprintf(out, "    %s\n", strings.TrimPrefix(m.Designator+": "+m.Text, ": "))
		}
		for _, a := range r.Answers {
			fmt.Fprintf(out, "    %s answers: %s\n", a.By, a.Text)
		}
	}
	if !p.Standing.Missing.IsZero() {
		fmt.Fprintf(out, "\nA release needs: %s\n", p.Standing.Missing)
	}
}
