package store

import (
	"context"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/fault"
	"boardlore/domain/message"
)

// allowance is how many bytes of something an account may send in a day: enough
// for who contributes a whole shelf, too little to fill a disk with.
type allowance struct {
	what  string // a word of the catalogue, too
	bytes int64
	code  string // of the refusal
}

var (
	mapsADay    = allowance{"maps", 64 << 20, "proposal-quota"} // submitted or amended
	kitsADay    = allowance{"kits", 16 << 20, "kit-quota"}
	recordsADay = allowance{"records", 16 << 20, "record-quota"}
)

// maxOpen is how many open proposals an account may have.
const maxOpen = 1000

// spend adds to what the account sent today, and refuses more than its
// allowance.
func spend(ctx context.Context, a *act, of allowance, size int) error {
	b := new(pgx.Batch)
	judge := queueSpend(b, a, of, size)
	if err := a.tx.SendBatch(ctx, b).Close(); err != nil {
		return err
	}
	return judge()
}

// queueSpend adds the statements of spend; judge refuses once they were sent.
// What they write is locked until the act has ended, so that two acts at once do
// not both fit: they come late in an act.
func queueSpend(b *pgx.Batch, a *act, of allowance, size int) (judge func() error) {
	if a.actor.ID == 0 { // the operator
		return func() error { return nil }
	}
	var sent int64
	b.Queue(`INSERT INTO spent (account, what, hour, bytes) VALUES ($1, $2, date_trunc('hour', now()), $3)
		ON CONFLICT ON CONSTRAINT spent_pkey DO UPDATE SET bytes = spent.bytes + EXCLUDED.bytes`, a.actor.ID, of.what,
		size)
	b.Queue(`SELECT sum(bytes)::bigint FROM spent WHERE account = $1 AND what = $2 AND hour > now() - interval '1 day'`,
		a.actor.ID, of.what).
		QueryRow(func(row pgx.Row) error { return row.Scan(&sent) })
	return func() error {
		if sent <= of.bytes {
			return nil
		}
		return fault.New(fault.Conflict, of.code, "store.quota-daily", (sent-int64(size))>>20,
			message.Word("quota", of.what), of.bytes>>20)
	}
}

// queueOpen adds the statement that counts an account's open proposals; judge
// refuses more than it may have, once it was sent.
func queueOpen(b *pgx.Batch, a *act) (judge func() error) {
	var open int
	b.Queue(`SELECT count(*) FROM proposals WHERE author = $1 AND state IN ('submitted', 'returned')`, a.actor.ID).
		QueryRow(func(row pgx.Row) error { return row.Scan(&open) })
	return func() error {
		if open <= maxOpen {
			return nil
		}
		return fault.New(fault.Conflict, "proposal-quota", "store.quota-open", open-1, maxOpen)
	}
}
