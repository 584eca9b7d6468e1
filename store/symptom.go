package store

import (
	"context"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/fault"
	serviced "boardlore/domain/record"
)

// Bounds of one search for symptoms.
const (
	maxTexts    = 2000 // different texts that are compared
	maxSuspects = 200  // that are answered
	maxSuspect  = 20   // boards that are looked into, those with the most units first
	maxFailed   = 40   // positions that had failed, where it is asked what did so beside them
)

// Suspects looks for what may be behind a symptom, over all boards or on one,
// the likeliest first.
//
// Refusals: Malformed question-empty for a text without words, or with too
// many; NotFound board-unknown.
func (s *Store) Suspects(ctx context.Context, text, boardID string) ([]serviced.Ranked, error) {
	q, ok := serviced.Ask(text)
	if !ok {
		return nil, fault.New(fault.Malformed, "question-empty",
			"store.symptom-words", serviced.MaxWords)
	}
	if boardID != "" {
		if _, err := s.Revision(ctx, boardID, 0, ""); err != nil {
			return nil, err
		}
	}
	out, err := s.suspects(ctx, q, boardID)
	return out, fail(err, "symptoms %q", text)
}

// SuspectsBeside looks on a board for what had failed too in units in which any
// of the positions had, the likeliest first; those positions, and the failure points that they belong
// to, are left out.
//
// Refusals: Malformed question-empty for no position, or too many; NotFound
// board-unknown.
func (s *Store) SuspectsBeside(ctx context.Context, failed []string, boardID string) ([]serviced.Ranked, error) {
	if len(failed) == 0 || len(failed) > maxFailed || boardID == "" {
		return nil, fault.New(fault.Malformed, "question-empty", "store.symptom-failed", maxFailed)
	}
	rev, err := s.Revision(ctx, boardID, 0, "")
	if err != nil {
		return nil, err
	}
	all, err := s.suspectsOf(ctx, boardID, shown{failing, failed}, nil)
	if err != nil {
		return nil, fail(err, "suspects on %s", boardID)
	}
	for i := range all {
		all[i].Beside = failed
	}
	known := map[string]bool{} // failure points that are met by what had failed
	for _, f := range rev.Map.FailurePoints {
		known[f.ID] = slices.ContainsFunc(f.Positions, func(d string) bool { return slices.Contains(failed, d) })
	}
	rest := slices.DeleteFunc(serviced.Rank(all), func(r serviced.Ranked) bool {
		return slices.Contains(failed, r.Designator) || r.ID != "" && known[r.ID]
	})
	return rest[:min(len(rest), maxSuspects)], nil
}

func (s *Store) suspects(ctx context.Context, q serviced.Question, boardID string) ([]serviced.Ranked, error) {
	symptoms, err := s.matchingSymptoms(ctx, q)
	if err != nil {
		return nil, err
	}
	told, boards, err := s.toldByMaps(ctx, q, boardID)
	if err != nil {
		return nil, err
	}
	more, err := s.boardsWith(ctx, symptoms, boardID)
	if err != nil {
		return nil, err
	}
	for _, b := range boards {
		if !slices.Contains(more, b) && len(more) < 2*maxSuspect {
			more = append(more, b)
		}
	}
	var all []serviced.Suspect
	for _, b := range more {
		some, err := s.suspectsOf(ctx, b, shown{showing, symptoms}, told[b])
		if err != nil {
			return nil, err
		}
		all = append(all, some...)
	}
	out := serviced.Rank(all)
	return out[:min(len(out), maxSuspects)], nil
}

// indexQuery asks an index for all texts that may match.
func indexQuery(q serviced.Question) string {
	var senses []string
	for _, words := range q.Any() {
		var any []string
		for _, w := range words {
			any = append(any, "'"+w+"':*") // letters and digits only: nothing to escape
		}
		senses = append(senses, "("+strings.Join(any, " | ")+")")
	}
	return strings.Join(senses, " & ")
}

// matchingSymptoms finds the recorded symptoms that a question means.
func (s *Store) matchingSymptoms(ctx context.Context, q serviced.Question) ([]int64, error) {
	rows, err := s.reads.Query(ctx, `SELECT id, text FROM symptoms WHERE words @@ $1::text::tsquery ORDER BY id LIMIT $2`,
		indexQuery(q), maxTexts)
	if err != nil {
		return nil, err
	}
	ids := []int64{}
	var id int64
	var text string
	_, err = pgx.ForEachRow(rows, []any{&id, &text}, func() error {
		if q.Match(text) {
			ids = append(ids, id)
		}
		return nil
	})
	return ids, err
}

// toldByMaps finds the failure points whose symptoms in the map a question
// means: by board, the text by the failure point's ID.
func (s *Store) toldByMaps(ctx context.Context, q serviced.Question, boardID string) (map[string]map[string]string,
	[]string, error) {
	rows, err := s.reads.Query(ctx, `SELECT board, point, text FROM map_symptoms WHERE words @@ $1::text::tsquery AND ($2 = '' OR board = $2)
		ORDER BY board, point, text LIMIT $3`, indexQuery(q), boardID, maxTexts)
	if err != nil {
		return nil, nil, err
	}
	told, boards := map[string]map[string]string{}, []string{}
	var board, point, text string
	_, err = pgx.ForEachRow(rows, []any{&board, &point, &text}, func() error {
		if !q.Match(text) {
			return nil
		}
		if told[board] == nil {
			told[board], boards = map[string]string{}, append(boards, board)
		}
		if told[board][point] == "" {
			told[board][point] = text
		}
		return nil
	})
	return told, boards, err
}

