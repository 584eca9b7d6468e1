package store

import (
	"context"
	"slices"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/review"
)

// Growth is what grows in this registry, and how much room is left.
type Growth struct {
	Bytes int64  // of the whole database
	Parts []Part // the largest first
	// Room is what is left of the budget, or of the disk where the private database
	// lies, whichever is less; zero where neither is known.
	Room  Disk
	Least int64 // bytes that are kept free: uploads are refused before
}

// Part is a part of the database.
type Part struct {
	Name  string // revisions, photographs, proposals, records, kits, drafts, log or rest
	Bytes int64  // with its indexes
	Rows  int64  // of what is counted, as the database last estimated them; 0 for rest
}

// Growth measures the database, for a few seconds at most.
func (s *Store) Growth(ctx context.Context) (Growth, error) {
	ctx, cancel := context.WithTimeout(ctx, readyTime)
	defer cancel()
	var g Growth
	if err := s.reads.QueryRow(ctx, `SELECT pg_database_size(current_database())`).Scan(&g.Bytes); err != nil {
		return g, fail(err, "size of the database")
	}
	rows, err := s.reads.Query(ctx, `
		WITH parts (name, counted, tables) AS (VALUES
			('revisions', 'revisions', ARRAY['revisions', 'revision_changes', 'position_changes', 'renamings', 'boards', 'wants']),
			('photographs', 'photographs', ARRAY['photographs', 'flattened']),
			('proposals', 'proposals', ARRAY['proposals', 'proposal_maps', 'reviews', 'review_answers']),
			('records', 'records', ARRAY['records', 'record_positions', 'record_symptoms', 'record_kits', 'latest_positions', 'latest_records', 'units', 'symptoms']),
			('kits', 'kit_versions', ARRAY['kits', 'kit_versions']),
			('drafts', 'drafts', ARRAY['drafts', 'draft_versions']),
			('log', 'events', ARRAY['events', 'event_reasons', 'log_entries', 'log_hashes']))
		SELECT p.name, (SELECT coalesce(sum(pg_total_relation_size(c.oid)), 0)::bigint FROM pg_class c
		         WHERE c.relnamespace = 'public'::regnamespace AND c.relkind = 'r' AND c.relname = ANY (p.tables)) AS bytes,
		       greatest((SELECT max(greatest(c.reltuples::bigint, s.n_live_tup)) FROM pg_class c LEFT JOIN pg_stat_all_tables s ON s.relid = c.oid
		         WHERE c.relnamespace = 'public'::regnamespace AND c.relkind = 'r' AND c.relname = p.counted), 0) AS rows
		FROM parts p`)
	if err != nil {
		return g, fail(err, "what grows")
	}
	if g.Parts, err = pgx.CollectRows(rows, pgx.RowToStructByName[Part]); err != nil {
		return g, fail(err, "what grows")
	}
	rest := g.Bytes
	for _, p := range g.Parts {
		rest -= p.Bytes
	}
	slices.SortStableFunc(g.Parts, func(a, b Part) int { return int(b.Bytes - a.Bytes) })
	g.Parts = append(g.Parts, Part{Name: "rest", Bytes: max(0, rest)})
	g.Room, err = s.budgeted(ctx)
	g.Least = g.Room.least()
	return g, err
}

// Suspended lists the open proposals of disabled accounts, newest first: no
// other list has them.
func (s *Store) Suspended(ctx context.Context, most int) ([]Proposal, error) {
	rows, err := s.reads.Query(ctx, `SELECT `+proposalColumns+` FROM `+proposalTables+`
		WHERE p.state IN ('submitted', 'returned') AND a.disabled_at IS NOT NULL ORDER BY p.id DESC LIMIT $1`, most)
	if err != nil {
		return nil, fail(err, "suspended proposals")
	}
	out, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (Proposal, error) { return scanProposal(row) })
	return out, fail(err, "suspended proposals")
}

// Objection is a verdict that bars a proposal from being released.
type Objection struct {
	Proposal Proposal
	Review   review.Review
}

// Objections lists the standing objections to open proposals, the oldest first.
func (s *Store) Objections(ctx context.Context, most int) ([]Objection, error) {
	rows, err := s.reads.Query(ctx, `SELECT `+proposalColumns+` FROM `+proposalTables+`
		WHERE p.state IN ('submitted', 'returned') AND a.disabled_at IS NULL
		  AND EXISTS (SELECT FROM reviews r WHERE r.proposal = p.id AND r.verdict = 'object'
		    AND NOT EXISTS (SELECT FROM objections_set_aside o WHERE o.review = r.id))
		ORDER BY p.id LIMIT $1`, most)
	if err != nil {
		return nil, fail(err, "objections")
	}
	barred, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (Proposal, error) { return scanProposal(row) })
	if err != nil {
		return nil, fail(err, "objections")
	}
	var out []Objection
	for _, p := range barred {
		given, err := reviews(ctx, s.reads, p.ID, p.Version)
		if err != nil {
			return nil, err
		}
		for _, r := range given {
			if r.Verdict == review.Object && r.Standing && len(out) < most {
				out = append(out, Objection{p, r})
			}
		}
	}
	return out, nil
}
