package store

import (
	"context"
	"crypto/md5"
	"encoding/hex"
	"fmt"
	"slices"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	"boardlore/domain/message"
	"boardlore/domain/review"
)

// Change is what one revision did to one position, by whom and on what evidence.
type Change struct {
	Revision   int
	Designator string // of the position in this revision, or before it was removed
	Proposal   int64
	Author     string
	ReleasedBy string
	Summary    string
	ReleasedAt time.Time
	Changes    []board.DifferenceEntry // none where the position is in the first revision
	Evidence   []review.Evidence       // that names the position, or no position at all
}

// positionChange is one change of a position as it is kept.
type positionChange struct {
	Designator string         `json:"designator"`       // under its name in this revision
	Before     string         `json:"before,omitempty"` // its name in the revision before, where it was renamed
	Change     jsontext.Value `json:"change"`
}

// changeRows are what a release changes of its positions: some rows, each of
// many positions, which the database then compresses. The first revision changes
// nothing, and has no difference.
func changeRows(boardID string, number int, d *board.Difference) ([][]any, error) {
	if d == nil {
		return nil, nil
	}
	parts := map[string][]positionChange{}
	for _, c := range d.Changes {
		b, err := json.Marshal(c, message.Stored)
		if err != nil {
			return nil, err
		}
		designator, before := named(b)
		if designator == "" {
			continue
		}
		part := partOf(designator)
		parts[part] = append(parts[part], positionChange{designator, before, b})
	}
	var rows [][]any
	for part, changes := range parts {
		b, err := json.Marshal(changes)
		if err != nil {
			return nil, err
		}
		rows = append(rows, []any{boardID, part, number, string(b)})
	}
	return rows, nil
}

// insertChanges writes rows of changes.
func insertChanges(ctx context.Context, tx pgx.Tx, rows [][]any) error {
	if len(rows) == 0 {
		return nil
	}
	_, err := tx.CopyFrom(ctx, pgx.Identifier{"position_changes"}, []string{"board", "part", "number", "changes"},
		pgx.CopyFromRows(rows))
	return err
}

// partOf is the row that a position's changes lie in; the table says how.
func partOf(designator string) string {
	sum := md5.Sum([]byte(designator))
	return hex.EncodeToString(sum[:1])[:1]
}

// named tells which position a change is of, and its name before where it was
// renamed; "" for neither.
func named(change jsontext.Value) (designator, before string) {
	var c struct {
		Kind, Designator string
		From, To         jsontext.Value
	}
	if err := json.Unmarshal(change, &c, json.MatchCaseInsensitiveNames(true)); err != nil || c.Kind != "renamed" &&
		c.Designator == "" {
		return "", ""
	}
	if c.Kind != "renamed" {
		return c.Designator, ""
	}
	var from, to string
	if json.Unmarshal(c.From, &from) != nil || json.Unmarshal(c.To, &to) != nil {
		return "", ""
	}
	return to, from
}

// pastChange is one change that a revision made to a position.
type pastChange struct {
	number int
	before string // name in the revision before, where it was renamed
	entry  board.DifferenceEntry
}

// PositionHistory tells who changed a position, when, in which revision and on
// what evidence, oldest first; through renamings, back to where the position
// came in. NotFound board-unknown or designator-unknown.
func (s *Store) PositionHistory(ctx context.Context, boardID, designator string) ([]Change, error) {
	now, err := s.Revision(ctx, boardID, 0, "")
	if err != nil {
		return nil, err
	}
	var out []Change
	line, err := s.line(ctx, boardID, now.Number)
	if err != nil {
		return nil, err
	}
	name, until, born := designator, now.Number, false
	for until > 0 {
		past, err := s.pastChanges(ctx, boardID, name, until, line)
		if err != nil {
			return nil, err
		}
		var steps []Change
		steps, name, until, born = trace(past, name)
		out = append(steps, out...)
	}
	if !born && (len(out) > 0 || knows(now.Map)(designator)) {
		out = append([]Change{{Revision: slices.Min(line), Designator: name}}, out...)
	}
	if len(out) == 0 {
		return nil, missing("designator-unknown", "store.position-unknown", boardID, designator)
	}
	return out, s.explain(ctx, boardID, out)
}

