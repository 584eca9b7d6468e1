package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"

	"github.com/spf13/cobra"

	"boardlore/api/client"
	"boardlore/api/mirror"
	"boardlore/store"
)

func mirrorCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "mirror URL",
		Short: "Follow another registry, prove it, and serve what it has",
		Long: `mirror follows the registry at URL into a data folder of its own: it proves at
each step that the other's log goes on from the one before, brings over what that
holds, and serves it, also while the other is away. Nothing can be changed on a
mirror. Without --key the key seen first is kept and shown; compare it with what
the other's steward says.

Where the other shows a log that does not go on from the one before, the mirror
raises an alarm (in its log and at GET /v1), follows no more, and keeps serving
what was proved. boardlore log promote makes it a registry.`,
		Args: exactly(1, "one URL, such as https://maps.example.org"),
	}
	addSettings(cmd, serverSettings)
	key := cmd.Flags().String("key", "", "verifier key of the other's log")
	every := cmd.Flags().Duration("every", mirror.Every, "how often the other is asked")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		c, err := readConfig(cmd, serverSettings)
		if err != nil {
			return err
		}
		remote, err := client.New(args[0], client.Options{})
		if err != nil {
			return usageError{err}
		}
		c.mirror = remote.Address()
		log := slog.New(slog.NewJSONHandler(cmd.ErrOrStderr(), &slog.HandlerOptions{Level: c.logLevel}))
		return withServer(cmd.Context(), c, log, func(s string) { log.Info(s) }, func(ctx context.Context,
			s *store.Store, address string) error {
			f, err := mirror.New(ctx, s, remote, mirror.Options{Key: *key, Every: *every,
				Tell:    func(s string) { log.Info(s) },
				Trouble: func(err error) { log.Error("mirror", "error", err, "fork", errors.Is(err, mirror.ErrFork)) }})
			if err != nil {
				return err
			}
			log.Info("serving", "address", address, "mirror_of", c.mirror)
			go f.Run(ctx)
			return nil
		})
	}
	return cmd
}

func logCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "log",
		Short: "The public log: who signs it",
		Args:  cobra.NoArgs,
		RunE:  func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(
		logAct("show", "Print the log's key",
			`show prints the verifier key of the log, by which bundles and mirrors hold it.`,
			(*store.Store).Log),
		logAct("rotate",
			"Have the log signed by a new key", `rotate makes a new key for the log, which signs from then on, and prints it. The
old one signs a note that names it, by which mirrors go on; GET /v1 shows it.
Servers that run take the new key at once.`,
			(*store.Store).RotateKey),
		logAct("promote",
			"Make a mirror a registry of its own", `promote ends a mirror's following: its log goes on from what was proved, under a
name and key of its own, which are printed. Then: boardlore serve on the same
folder, and boardlore account add for its first steward. The mirror must not run.`,
			(*store.Store).Promote))
	return cmd
}

func logAct(use, short, long string, act func(*store.Store, context.Context) (*store.LogIdentity,
	error)) *cobra.Command {
	cmd := &cobra.Command{Use: use, Short: short, Long: long, Args: exactly(0, "no arguments")}
	addSettings(cmd, databaseSettings)
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		return withStore(cmd, func(ctx context.Context, s *store.Store) error {
			l, err := act(s, ctx)
			if err != nil {
				return err
			}
			if l.Note != "" {
				fmt.Fprintln(cmd.ErrOrStderr(), l.Note)
			}
			_, err = fmt.Fprintln(cmd.OutOrStdout(), l.Key)
			return err
		})
	}
	return cmd
}
