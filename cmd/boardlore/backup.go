package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"boardlore/store"
	"boardlore/store/backup"
)

func backupCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "backup FILE",
		Short: "Save everything into one file, also while a server runs",
		Long: `backup saves the whole registry, as it stands at one moment, into a file that
only its owner can read, and reads it back through. Everything stored is held to
its digest first. The file is a tar with PostgreSQL's own dump in it.`,
		Args: exactly(1, "one FILE, which must not exist yet"),
	}
	addSettings(cmd, databaseSettings)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		progress := progressTo(cmd.ErrOrStderr())
		return withDatabase(cmd, func(ctx context.Context, db *database) error {
			m, err := backup.Save(ctx, db.url, args[0], version(), progress)
			if err != nil {
				return err
			}
			fmt.Fprintf(cmd.ErrOrStderr(), "saved %s: %s\n", args[0], holding(m))
			return nil
		})
	}
	return cmd
}

func holding(m backup.Manifest) string {
	return fmt.Sprintf("%d revisions, %d photographs, %d events, %d bytes of dump, taken at %s",
		m.Counts["revisions"], m.Counts["photographs"], m.Events, m.Bytes, m.TakenAt.Format("2006-01-02 15:04:05 UTC"))
}

func restoreCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "restore FILE",
		Short: "Bring a backup back into an empty folder or database",
		Long: `restore reads a backup through, refuses one that is cut short or altered, and
brings it into the data folder, which must be absent or empty, or into the
database of --database-url, which must hold nothing. What came back is held to
its digests. Where anything fails, nothing is left behind.`,
		Args: exactly(1, "one FILE"),
	}
	addSettings(cmd, databaseSettings)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		c, err := readConfig(cmd, databaseSettings)
		if err != nil {
			return err
		}
		progress, where := progressTo(cmd.ErrOrStderr()), c.dataDir
		var m backup.Manifest
		if c.databaseURL != "" {
			where = "the database"
			m, err = backup.IntoDatabase(cmd.Context(), args[0], c.databaseURL, progress)
		} else {
			m, err = backup.IntoFolder(cmd.Context(), args[0], c.dataDir, progress)
		}
		if err != nil {
			return err
		}
		fmt.Fprintf(cmd.ErrOrStderr(), "restored into %s: %s\n", where, holding(m))
		return nil
	}
	return cmd
}

func checkDataCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "check-data",
		Short: "Hold everything that is stored to its digest and its numbers",
		Long: `check-data reads the whole database, also while a server runs, and prints what
is not as it was stored: documents and photographs against their digests,
revisions and events against their numbers. It exits 1 where it finds anything.
It also tells which current maps, open proposals and kits would be refused, or
read otherwise, if they came today; nothing of them is changed.`,
		Args: exactly(0, "no arguments"),
	}
	addSettings(cmd, databaseSettings)
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		progress := progressTo(cmd.ErrOrStderr())
		return withStore(cmd, func(ctx context.Context, s *store.Store) error {
			c, err := s.CheckData(ctx, progress)
			if err != nil {
				return err
			}
			if len(c.Faults) > 0 {
				fmt.Fprintln(cmd.OutOrStdout(), strings.Join(c.Faults, "\n"))
				return errFindings
			}
			told, err := s.Reread(ctx, progress)
			if err != nil {
				return err
			}
			for _, m := range told {
				fmt.Fprintln(cmd.OutOrStdout(), m)
			}
			_, err = fmt.Fprintln(cmd.OutOrStdout(), "all sound")
			return err
		})
	}
	return cmd
}
