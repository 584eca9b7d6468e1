package mirror

import (
	"context"
	"errors"
	"iter"

	"boardlore/api/client"
	"boardlore/store"
	"boardlore/store/bundle"
)

// Remote is a registry that is asked over HTTP, as bundles and mirrors read one.
type Remote struct{ *client.Client }

// Export gives what the log says of some boards, with the maps.
func (r Remote) Export(ctx context.Context, boards []string) iter.Seq2[store.Exported, error] {
	return r.lines(ctx, client.ExportFilter{What: string(store.Log), Boards: boards})
}

// lines reads an export as the registry here would load it.
func (r Remote) lines(ctx context.Context, f client.ExportFilter) iter.Seq2[store.Exported, error] {
	return func(yield func(store.Exported, error) bool) {
		for l, err := range r.Client.Export(ctx, f) {
			x := store.Exported{}
			if err == nil {
				x, _, err = store.ReadLine(l.Line)
			}
			if !yield(x, err) || err != nil {
				return
			}
		}
	}
}

// Photograph is one photograph; bundle.ErrNoPhotograph where it is not to be had any more.
func (r Remote) Photograph(ctx context.Context, sum string) ([]byte, error) {
	data, err := r.Client.Photograph(ctx, sum)
	if errors.Is(err, client.ErrNoPhotograph) {
		return nil, bundle.ErrNoPhotograph
	}
	return data, err
}