// boardsWith lists the boards with the most units that show one of the symptoms.
func (s *Store) boardsWith(ctx context.Context, symptoms []int64, boardID string) ([]string, error) {
	if len(symptoms) == 0 {
		return nil, nil
	}
	rows, err := s.reads.Query(ctx, `SELECT l.board FROM record_symptoms rs JOIN latest_records l ON l.record = rs.record AND l.build = ''
		WHERE rs.symptom = ANY ($1) AND ($2 = '' OR l.board = $2) GROUP BY l.board ORDER BY count(DISTINCT l.unit) DESC, l.board LIMIT $3`,
		symptoms, boardID, maxSuspect)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowTo[string])
}

// suspectCount counts the units in which something had failed.
type suspectCount struct {
	Name     string
	Had      int // with the symptom
	OtherHad int // without it
}

// showing are the units that show one of the symptoms $2 on board $1.
const showing = `WITH showing AS (SELECT DISTINCT l.unit FROM latest_records l JOIN record_symptoms rs ON rs.record = l.record
	WHERE l.board = $1 AND l.build = '' AND rs.symptom = ANY ($2)) `

// failing are the units in which one of the positions $2 had failed on board $1.
const failing = `WITH showing AS (SELECT DISTINCT l.unit FROM latest_positions l
	WHERE l.board = $1 AND l.build = '' AND l.failed AND l.designator = ANY ($2)) `

// shown is what the units that are looked at show: one of the constants above,
// with what it takes.
type shown struct {
	units string
	by    any
}

// suspectsOf counts, for each failure point and position of a board, the units
// with and without the symptoms in which it had failed. Only words of failure
// are read.
func (s *Store) suspectsOf(ctx context.Context, boardID string, by shown,
	told map[string]string) ([]serviced.Suspect, error) {
	rev, err := s.Revision(ctx, boardID, 0, "")
	if err != nil {
		return nil, err
	}
	var with, all int
	if err := s.reads.QueryRow(ctx, by.units+
		`SELECT (SELECT count(*) FROM showing), (SELECT count(*) FROM latest_records WHERE board = $1 AND build = '')`,
		boardID, by.by).Scan(&with, &all); err != nil {
		return nil, err
	}
	positions, err := collect[suspectCount](ctx, s.reads,
		by.units+`SELECT l.designator AS name, count(s.unit) AS had, count(*) - count(s.unit) AS otherhad
		FROM latest_positions l LEFT JOIN showing s ON s.unit = l.unit WHERE l.board = $1 AND l.build = '' AND l.failed GROUP BY l.designator`, boardID, by.by)
	if err != nil {
		return nil, err
	}
	ids, designators := pointPositions(rev.Map)
	points, err := collect[suspectCount](ctx, s.reads,
		by.units+`SELECT p.id AS name, count(DISTINCT s.unit) AS had, count(DISTINCT l.unit) - count(DISTINCT s.unit) AS otherhad
		FROM unnest($3::text[], $4::text[]) AS p (id, designator)
		JOIN latest_positions l ON l.board = $1 AND l.build = '' AND l.designator = p.designator AND l.failed LEFT JOIN showing s ON s.unit = l.unit
		GROUP BY p.id`, boardID, by.by, ids, designators)
	if err != nil {
		return nil, err
	}
	blank := serviced.Suspect{Board: boardID, With: with, Without: all - with}
	return append(pointSuspects(rev, blank, points, told), positionSuspects(rev, blank, positions)...), nil
}

func pointSuspects(rev *Revision, blank serviced.Suspect, counts []suspectCount,
	told map[string]string) []serviced.Suspect {
	var out []serviced.Suspect
	for i := range rev.Map.FailurePoints {
		f, x := &rev.Map.FailurePoints[i], blank
		x.Point, x.Title, x.Told = f.ID, f.Title, told[f.ID]
		if k := slices.IndexFunc(counts, func(c suspectCount) bool { return c.Name == f.ID }); k >= 0 {
			x.Had, x.OtherHad = counts[k].Had, counts[k].OtherHad
		}
		if x.Told != "" || x.Had+x.OtherHad > 0 && x.With > 0 {
			out = append(out, x)
		}
	}
	return out
}

func positionSuspects(rev *Revision, blank serviced.Suspect, counts []suspectCount) []serviced.Suspect {
	what := make(map[string]string, len(rev.Map.Positions))
	for i := range rev.Map.Positions {
		p := &rev.Map.Positions[i]
		what[p.Designator] = p.Designator + ", " + p.Part.String()
	}
	var out []serviced.Suspect
	for _, c := range counts {
		if blank.With == 0 {
			break
		}
		x := blank
		x.Designator, x.Title, x.Had, x.OtherHad = c.Name, c.Name, c.Had, c.OtherHad
		if t := what[c.Name]; t != "" {
			x.Title = t
		}
		out = append(out, x)
	}
	return out
}
