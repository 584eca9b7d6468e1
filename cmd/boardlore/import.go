package main

import (
	"fmt"
	"io"
	"os"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/spf13/cobra"

	"boardlore/domain/board"
	"boardlore/domain/placement"
)

func importCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "import LIST --board ID --maker NAME --model NAME --name NAME",
		Short: "Make a draft map out of a placement list",
		Long: `import makes a draft map out of the placement list of an assembly tool, and of
its parts list where there is one. The map goes to standard output, or to the
file that --output names; problems and open questions go to standard error.
The draft still lacks what only a person at the board knows: which parts to
replace, polarity, failure points.`,
		Args: exactly(1, "one LIST"),
	}
	var r placement.Request
	f := cmd.Flags()
	f.StringVar(&r.Board, "board", "", "the board's ID: lower-case words joined by hyphens")
	f.StringVar(&r.Equipment.Maker, "maker", "", "who made the equipment")
	f.StringVar(&r.Equipment.Model, "model", "", "what the equipment is called")
	f.StringVar(&r.Name, "name", "", "what the board is called")
	f.StringVar(&r.Options.Unit, "unit", "", "unit of the coordinates where the list does not say: mm, inch or mil")
	f.StringVar(&r.Options.Decimal, "decimal", "", "decimal sign where the list does not say: point or comma")
	f.StringVar(&r.Options.Bottom, "bottom", "", "how the list sees bottom parts: seen-from-top or seen-from-bottom")
	f.Float64Var(&r.Options.Width, "width", 0, "width of the board, mm")
	f.Float64Var(&r.Options.Height, "height", 0, "height of the board, mm")
	parts := f.String("parts", "", "the parts list")
	output := f.StringP("output", "o", "", "file for the map; it must not exist yet")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if r.Board == "" || r.Equipment.Maker == "" || r.Equipment.Model == "" || r.Name == "" {
			return usageError{fmt.Errorf("--board, --maker, --model and --name are needed")}
		}
		list, err := readFile(cmd.InOrStdin(), args[0])
		if err != nil {
			return err
		}
		r.Placements = string(list)
		if *parts != "" {
			b, err := readFile(cmd.InOrStdin(), *parts)
			if err != nil {
				return err
			}
			r.Parts = string(b)
		}
		result := placement.Read(r)
		tellImport(cmd.ErrOrStderr(), result)
		if result.Map == nil {
			return errFindings
		}
		return writeMap(cmd.OutOrStdout(), *output, result.Map)
	}
	return cmd
}

func tellImport(w io.Writer, r placement.Result) {
	fmt.Fprintf(w, "%d rows read, %d used\n", r.Rows.Read, r.Rows.Used)
	for _, p := range r.Problems {
		fmt.Fprintf(w, "  %s row %d: %s (%q)\n", p.List, p.Row, p.Reason, p.Text)
	}
	for _, q := range r.Questions {
		fmt.Fprintf(w, "  open (%s): %s\n", q.Code, q.Text)
	}
}

func writeMap(stdout io.Writer, name string, m *board.Map) error {
	b, err := json.Marshal(m, json.Deterministic(true), jsontext.WithIndent("  "))
	if err != nil {
		return err
	}
	b = append(b, '\n')
	if name == "" {
		_, err := stdout.Write(b)
		return err
	}
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	if _, err := f.Write(b); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}
