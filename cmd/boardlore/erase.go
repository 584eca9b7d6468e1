package main

import (
	"context"
	"strconv"

	"github.com/spf13/cobra"

	"boardlore/store"
)

// eraseCommand takes out for ever what the law wants gone.
func eraseCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "erase",
		Short: "Take out for ever what the law wants gone: a name, a photograph, a reason",
		Long: `erase takes out for ever a person's name, the bytes of a photograph, or the
reason that a steward gave. What was done stays, under a number, and the chain
of events stays whole. Backups made before still hold what was erased.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(
		accountSwitch("name NAME", "Erase a person's name, with all that the account signs in with",
			(*store.Store).EraseName),
		erasePhotograph(), eraseReason())
	return cmd
}

func erasePhotograph() *cobra.Command {
	cmd := &cobra.Command{Use: "photograph SHA256 --why REASON",
		Short: "Drop a photograph's bytes; readers are told the reason", Args: exactly(1, "one SHA256")}
	addSettings(cmd, databaseSettings)
	why := whyFlag(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return withStore(cmd, func(ctx context.Context, s *store.Store) error {
			_, err := s.ErasePhotograph(ctx, store.Operator, args[0], *why)
			return err
		})
	}
	return cmd
}

func eraseReason() *cobra.Command {
	cmd := &cobra.Command{Use: "reason NUMBER", Short: "Empty the reason of an act, by the act's number in the log",
		Args: exactly(1, "one NUMBER")}
	addSettings(cmd, databaseSettings)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		n, err := strconv.ParseInt(args[0], 10, 64)
		if err != nil {
			return usageError{err}
		}
		return withStore(cmd, func(ctx context.Context, s *store.Store) error {
			_, err := s.EraseReason(ctx, store.Operator, n)
			return err
		})
	}
	return cmd
}
