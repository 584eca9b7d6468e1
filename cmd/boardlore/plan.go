package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"boardlore/domain/bench"
	"boardlore/domain/kit"
	"boardlore/domain/message"
	"boardlore/domain/quantity"
	"boardlore/domain/reading"
)

func planCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "plan MAP|BOARD",
		Short: "Give the working order: make safe, check, take out, fit, check, power up",
		Long: `plan works out in which order the parts of a board are taken out and put back, so
that the iron always has room, what may stay charged and how to be rid of it,
and what to measure when. MAP is a file (- for standard input), BOARD the ID of a
board of the registry that --server names.` + exitHelp,
		Args:              exactly(1, "a MAP, or the ID of a BOARD"),
		ValidArgsFunction: completeBoards,
	}
	addSettings(cmd, registrySettings)
	r := bench.Request{Tool: bench.StandardTool, ToVolts: 5}
	f := cmd.Flags()
	f.StringVar(&r.Variant, "variant", "", "the variant of the board")
	revision := f.Int("revision", 0, "of a BOARD: the revision; the current one where it is 0")
	scope := f.String("scope", "service", "service, all, or designators joined by commas")
	f.Float64Var(&r.Tool.HalfWidth, "tool-half-width", r.Tool.HalfWidth, "half of the width that the tool takes, mm")
	f.Float64Var(&r.Tool.Reach, "reach", r.Tool.Reach, "how far away an obstacle still matters, mm")
	f.Float64Var(&r.Tool.Clearance, "clearance", 0, "bodies no higher than this don't matter, mm")
	f.Float64Var(&r.ToVolts, "to-volts", r.ToVolts, "the voltage that counts as discharged")
	resistor := f.String("resistor", "", "to discharge through, such as \"1 kΩ\"; chosen for each charge where absent")
	asJSON := f.Bool("json", false, "print the plan as JSON")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if err := planned(&r, *resistor); err != nil {
			return err
		}
		s, err := openMap(cmd, args[0], *revision)
		if err != nil {
			return err
		}
		if r.Map, err = s.build(r.Variant); err != nil {
			return err
		}
		r.Scope, r.Revision = kit.ParseScope(*scope), s.revision
		if r.Digest, err = digest(r.Map); err != nil {
			return err
		}
		if r.Variant == "" && s.digest != "" {
			r.Digest = s.digest
		}
		p, err := bench.Make(r)
		if err != nil {
			return err
		}
		if *asJSON {
			err = printJSON(cmd, p)
		} else {
			err = printPlan(cmd.OutOrStdout(), p)
		}
		if err != nil {
			return err
		}
		return s.stale
	}
	return cmd
}

// planned holds the measures of a request to their bounds.
func planned(r *bench.Request, resistor string) error {
	for _, b := range []struct {
		flag        string
		value, most float64
	}{{"tool-half-width", r.Tool.HalfWidth, bench.MaxHalfWidth}, {"reach", r.Tool.Reach, bench.MaxReach},
		{"clearance", r.Tool.Clearance, bench.MaxClearance}} {
		if !(b.value >= 0 && b.value <= b.most) {
			return usageError{fmt.Errorf("--%s is from 0 to %g", b.flag, b.most)}
		}
	}
	if !(r.ToVolts > 0 && r.ToVolts <= 1000) {
		return usageError{fmt.Errorf("--to-volts is above 0 and at most 1000")}
	}
	if resistor == "" {
		return nil
	}
	read, err := reading.Quantity(resistor, quantity.Resistance, quantity.Context{Class: "resistor", Found: "list"})
	if err != nil || !read.Sure || read.Amounts[0].Quantity.Sign() <= 0 {
		return usageError{fmt.Errorf("--resistor is one resistance above 0, such as \"1 kΩ\"")}
	}
	r.Resistor = read.Amounts[0].Quantity
	return nil
}

// printPlan writes a plan for a person: what makes it safe first, what may kill
// last before the switch.
func printPlan(out io.Writer, p *bench.Plan) error {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	which := "revision " + fmt.Sprint(p.Revision)
	if p.Revision == 0 {
		which = "not a released revision"
	}
	if p.Variant != "" {
		which += ", variant " + p.Variant
	}
	fmt.Fprintf(w, "%s, %s\n", p.Board, which)
	for _, c := range p.Cautions {
		fmt.Fprintf(w, "  %s: %s\n", strings.ToUpper(string(c.Severity)), c.Text)
	}
	if len(p.MakeSafe) > 0 {
		fmt.Fprintln(w, "\nMAKE SAFE")
		for i := range p.MakeSafe {
			fmt.Fprintf(w, "  %s: %s\n", strings.Join(p.MakeSafe[i].Positions, ", "), p.MakeSafe[i].Text)
		}
	}
	printChecks(w, "CHECK BEFORE", p.ChecksBefore)
	for _, s := range p.Stages {
		fmt.Fprintf(w, "\nTAKE OUT: %s\n", s.Title)
		if !s.Reason.IsZero() {
			fmt.Fprintf(w, "  %s\n", s.Reason)
		}
		for i, r := range s.Removal {
			fmt.Fprintf(w, "  %d\t%s\t%.0f° free\t%s\t%s\n", i+1, r.Designator, r.Angle, r.Method.Method,
				message.Semicolons(r.Avoid).Say())
		}
	}
	for i := len(p.Stages) - 1; i >= 0; i-- {
		fmt.Fprintf(w, "\nFIT: %s\n", p.Stages[i].Title)
		for n, r := range p.Stages[i].Fitting {
			fmt.Fprintf(w, "  %d\t%s\t%.0f° free\n", n+1, r.Designator, r.Angle)
		}
	}
	printChecks(w, "POWER UP", p.PowerUp)
	printChecks(w, "CHECK AFTER", p.ChecksAfter)
	if len(p.Unknown) > 0 {
		fmt.Fprintln(w, "\nNOT KNOWN, AND NOT MINDED")
		for _, u := range p.Unknown {
			fmt.Fprintf(w, "  %s\t%s\n", u.Designator, strings.Join(u.Lacks, ", "))
		}
	}
	return w.Flush()
}

func printChecks(w io.Writer, title string, checks []bench.Check) {
	if len(checks) == 0 {
		return
	}
	fmt.Fprintf(w, "\n%s\n", title)
	for i := range checks {
		c := &checks[i]
		fmt.Fprintf(w, "  %s", c.Title)
		if len(c.Between) > 0 {
			fmt.Fprintf(w, " (%s, %s)", c.Measure, strings.Join(c.Between, " – "))
		}
		for _, s := range []message.Message{c.Right, c.Text, message.Text(c.Note)} {
			if !s.IsZero() {
				fmt.Fprintf(w, ": %s", s)
			}
		}
		fmt.Fprintln(w)
	}
}
