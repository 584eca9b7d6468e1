package store

import (
	"context"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/fault"
)

// Watch is what an account wants to hear of: one board, or all of a maker.
type Watch struct {
	ID     int64
	Board  string
	Maker  string
	MadeAt time.Time
}

// Bounds of a watch list.
const (
	maxWatches = 500
	maxMaker   = 200 // characters, as in maps
)

// Watches lists what an account watches, newest first, and when the address of
// its feed was made: zero where it has none.
func (s *Store) Watches(ctx context.Context, who Actor) (list []Watch, feed time.Time, err error) {
	rows, err := s.reads.Query(ctx, `SELECT id, coalesce(board, ''), coalesce(maker, ''), made_at FROM watches
		WHERE account = $1 ORDER BY id DESC`, who.ID)
	if err != nil {
		return nil, feed, fail(err, "watch list")
	}
	if list, err = pgx.CollectRows(rows, pgx.RowToStructByPos[Watch]); err != nil {
		return nil, feed, fail(err, "watch list")
	}
	err = s.reads.QueryRow(ctx, `SELECT made_at FROM watch_feeds WHERE account = $1`, who.ID).Scan(&feed)
	if noRows(err) {
		err = nil
	}
	return list, feed, fail(err, "watch list")
}

// Watch puts a board or a maker on the account's list, once. Refusals:
// Unauthenticated token-needed; NotFound board-unknown; Invalid watch-refused;
// Conflict watch-quota.
func (s *Store) Watch(ctx context.Context, who Actor, board, maker string) (Watch, error) {
	maker = strings.TrimSpace(column(maker))
	if (board == "") == (maker == "") || utf8.RuneCountInString(maker) > maxMaker || !utf8.ValidString(maker) {
		return Watch{}, fault.New(fault.Invalid, "watch-refused", "store.watch-one")
	}
	if board != "" {
		if _, err := s.BoardName(ctx, board); err != nil {
			return Watch{}, err
		}
	}
	w := Watch{Board: board, Maker: maker}
	err := s.own(ctx, who, event{}, func(a *act) error {
		var have int
		if err := a.tx.QueryRow(ctx, `SELECT count(*) FROM watches WHERE account = $1`,
			a.actor.ID).Scan(&have); err != nil {
			return err
		}
		if have >= maxWatches {
			return fault.New(fault.Conflict, "watch-quota", "store.watch-quota", maxWatches)
		}
		return a.tx.QueryRow(ctx, `
			WITH made AS (INSERT INTO watches (account, board, maker, maker_key) VALUES ($1, nullif($2, ''), nullif($3, ''), nullif($4, ''))
				ON CONFLICT DO NOTHING RETURNING id, made_at)
			SELECT id, made_at FROM made
			UNION ALL SELECT id, made_at FROM watches WHERE account = $1 AND (board = $2 OR maker_key = $4) LIMIT 1`,
			a.actor.ID, board, maker, fold(maker)).Scan(&w.ID, &w.MadeAt)
	})
	return w, err
}

// Unwatch takes something off the account's list. NotFound watch-unknown.
func (s *Store) Unwatch(ctx context.Context, who Actor, id int64) error {
	return s.own(ctx, who, event{}, func(a *act) error {
		tag, err := a.tx.Exec(ctx, `DELETE FROM watches WHERE account = $1 AND id = $2`, a.actor.ID, id)
		if err == nil && tag.RowsAffected() == 0 {
			return missing("watch-unknown", "store.watch-unknown", id)
		}
		return err
	})
}

// MakeFeed gives the account's feed a new address, of which this is the secret;
// the one before leads nowhere from then on.
func (s *Store) MakeFeed(ctx context.Context, who Actor) (secret string, err error) {
	secret, hash := newToken()
	err = s.own(ctx, who, event{}, func(a *act) error {
		_, err := a.tx.Exec(ctx, `INSERT INTO watch_feeds (account, hash) VALUES ($1, $2)
			ON CONFLICT ON CONSTRAINT watch_feeds_pkey DO UPDATE SET hash = $2, made_at = now()`, a.actor.ID, hash)
		return err
	})
	return secret, err
}

// EndFeed has the address of the account's feed lead nowhere.
func (s *Store) EndFeed(ctx context.Context, who Actor) error {
	return s.own(ctx, who, event{}, func(a *act) error {
		_, err := a.tx.Exec(ctx, `DELETE FROM watch_feeds WHERE account = $1`, a.actor.ID)
		return err
	})
}

// FeedOf finds the account whose feed a secret leads to. NotFound feed-unknown,
// also where the account is disabled.
func (s *Store) FeedOf(ctx context.Context, secret string) (account int64, err error) {
	err = s.reads.QueryRow(ctx, `SELECT f.account FROM watch_feeds f JOIN accounts a ON a.id = f.account
		WHERE f.hash = $1 AND a.disabled_at IS NULL`, hashToken(secret)).Scan(&account)
	if noRows(err) {
		return 0, missing("feed-unknown", "store.feed-unknown")
	}
	return account, fail(err, "whose feed it is")
}

// watched are the boards that account $n watches, under every name that they have.
func watched(n string) string {
	return `(SELECT w.board FROM watches w WHERE w.account = ` + n + ` AND w.board IS NOT NULL
		UNION SELECT b.id FROM watches w JOIN boards b ON b.moved_to = w.board WHERE w.account = ` + n + `
		UNION SELECT b.moved_to FROM watches w JOIN boards b ON b.id = w.board WHERE w.account = ` + n + ` AND b.moved_to IS NOT NULL
		UNION SELECT b.id FROM watches w JOIN boards b ON b.maker_key = w.maker_key WHERE w.account = ` + n + `)`
}
