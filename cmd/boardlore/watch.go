package main

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"boardlore/api/client"
	"boardlore/store"
)

func watchCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "watch [BOARD]",
		Short: "Tell what happens at a registry, as it happens",
		Long: `watch prints a line for every act at a registry, or on one board, until it is
interrupted; with --once it ends when all is told. It begins with what happens
from now on, or behind the event whose number --after gives: 0 for the first one
ever. While the registry is away it waits, and misses nothing.` + exitHelp,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 1 {
				return usageError{fmt.Errorf("give the ID of one BOARD, or none")}
			}
			return nil
		},
		ValidArgsFunction: completeBoards,
	}
	addSettings(cmd, registrySettings)
	f := cmd.Flags()
	after := f.Int64("after", -1, "number of the event behind which to begin")
	what := f.StringSlice("what", nil, "kind of event, such as released; several for any of them")
	once := f.Bool("once", false, "end when all is told")
	asJSON := f.Bool("json", false, "print each event as JSON, on a line of its own")
	choices(cmd, "what", store.EventKinds...)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		for _, k := range *what {
			if err := oneOf("what", k, store.EventKinds...); err != nil {
				return err
			}
		}
		c, err := registry(cmd)
		if err != nil {
			return err
		}
		id := ""
		if len(args) > 0 {
			id = args[0]
		}
		filter := client.EventFilter{After: *after, What: *what}
		if *after < 0 {
			if filter.After, err = newest(cmd, c, id); err != nil {
				return err
			}
		}
		tell := func(e *client.Event) error {
			if *asJSON {
				return printLine(cmd, e)
			}
			_, err := fmt.Fprintf(cmd.OutOrStdout(), "%d  %s  %s\n", e.ID, e.At.Local().Format(time.DateTime),
				e.Sentence)
			return err
		}
		if *once {
			return allEvents(cmd, c, id, filter, tell)
		}
		for e, err := range c.Watch(cmd.Context(), id, filter) {
			if err == nil {
				err = tell(&e)
			}
			if err != nil {
				return err
			}
		}
		return nil
	}
	return cmd
}

func events(cmd *cobra.Command, c *client.Client, id string, f client.EventFilter) (client.Answer[client.EventList],
	error) {
	var a client.Answer[client.EventList]
	var err error
	if id != "" {
		a, err = c.BoardEvents(cmd.Context(), id, f)
	} else {
		a, err = c.Events(cmd.Context(), f)
	}
	if err == nil && a.Fresh.Kept {
		err = fmt.Errorf("%s can't be reached, and what was kept is no news", c.Address())
	}
	return a, err
}

// newest is the number of the newest event, 0 for none.
func newest(cmd *cobra.Command, c *client.Client, id string) (int64, error) {
	a, err := events(cmd, c, id, client.EventFilter{Order: "newest", Page: client.Page{Limit: 1}})
	if err != nil || len(a.Value.Events) == 0 {
		return 0, err
	}
	return a.Value.Events[0].ID, nil
}

// allEvents tells what there is, and on standard error where to go on.
func allEvents(cmd *cobra.Command, c *client.Client, id string, f client.EventFilter,
	tell func(*client.Event) error) error {
	first, err := events(cmd, c, id, f)
	if err != nil {
		return err
	}
	last := f.After
	for list, err := range client.Pages(cmd.Context(), c, first) {
		if err != nil {
			return err
		}
		for i := range list.Events {
			if err := tell(&list.Events[i]); err != nil {
				return err
			}
		}
		last = max(last, list.Last)
	}
	fmt.Fprintf(cmd.ErrOrStderr(), "to go on: --after %d\n", last)
	return nil
}
