// Command boardlore is the one binary of the registry. It only wires; what is
// worth testing lies in the packages.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"github.com/spf13/cobra"

	"boardlore/domain/fault"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// Exit codes.
const (
	exitOK     = 0
	exitFailed = 1 // the work failed, or a check found something that must stop it
	exitUsage  = 2 // wrong use; one line says what to do

	// Of a reconciliation; complete is 0.
	exitToCheck  exitCode = 3
	exitShort    exitCode = 4
	exitConflict exitCode = 5
)

// exitCode ends a command whose own output already said what there is to say
// with a code of its own.
type exitCode int

func (e exitCode) Error() string { return fmt.Sprintf("exit code %d", int(e)) }

// usageError is wrong use of the command line.
type usageError struct{ error }

// errFindings ends a command whose own output already said what is wrong.
var errFindings = errors.New("findings")

// run runs one command line and returns its exit code.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	root := rootCommand()
	root.SetArgs(args)
	root.SetOut(stdout)
	root.SetErr(stderr)
	cmd, err := root.ExecuteContextC(ctx)
	var usage usageError
	var code exitCode
	switch {
	case err == nil:
		return exitOK
	case errors.Is(err, errFindings):
		return exitFailed
	case errors.As(err, &code):
		return int(code)
	case errors.As(err, &usage) || unknownCommand(err):
		fmt.Fprintf(stderr, "boardlore: %s; see: %s --help\n", oneLine(err.Error()), cmd.CommandPath())
		return exitUsage
	}
	fmt.Fprintf(stderr, "boardlore: %s\n", oneLine(sentence(err)))
	return exitFailed
}

// unknownCommand recognises the one usage error that cobra makes itself
// without offering a hook for it.
func unknownCommand(err error) bool { return strings.HasPrefix(err.Error(), "unknown command ") }

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// sentence is what to tell a person of err: the detail made for them, where
// there is one.
func sentence(err error) string {
	if f, ok := fault.As(err); ok && f.Kind != fault.Unknown {
		return f.Detail.String()
	}
	return err.Error()
}

func rootCommand() *cobra.Command {
	root := &cobra.Command{
		Use:   "boardlore",
		Short: "A registry of board maps: what sits where, what fails, what to fit instead",
		Long: `boardlore keeps maps of circuit boards: which part sits at which position, its
value, rating and polarity, what is known to fail, and what to fit instead.
Maps come in as proposals, are reviewed and released as numbered revisions;
a bought parts kit is reconciled against a map before anything is desoldered.

To see it work:    boardlore demo
To run a server:   boardlore serve, then boardlore account add NAME --role steward`,
		Version:       version(),
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          cobra.NoArgs,
		RunE:          func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.CompletionOptions.HiddenDefaultCmd = true
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usageError{err} })
	root.AddCommand(serveCommand(), demoCommand(), migrateCommand(), accountCommand(), eraseCommand(), checkCommand(), importCommand(), reconcileCommand(),
		backupCommand(), restoreCommand(), exportCommand(), bundleCommand(), verifyCommand(), mirrorCommand(), logCommand(), loadCommand(), checkDataCommand(), explainCommand())
	return root
}

// exactly demands n arguments and names them in the refusal.
func exactly(n int, names string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) != n {
			return usageError{fmt.Errorf("give %s", names)}
		}
		return nil
	}
}
