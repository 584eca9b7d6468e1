package store

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/message"
	"boardlore/schema"
)

// reread is one kind of stored document that is looked over.
type reread struct {
	what, sql string
	look      func(name string, document []byte) []message.Message
}

// rereads are the documents that people still meet: current maps, what stands on the desk, and kits.
var rereads = []reread{
	{"current maps", `SELECT 'revision ' || r.number || ' of ' || r.board, r.document FROM revisions r
		JOIN boards b ON b.id = r.board AND b.current = r.number WHERE r.document IS NOT NULL ORDER BY r.board`,
		schema.RereadMap},
	{"open proposals", `SELECT 'proposal ' || p.id || ' of ' || p.board, m.document FROM proposals p
		JOIN proposal_maps m ON m.proposal = p.id AND m.version = p.version
		WHERE p.state IN ('submitted', 'returned') AND m.document IS NOT NULL ORDER BY p.id`, schema.RereadMap},
	{"kits", `SELECT 'kit ' || k.id, v.document FROM kits k JOIN kit_versions v ON v.kit = k.id AND v.version = k.version
		WHERE v.document IS NOT NULL ORDER BY k.id`, schema.RereadKit},
}

// Reread reads the current maps, the open proposals and the kits as they would be read if they came today, and tells
// which would be refused or read otherwise, at most maxFaults of each. Rules of reading get better; what is stored
// stays as it was, so that somebody has to be told.
func (s *Store) Reread(ctx context.Context, progress func(string)) (told []message.Message, err error) {
	err = pgx.BeginTxFunc(ctx, s.reads, pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly},
		func(tx pgx.Tx) error {
			for _, kind := range rereads {
				of, n, err := kind.run(ctx, tx)
				if err != nil {
					return err
				}
				told = append(told, of...)
				if progress != nil {
					progress(fmt.Sprintf("read %s anew: %d", kind.what, n))
				}
			}
			return nil
		})
	return told, fail(err, "read the data anew")
}

func (r *reread) run(ctx context.Context, q querier) (told []message.Message, n int, err error) {
	rows, err := q.Query(ctx, r.sql)
	if err != nil {
		return nil, 0, err
	}
	var name string
	var document []byte
	_, err = pgx.ForEachRow(rows, []any{&name, &document}, func() error {
		n++
		if len(told) < maxFaults {
			told = append(told, r.look(name, document)...)
		}
		return nil
	})
	return told, n, err
}
