package main

import (
	"github.com/spf13/cobra"

	"boardlore/store"
)

func migrateCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "migrate",
		Short: "Bring the database up to this version, without starting a server",
		Long: `migrate brings the database up to this version. It only goes forward, loses
nothing, and may run from several machines at once. serve does the same at its
start; run migrate before it to see the steps, or under another account.`,
		Args: exactly(0, "no arguments"),
	}
	addSettings(cmd, databaseSettings)
	cmd.RunE = func(cmd *cobra.Command, _ []string) (err error) {
		c, err := readConfig(cmd, databaseSettings)
		if err != nil {
			return err
		}
		progress := progressTo(cmd.ErrOrStderr())
		db, err := useDatabase(cmd.Context(), c, progress)
		if err != nil {
			return err
		}
		defer func() {
			if cerr := db.close(); err == nil {
				err = cerr
			}
		}()
		return store.Migrate(cmd.Context(), db.url, progress)
	}
	return cmd
}
