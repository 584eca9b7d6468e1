package main

import (
	"fmt"
	"os"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
)

func manCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "man DIR",
		Short: "Write the manual pages",
		Long: `man writes a manual page for each command into a folder, made of what --help
says, so that they are always those of this program. Then:

  man -l DIR/boardlore-serve.1`,
		Args: exactly(1, "one folder"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := os.MkdirAll(args[0], 0o755); err != nil {
				return fmt.Errorf("folder for the manual pages: %w", err)
			}
			root := cmd.Root()
			root.DisableAutoGenTag = true // the same program writes the same pages
			return doc.GenManTree(root, &doc.GenManHeader{Section: "1", Source: "boardlore " + version(),
				Manual: "boardlore"}, args[0])
		},
	}
}
