package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"boardlore/api/client"
	"boardlore/domain/board"
)

func fetchCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "fetch BOARD",
		Short: "Fetch a board's map from a registry",
		Long: `fetch writes the map of a board to standard output, in its envelope, which says
which revision it is: edited, it goes back with boardlore propose, and check,
reconcile and plan take it too. With --bare it is the map alone, byte for byte
as it was released, so that its SHA-256 is its digest.

Where the registry can't be reached the map is the one that was kept, and
standard error says how old that is.` + exitHelp,
		Args:              exactly(1, "the ID of one BOARD"),
		ValidArgsFunction: completeBoards,
	}
	addSettings(cmd, registrySettings)
	f := cmd.Flags()
	revision := f.Int("revision", 0, "the revision; the current one where it is 0")
	variant := f.String("variant", "", "the map as it is for this variant")
	bare := f.Bool("bare", false, "the map alone, as it was released")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		c, err := registry(cmd)
		if err != nil {
			return err
		}
		ctx := cmd.Context()
		var a client.Answer[client.Envelope]
		if *revision > 0 {
			a, err = c.RevisionMap(ctx, args[0], *revision, client.RevisionOf{Variant: *variant})
		} else {
			a, err = c.CurrentMap(ctx, args[0], *variant)
		}
		if err != nil {
			return err
		}
		if !*bare {
			err = printJSON(cmd, a.Value)
		} else {
			err = printBare(cmd, &a.Value)
		}
		if err != nil {
			return err
		}
		return tellAge(cmd, c, a.Fresh)
	}
	return cmd
}

// printBare writes the very bytes of a digest.
func printBare(cmd *cobra.Command, e *client.Envelope) error {
	b, err := e.Map.Canonical()
	if err != nil {
		return err
	}
	if own := board.Digest(b); own != e.Digest {
		return fmt.Errorf("the registry says that the map's digest is %s, and what it sent has %s", e.Digest, own)
	}
	_, err = cmd.OutOrStdout().Write(b)
	return err
}

func differencesCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "differences BOARD",
		Short: "Tell what changed between two revisions or variants of a board",
		Long: `differences tells what changed between two revisions of a board: the last two
where none are named. Hazards come first. --as json-patch is a patch (RFC 6902)
from the one map to the other, --as svg the changes drawn.` + exitHelp,
		Args:              exactly(1, "the ID of one BOARD"),
		ValidArgsFunction: completeBoards,
	}
	addSettings(cmd, registrySettings)
	f := cmd.Flags()
	var e client.Ends
	f.IntVar(&e.From, "from", 0, "the earlier revision; the one before --to where it is 0")
	f.IntVar(&e.To, "to", 0, "the later revision; the current one where it is 0")
	f.StringVar(&e.Variant, "variant", "", "the variant on both sides")
	f.StringVar(&e.FromVariant, "from-variant", "", "the variant on the earlier side")
	f.StringVar(&e.ToVariant, "to-variant", "", "the variant on the later side")
	forms := []string{"text", "json", "json-patch", "svg"}
	as := f.String("as", "text", "text, json, json-patch or svg")
	asJSON := f.Bool("json", false, "the same as --as json")
	side := f.String("side", "top", "with --as svg: top or bottom")
	choices(cmd, "as", forms...)
	choices(cmd, "side", "top", "bottom")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if err := oneOf("as", *as, forms...); err != nil {
			return err
		}
		if err := oneOf("side", *side, "top", "bottom"); err != nil {
			return err
		}
		c, err := registry(cmd)
		if err != nil {
			return err
		}
		ctx := cmd.Context()
		if *asJSON || *as == "json" {
			d, err := c.Differences(ctx, args[0], e)
			if err != nil {
				return err
			}
			if err := printJSON(cmd, d.Value); err != nil {
				return err
			}
			return tellAge(cmd, c, d.Fresh)
		}
		var of board.Side
		if *as == "svg" {
			of = board.Side(*side)
		}
		d, err := c.DifferencesAs(ctx, args[0], e, *as, of)
		if err != nil {
			return err
		}
		if _, err := cmd.OutOrStdout().Write(d.Value); err != nil {
			return err
		}
		return tellAge(cmd, c, d.Fresh)
	}
	return cmd
}
