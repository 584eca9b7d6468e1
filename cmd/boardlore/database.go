package main

import (
	"context"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"boardlore/store"
	"boardlore/store/cluster"
)

// stopTime bounds how long the private database may take to stop cleanly.
const stopTime = time.Minute

// awaitTime is how long a server waits for a database that is not up yet.
const awaitTime = 2 * time.Minute

// database is the database in use: the private cluster, or one given by its
// address.
type database struct {
	url     string
	cluster *cluster.Cluster // nil for a given database
	dir     string           // of the private cluster
}

// disk measures the room of the private cluster; a given database's is its own.
func (d *database) disk() func() (store.Disk, error) {
	if d.cluster == nil {
		return nil
	}
	return func() (store.Disk, error) {
		free, total, err := cluster.Room(d.dir)
		return store.Disk{Free: free, Total: total}, err
	}
}

// ownDatabase takes the database for a server: the private cluster is owned by
// this process until close.
func ownDatabase(ctx context.Context, c config, progress func(string)) (*database, error) {
	if c.databaseURL != "" {
		return &database{url: c.databaseURL}, nil
	}
	cl, err := cluster.Own(ctx, c.dataDir, cluster.Options{Progress: progress})
	if err != nil {
		return nil, err
	}
	return &database{url: cl.URL(), cluster: cl, dir: c.dataDir}, nil
}

// useDatabase takes the database for a command: the running cluster of the
// folder where a server has it, else one for the time being.
func useDatabase(ctx context.Context, c config, progress func(string)) (*database, error) {
	if c.databaseURL != "" {
		return &database{url: c.databaseURL}, nil
	}
	cl, err := cluster.Use(ctx, c.dataDir, cluster.Options{Progress: progress})
	if err != nil {
		return nil, err
	}
	return &database{url: cl.URL(), cluster: cl, dir: c.dataDir}, nil
}

// close stops the private cluster, where there is one, even when the command
// itself was interrupted.
func (d *database) close() error {
	if d.cluster == nil {
		return nil
	}
	ctx, cancel := context.WithTimeout(context.Background(), stopTime)
	defer cancel()
	return d.cluster.Close(ctx)
}

// progressTo writes each step on a line of its own.
func progressTo(w io.Writer) func(string) {
	return func(s string) { fmt.Fprintf(w, "  %s\n", s) }
}

// withStore runs act on the migrated store of cmd's settings.
func withStore(cmd *cobra.Command, act func(context.Context, *store.Store) error) (err error) {
	return withDatabase(cmd, func(ctx context.Context, db *database) error {
		if err := store.Migrate(ctx, db.url, progressTo(cmd.ErrOrStderr())); err != nil {
			return err
		}
		s, err := store.Open(ctx, db.url, store.Options{})
		if err != nil {
			return err
		}
		defer s.Close()
		return act(ctx, s)
	})
}

// withDatabase runs act on the database of cmd's settings, as it is.
func withDatabase(cmd *cobra.Command, act func(context.Context, *database) error) (err error) {
	c, err := readConfig(cmd, databaseSettings)
	if err != nil {
		return err
	}
	ctx := cmd.Context()
	db, err := useDatabase(ctx, c, progressTo(cmd.ErrOrStderr()))
	if err != nil {
		return err
	}
	defer func() {
		if cerr := db.close(); err == nil {
			err = cerr
		}
	}()
	return act(ctx, db)
}
