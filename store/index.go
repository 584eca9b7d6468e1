package store

import (
	"context"
	"strings"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	"boardlore/schema"
)

// described is a board's current revision, by which the board is listed and found.
type described struct {
	board    string
	number   int
	doc      document // its canonical form is not asked for
	released time.Time
}

// describe makes boards' rows, with all that is derived from their maps, those
// of the revisions: one journey to the database, and one new row each, since
// every index of the table is written for each.
func describe(ctx context.Context, tx pgx.Tx, list ...described) error {
	b := new(pgx.Batch)
	for _, d := range list {
		if err := d.queue(b); err != nil {
			return err
		}
	}
	queueWants(b, list)
	queueSymptoms(b, list)
	return tx.SendBatch(ctx, b).Close()
}

// queue adds the statement that writes the board's row.
func (d *described) queue(b *pgx.Batch) error {
	m := d.doc.m
	summary, err := json.Marshal(summarise(m), json.Deterministic(true))
	if err != nil {
		return err
	}
	marks, printed := squashAll(allMarkings(m)), prints(m)
	b.Queue(`
		UPDATE boards SET current = $2, digest = decode($3, 'hex'), released_at = $4, indexed_of = decode($3, 'hex'),
		       name = $5, summary = $6::json, maker_key = $7, kind_key = $8, marks = $9, words = array_to_tsvector($10::text[]),
		       names = $11, size = point($12, $13), sides = $14, replaced = $15, classes = $16, printed = $17,
		       mark_grams = $18, print_grams = $19
		WHERE id = $1 RETURNING pg_notify($20, $21)`,
		d.board, d.number, d.doc.digest, d.released,
		column(m.Name), string(summary), fold(m.Equipment.Maker), fold(m.Equipment.Kind), marks, indexed(m),
		names(m), m.Frame.Width, m.Frame.Height, m.PopulatedSides(), replaced(m), classes(m), printed,
		grams(marks...), grams(texts(printed)...), channel, noticeRevisions+d.board)
	return nil
}

// queueSymptoms replaces the symptoms that boards' maps name.
func queueSymptoms(b *pgx.Batch, list []described) {
	var boards, of, points, texts []string
	for _, d := range list {
		boards = append(boards, d.board)
		for _, p := range d.doc.m.FailurePoints {
			for _, symptom := range p.Symptoms {
				of, points, texts = append(of, d.board), append(points, column(p.ID)), append(texts, column(symptom))
			}
		}
	}
	b.Queue(`DELETE FROM map_symptoms WHERE board = ANY ($1)`, boards)
	if len(texts) > 0 {
		b.Queue(`INSERT INTO map_symptoms (board, point, text, words)
			SELECT id, point, symptom, symptom_words(symptom) FROM unnest($1::text[], $2::text[], $3::text[]) AS t (id, point, symptom)`, of, points, texts)
	}
}

// allMarkings are those of the board and of its builds.
func allMarkings(m *board.Map) []string {
	all := append([]string{}, m.Markings...)
	for i := range m.Variants {
		all = append(all, m.Variants[i].Markings...)
	}
	return all
}

// indexed are the words that a board is found by.
func indexed(m *board.Map) (found []string) {
	texts := append([]string{m.Board, m.Name, m.Equipment.Maker, m.Equipment.Model, m.Equipment.Kind},
		allMarkings(m)...)
	for _, t := range texts {
		w := words(t)
		found = append(found, w...)
		if len(w) > 1 {
			found = append(found, strings.Join(w, "")) // "MX-12" is also looked for as "mx12"
		}
	}
	return unique(found)
}

// names are what people call a board: its name and its equipment, alone and together.
func names(m *board.Map) []string {
	e := m.Equipment
	return squashAll([]string{m.Name, e.Model, e.Maker + e.Model, e.Model + m.Name, e.Maker + e.Model + m.Name})
}

func replaced(m *board.Map) (n int) {
	for i := range m.Positions {
		if m.Positions[i].Service == "replace" {
			n++
		}
	}
	return n
}

func classes(m *board.Map) []string {
	out := []string{}
	for i := range m.Positions {
		out = append(out, string(m.Positions[i].Part.Class))
	}
	return unique(out)
}

// prints are the texts on a map's parts, in lower case, behind the part's class
// and a tab.
func prints(m *board.Map) []string {
	out := []string{}
	for i := range m.Positions {
		if p := &m.Positions[i].Part; p.Text != "" {
			out = append(out, string(p.Class)+"\t"+strings.ToLower(column(p.Text)))
		}
	}
	return unique(out)
}

// texts are printed ones without their class.
func texts(printed []string) []string {
	out := make([]string, len(printed))
	for i, p := range printed {
		_, out[i], _ = strings.Cut(p, "\t")
	}
	return out
}

// reindex brings up the rows whose derived columns are not those of the current
// map: after a migration that derives more, or a release by an older server.
func (s *Store) reindex(ctx context.Context) error {
	for {
		n := 0
		err := s.write(ctx, func(tx pgx.Tx) error {
			stale, err := staleRows(ctx, tx)
			if err != nil {
				return err
			}
			n = len(stale)
			for _, r := range stale {
				m, _ := schema.ReadMap(r.Document)
				if m == nil { // released under rules that have changed: stays as it was found before
					if _, err := tx.Exec(ctx, `UPDATE boards SET indexed_of = digest WHERE id = $1`, r.ID); err != nil {
						return err
					}
					continue
				}
				if err := describe(ctx, tx, described{r.ID, r.Number, document{m: m, digest: r.Digest},
					r.Released}); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil || n == 0 {
			return err
		}
	}
}

type staleRow struct {
	ID       string
	Digest   string
	Number   int
	Released time.Time
	Document []byte
}

// staleRows locks a few rows; another server takes others.
func staleRows(ctx context.Context, tx pgx.Tx) ([]staleRow, error) {
	const few = 20 // documents of up to 4 MiB at once
	rows, err := tx.Query(ctx, `
		SELECT b.id, encode(b.digest, 'hex'), r.number, r.released_at, r.document FROM boards b JOIN revisions r ON r.board = b.id AND r.number = b.current
		WHERE b.current > 0 AND b.indexed_of IS DISTINCT FROM b.digest ORDER BY b.number LIMIT $1 FOR NO KEY UPDATE OF b SKIP LOCKED`, few)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowToStructByPos[staleRow])
}
