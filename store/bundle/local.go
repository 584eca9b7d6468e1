package bundle

import (
	"context"
	"iter"

	"golang.org/x/mod/sumdb/tlog"

	"boardlore/domain/fault"
	"boardlore/store"
)

// Local is a registry whose database is at hand.
type Local struct{ Store *store.Store }

// Checkpoint is the log as it is now.
func (l Local) Checkpoint(ctx context.Context) ([]byte, string, error) {
	signed, _, err := l.Store.Checkpoint(ctx)
	if err != nil {
		return nil, "", err
	}
	id, err := l.Store.Log(ctx)
	if err != nil {
		return nil, "", err
	}
	return signed, id.Key, nil
}

// Export gives what the log says of some boards.
func (l Local) Export(ctx context.Context, boards []string) iter.Seq2[store.Exported, error] {
	return l.Store.Export(ctx, store.ExportFilter{Part: store.Log, After: -1, Boards: boards})
}

// Tile is one tile of the log.
func (l Local) Tile(ctx context.Context, t tlog.Tile) ([]byte, error) { return l.Store.Tile(ctx, t) }

// Photograph is one photograph.
func (l Local) Photograph(ctx context.Context, sum string) ([]byte, error) {
	p, err := l.Store.Photograph(ctx, sum)
	if f, ok := fault.As(err); ok && f.Kind != fault.Unknown && f.Kind != fault.Unavailable {
		return nil, ErrNoPhotograph
	}
	if err != nil {
		return nil, err
	}
	return p.Data, nil
}
