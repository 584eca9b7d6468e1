package store

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver/riverpgxv5"
	"github.com/riverqueue/river/rivertype"
)

// hookKind is the kind of the jobs by which hooks are told.
const hookKind = "hook"

// hookJob is one telling. It holds numbers alone: the secret and the address are
// read when it is sent, so that they are gone when the hook is.
type hookJob struct {
	Hook  int64 `json:"hook"`
	Event int64 `json:"event"`
}

func (hookJob) Kind() string { return hookKind }

// InsertOpts bounds how often it is tried; the last of the pauses is a day.
func (hookJob) InsertOpts() river.InsertOpts { return river.InsertOpts{MaxAttempts: len(pauses) + 1} }

// pauses are how long a delivery that failed waits before each further try: the
// schedule that Standard Webhooks recommends.
var pauses = []time.Duration{5 * time.Second, 5 * time.Minute, 30 * time.Minute, 2 * time.Hour, 5 * time.Hour,
	10 * time.Hour, 14 * time.Hour, 20 * time.Hour, 24 * time.Hour}

// deadKept is how long a delivery that was given up can be looked at.
const deadKept = 30 * 24 * time.Hour

type pausing struct{}

// NextRetry is when a job is tried again.
func (pausing) NextRetry(j *rivertype.JobRow) time.Time {
	return time.Now().Add(pauses[min(max(len(j.Errors), 0), len(pauses)-1)])
}

// toldHooks are the events that hooks are told of.
var toldHooks = map[string]string{"released": "revision.released", "revision-withdrawn": "revision.withdrawn"}

// inserter puts jobs into the queue; it needs no database of its own, since each
// goes in by the transaction that makes what it tells of.
var inserter = sync.OnceValues(func() (*river.Client[pgx.Tx], error) {
	return river.NewClient(riverpgxv5.New(nil), &river.Config{Logger: slog.New(slog.DiscardHandler)})
})

// queueHooks has everybody told who asked to be, once tx is committed.
func queueHooks(ctx context.Context, tx pgx.Tx, e event, id int64) error {
	if toldHooks[e.what] == "" {
		return nil
	}
	rows, err := tx.Query(ctx, `SELECT h.id FROM hooks h JOIN accounts a ON a.id = h.account
		WHERE a.disabled_at IS NULL AND h.gone_at IS NULL AND (h.board IS NULL OR h.board = $1
			OR EXISTS (SELECT FROM boards b WHERE b.id = h.board AND b.moved_to = $1))`, e.board)
	if err != nil {
		return err
	}
	hooks, err := pgx.CollectRows(rows, pgx.RowTo[int64])
	if err != nil || len(hooks) == 0 {
		return err
	}
	client, err := inserter()
	if err != nil {
		return fmt.Errorf("queue of deliveries: %w", err)
	}
	jobs := make([]river.InsertManyParams, len(hooks))
	for i, h := range hooks {
		jobs[i] = river.InsertManyParams{Args: hookJob{h, id}}
	}
	_, err = client.InsertManyFastTx(ctx, tx, jobs)
	return err
}

// Telling is what a hook is told, and where.
type Telling struct {
	Address string
	Private bool
	Secret  []byte
	ID      string // the same at each try, and for no other event
	Type    string // revision.released or revision.withdrawn

	Event    int64
	At       time.Time
	Board    string
	Revision int
	Digest   string
	Kind     string // of a withdrawal
}

// ErrHookGone says that an address is no more and asks to be told no more.
var ErrHookGone = errors.New("the address is gone")

// queueConns is the most connections of the queue, one of which hears of what is to be told.
const queueConns = 4

// Deliver tells hooks, by send, until the returned function is called, which
// waits for what is under way. Any number of servers may do so at once.
func (s *Store) Deliver(ctx context.Context, send func(context.Context, Telling) error) (stop func(), err error) {
	workers := river.NewWorkers()
	river.AddWorker(workers, &teller{s: s, send: send})
	c := s.writes.pool.Load().Config()
	c.MaxConns = queueConns
	pool, err := pgxpool.NewWithConfig(ctx, c) // of the queue's own, which it holds to its end
	if err != nil {
		return nil, fmt.Errorf("queue of deliveries: %w", err)
	}
	client, err := river.NewClient(riverpgxv5.New(pool), &river.Config{
		Queues: map[string]river.QueueConfig{river.QueueDefault: {MaxWorkers: 8}}, Workers: workers,
		RetryPolicy: pausing{}, DiscardedJobRetentionPeriod: deadKept, CancelledJobRetentionPeriod: deadKept,
		JobTimeout: time.Minute, Logger: slog.New(slog.DiscardHandler),
		PollOnly: s.pooled, // a pooler forgets who listens
	})
	if err == nil {
		err = client.Start(context.WithoutCancel(ctx))
	}
	if err != nil {
		pool.Close()
		return nil, fmt.Errorf("queue of deliveries: %w", err)
	}
	return func() {
		defer pool.Close()
		ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), 5*time.Second)
		defer cancel()
		if err := client.Stop(ctx); err != nil {
			_ = client.StopAndCancel(context.WithoutCancel(ctx)) // what was cut off is tried again
		}
	}, nil
}

// teller works the queue.
type teller struct {
	river.WorkerDefaults[hookJob]
	s    *Store
	send func(context.Context, Telling) error
}

// Work tells one hook of one event.
func (w *teller) Work(ctx context.Context, j *river.Job[hookJob]) error {
	t, err := w.s.telling(ctx, j.Args)
	if noRows(err) {
		return nil // the hook was ended, or its account
	}
	if err != nil {
		return err
	}
	err = w.send(ctx, t)
	if errors.Is(err, ErrHookGone) {
		if _, err := w.s.writes.Exec(ctx, `UPDATE hooks SET gone_at = now() WHERE id = $1`, j.Args.Hook); err != nil {
			return err
		}
		return river.JobCancel(err)
	}
	return err
}

func (s *Store) telling(ctx context.Context, j hookJob) (Telling, error) {
	t := Telling{ID: fmt.Sprintf("event-%d-%d", j.Event, j.Hook), Event: j.Event}
	var what string
	err := s.reads.QueryRow(ctx, `
		SELECT h.address, h.private, h.secret, e.what, e.at, e.board, e.revision, encode(l.digest, 'hex'),
		       CASE WHEN e.what = 'released' THEN '' ELSE coalesce((SELECT w.kind FROM withdrawals w WHERE w.revision = e.revision
			        AND w.board = e.board ORDER BY w.id DESC LIMIT 1), '') END
		FROM hooks h JOIN accounts a ON a.id = h.account, events e JOIN log_entries l ON l.event = e.id
		WHERE h.id = $1 AND e.id = $2 AND a.disabled_at IS NULL AND h.gone_at IS NULL`, j.Hook, j.Event).
		Scan(&t.Address, &t.Private, &t.Secret, &what, &t.At, &t.Board, &t.Revision, &t.Digest, &t.Kind)
	t.Type = toldHooks[what]
	return t, err
}
