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

	"boardlore/api/client"
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

	// Of whatever asks a registry.
	exitAway           = 6 // it can't be reached, and nothing was kept
	exitStale exitCode = 7 // what was given is a kept copy, older than a day
)

// exitHelp is what the help of commands that ask a registry ends with.
const exitHelp = `

It exits 0 where it did what was asked, 1 where that failed or was refused, 2
where the command is wrong, 6 where the registry can't be reached and nothing
was kept, 7 where what it gave is a kept copy older than a day.`

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
	case client.Unreachable(err):
		fmt.Fprintf(stderr, "boardlore: the registry can't be reached: %s\n", oneLine(err.Error()))
		return exitAway
	case errors.As(err, &usage) || unknownCommand(err):
		fmt.Fprintf(stderr, "boardlore: %s; see: %s --help\n", oneLine(err.Error()), cmd.CommandPath())
		return exitUsage
	}
	fmt.Fprintf(stderr, "boardlore: %s\n", printed(err))
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

// printed is an error as it is printed: on one line, but for a registry's refusal
// with its faults on lines of their own.
func printed(err error) string {
	r := client.Refused(err)
	if r == nil {
		return oneLine(sentence(err)) + faults(err)
	}
	s := r.Error()
	if r.Code == "outcome-unknown" && r.Key != "" {
		s += "\nTo send just this again, and have it done once: add --key " + r.Key
	}
	return s
}

// faults are what an error names one by one, each on a line.
func faults(err error) string {
	const most = 20
	f, ok := fault.As(err)
	if !ok {
		return ""
	}
	var b strings.Builder
	for i := range f.Findings[:min(len(f.Findings), most)] {
		fmt.Fprintf(&b, "\n  %s", oneLine(f.Findings[i].Sentence.String()))
	}
	return b.String()
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
To run a server:   boardlore serve, then boardlore account add NAME --role steward
To ask a registry: boardlore fetch BOARD --server URL; also differences, plan,
                   reconcile, propose, review, watch

Exit codes: 0 done, and of a check an all clear; 1 failed, refused, or a check
found what must stop the work; 2 the command is wrong; 3 to-check, 4 short, 5
conflict, of a reconciliation; 6 the registry can't be reached and nothing was
kept; 7 what was given is a kept copy older than a day.`,
		Version:       version(),
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          cobra.NoArgs,
		RunE:          func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usageError{err} })
	root.AddCommand(serveCommand(), demoCommand(), migrateCommand(), accountCommand(), eraseCommand(), checkCommand(),
		importCommand(), reconcileCommand(),
		backupCommand(), restoreCommand(), exportCommand(), bundleCommand(), verifyCommand(), mirrorCommand(),
		logCommand(), loadCommand(), checkDataCommand(), explainCommand(),
		fetchCommand(), differencesCommand(), planCommand(), proposeCommand(), reviewCommand(), watchCommand(), manCommand())
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