// line is the numbers of the revisions from which the given one came to be: it,
// the one that it followed, and so on. One that was withdrawn before the next
// was released is no part of it.
func (s *Store) line(ctx context.Context, boardID string, number int) ([]int, error) {
	rows, err := s.reads.Query(ctx, `
		WITH RECURSIVE line AS (
			SELECT number, coalesce(follows, number - 1) AS follows FROM revisions WHERE board = $1 AND number = $2
			UNION ALL SELECT r.number, coalesce(r.follows, r.number - 1) FROM revisions r JOIN line l ON r.board = $1 AND r.number = l.follows)
		SELECT number FROM line`, boardID, number)
	if err != nil {
		return nil, fail(err, "history of %s", boardID)
	}
	out, err := pgx.CollectRows(rows, pgx.RowTo[int])
	return out, fail(err, "history of %s", boardID)
}

// pastChanges reads what happened to a position under one name up to a
// revision, oldest first, by the revisions of a line.
func (s *Store) pastChanges(ctx context.Context, boardID, name string, until int, line []int) ([]pastChange, error) {
	rows, err := s.reads.Query(ctx, `SELECT number, changes::text FROM position_changes
		WHERE board = $1 AND part = $2 AND number <= $3 AND number = ANY ($4) ORDER BY number`, boardID, partOf(name),
		until, line)
	if err != nil {
		return nil, fail(err, "history of %s on %s", name, boardID)
	}
	var out []pastChange
	var number int
	var text string
	_, err = pgx.ForEachRow(rows, []any{&number, &text}, func() error {
		out, err = appendPast(out, number, text, name)
		return err
	})
	return out, fail(err, "history of %s on %s", name, boardID)
}

// appendPast adds what a revision changed of one position.
func appendPast(out []pastChange, number int, text, name string) ([]pastChange, error) {
	var all []positionChange
	if err := json.Unmarshal([]byte(text), &all); err != nil {
		return nil, err
	}
	for _, c := range all {
		if c.Designator != name {
			continue
		}
		past := pastChange{number: number, before: c.Before}
		if err := json.Unmarshal(c.Change, &past.entry); err != nil {
			return nil, err
		}
		out = append(out, past)
	}
	return out, nil
}

// trace groups the newest stretch of changes under one name by revision, back
// to where the position was added or got that name. It gives the name before
// and the revision up to which to look for that, 0 for no further; born tells
// that the position was added.
func trace(past []pastChange, name string) (steps []Change, before string, until int, born bool) {
	from := 0
	for i, c := range slices.Backward(past) {
		if c.before != "" || c.entry.Kind == "added" {
			from = i
			for from > 0 && past[from-1].number == c.number {
				from--
			}
			before, born = c.before, c.entry.Kind == "added"
			if c.before != "" {
				until = c.number - 1
			}
			break
		}
	}
	if before == "" {
		before = name
	}
	for _, c := range past[from:] {
		if n := len(steps); n == 0 || steps[n-1].Revision != c.number {
			steps = append(steps, Change{Revision: c.number, Designator: name})
		}
		last := &steps[len(steps)-1]
		last.Changes = append(last.Changes, c.entry)
	}
	return steps, before, until, born
}

// explain adds who, when and on what evidence.
func (s *Store) explain(ctx context.Context, boardID string, changes []Change) error {
	numbers := make([]int, len(changes))
	byNumber := map[int]*Change{}
	for i := range changes {
		numbers[i] = changes[i].Revision
		byNumber[changes[i].Revision] = &changes[i]
	}
	rows, err := s.reads.Query(ctx, `
		SELECT r.number, r.proposal, a.name, b.name, p.summary, r.released_at, p.evidence::text
		FROM revisions r JOIN proposals p ON p.id = r.proposal JOIN accounts a ON a.id = p.author JOIN accounts b ON b.id = r.released_by
		WHERE r.board = $1 AND r.number = ANY ($2)`, boardID, numbers)
	if err != nil {
		return fail(err, "history on %s", boardID)
	}
	var found Change
	var evidence string
	_, err = pgx.ForEachRow(rows, []any{&found.Revision, &found.Proposal, &found.Author, &found.ReleasedBy,
		&found.Summary, &found.ReleasedAt, &evidence}, func() error {
		var all []review.Evidence
		if err := json.Unmarshal([]byte(evidence), &all); err != nil {
			return fmt.Errorf("evidence of proposal %d: %w", found.Proposal, err)
		}
		c := byNumber[found.Revision]
		found.Designator, found.Changes, found.Evidence = c.Designator, c.Changes, bearing(all, c.Designator)
		*c = found
		return nil
	})
	return fail(err, "history on %s", boardID)
}

// bearing picks the evidence that bears on a position.
func bearing(all []review.Evidence, designator string) []review.Evidence {
	return slices.DeleteFunc(all, func(e review.Evidence) bool {
		return len(e.Designators) > 0 && !slices.Contains(e.Designators, designator)
	})
}
