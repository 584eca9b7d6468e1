package main

import (
	"context"
	"errors"
	"fmt"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"boardlore/domain/review"
	"boardlore/store"
)

func accountCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "account",
		Short: "Keep the accounts of contributors, reviewers and stewards",
		Args:  cobra.NoArgs,
		RunE:  func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(accountAdd(), accountList(), accountToken(), accountRole(), accountDisable(), accountEnable())
	return cmd
}

func accountAdd() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "add NAME --role ROLE",
		Short: "Add an account; its token is printed once and can't be shown again",
		Args:  exactly(1, "one NAME, such as: boardlore account add wren --role contributor"),
	}
	addSettings(cmd, databaseSettings)
	role := cmd.Flags().String("role", "", "contributor, reviewer or steward")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		r, err := wantedRole(*role)
		if err != nil {
			return err
		}
		return withStore(cmd, func(ctx context.Context, s *store.Store) error {
			token, err := s.AddAccount(ctx, args[0], r)
			if err != nil {
				return err
			}
			_, err = fmt.Fprintln(cmd.OutOrStdout(), token)
			return err
		})
	}
	return cmd
}

func accountToken() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "token NAME",
		Short: "Make a new token for an account; all else that it signed in with stops working",
		Args:  exactly(1, "one NAME"),
	}
	addSettings(cmd, databaseSettings)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return withStore(cmd, func(ctx context.Context, s *store.Store) error {
			token, err := s.NewToken(ctx, args[0])
			if err != nil {
				return err
			}
			_, err = fmt.Fprintln(cmd.OutOrStdout(), token)
			return err
		})
	}
	return cmd
}

func accountRole() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "role NAME --role ROLE",
		Short: "Give an account another role; its token stays",
		Args:  exactly(1, "one NAME, such as: boardlore account role wren --role reviewer"),
	}
	addSettings(cmd, databaseSettings)
	role, why := cmd.Flags().String("role", "", "contributor, reviewer or steward"), whyFlag(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		r, err := wantedRole(*role)
		if err != nil {
			return err
		}
		return onAccount(cmd, args[0], func(ctx context.Context, s *store.Store, id int64) (store.Receipt, error) {
			return s.SetRole(ctx, store.Operator, id, r, *why)
		})
	}
	return cmd
}

func wantedRole(s string) (review.Role, error) {
	r, err := review.ParseRole(s)
	if err != nil || r == review.Anonymous {
		return r, usageError{errors.New("--role is one of contributor, reviewer, steward")}
	}
	return r, nil
}

func accountDisable() *cobra.Command {
	return accountSwitch("disable NAME", "Disable an account; its open proposals are suspended, what it did stays",
		(*store.Store).Disable)
}

func accountEnable() *cobra.Command {
	return accountSwitch("enable NAME", "Enable a disabled account again, with its open proposals",
		(*store.Store).Enable)
}

// accountSwitch is a command that acts on one account.
func accountSwitch(use, short string, act func(*store.Store, context.Context, store.Actor, int64,
	string) (store.Receipt, error)) *cobra.Command {
	cmd := &cobra.Command{Use: use, Short: short, Args: exactly(1, "one NAME")}
	addSettings(cmd, databaseSettings)
	why := whyFlag(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return onAccount(cmd, args[0], func(ctx context.Context, s *store.Store, id int64) (store.Receipt, error) {
			return act(s, ctx, store.Operator, id, *why)
		})
	}
	return cmd
}

func whyFlag(cmd *cobra.Command) *string {
	return cmd.Flags().String("why", "", "the reason, which stewards can read")
}

// onAccount runs an act on the account of a name.
func onAccount(cmd *cobra.Command, name string, act func(context.Context, *store.Store, int64) (store.Receipt,
	error)) error {
	return withStore(cmd, func(ctx context.Context, s *store.Store) error {
		id, err := s.AccountNumber(ctx, name)
		if err != nil {
			return err
		}
		_, err = act(ctx, s, id)
		return err
	})
}

func accountList() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "list",
		Short: "List the accounts",
		Args:  exactly(0, "no arguments"),
	}
	addSettings(cmd, databaseSettings)
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		return withStore(cmd, func(ctx context.Context, s *store.Store) error {
			accounts, err := s.Accounts(ctx)
			if err != nil {
				return err
			}
			w := tabwriter.NewWriter(cmd.OutOrStdout(), 0, 0, 2, ' ', 0)
			fmt.Fprintln(w, "NAME\tROLE\tSINCE\tSTATE")
			for _, a := range accounts {
				state := "active"
				if a.Disabled {
					state = "disabled"
				}
				fmt.Fprintf(w, "%s\t%s\t%s\t%s\n", a.Name, a.Role, a.CreatedAt.Format(time.DateOnly), state)
			}
			return w.Flush()
		})
	}
	return cmd
}
