//go:build !(darwin || dragonfly || freebsd || linux || netbsd || openbsd)

package cluster

import (
	"context"
	"errors"
)

var errHere = errors.New("a private database cannot be run on this system: name one with BOARDLORE_DATABASE_URL")

// Cluster is not to be had on this system.
type Cluster struct{}

// Own answers that this system cannot run a private cluster.
func Own(context.Context, string, Options) (*Cluster, error) { return nil, errHere }

// Use answers that this system cannot run a private cluster.
func Use(context.Context, string, Options) (*Cluster, error) { return nil, errHere }

// Find answers that this system cannot run a private cluster.
func Find(context.Context) (Programs, error) { return Programs{}, errHere }

// URL is empty.
func (*Cluster) URL() string { return "" }

// Owner is false.
func (*Cluster) Owner() bool { return false }

// Done is nil, which is never ready.
func (*Cluster) Done() <-chan struct{} { return nil }

// Err is nil.
func (*Cluster) Err() error { return nil }

// Close does nothing.
func (*Cluster) Close(context.Context) error { return nil }

// Tool is for systems that PostgreSQL's programs are known on.
func Tool(context.Context, string, int) (string, error) { return "", ErrNoPostgres }
