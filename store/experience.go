package store

import (
	"context"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	"boardlore/domain/quantity"
	serviced "boardlore/domain/record"
)

// experienceKey is what an experience holds for: the same acts on the board's
// records and the same map give the same again.
type experienceKey struct {
	board, build string
	acts         int64
	revision     int
}

// experiences keeps what was worked out last, a few boards' worth.
type experiences struct {
	mu   sync.Mutex
	kept map[experienceKey]*serviced.Experience
}

// maxExperiences bounds what is kept; each holds a row for every position.
const maxExperiences = 64

func (x *experiences) get(k experienceKey) *serviced.Experience {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.kept[k]
}

func (x *experiences) put(k experienceKey, e *serviced.Experience) {
	x.mu.Lock()
	defer x.mu.Unlock()
	if len(x.kept) >= maxExperiences || x.kept == nil {
		x.kept = make(map[experienceKey]*serviced.Experience, maxExperiences)
	}
	x.kept[k] = e
}

// Experience is what the records of a board amount to, of all builds or of
// one: serviced.Base or a variant. It is shared: read only. NotFound
// board-unknown or variant-not-found.
func (s *Store) Experience(ctx context.Context, boardID, build string) (*serviced.Experience, error) {
	variant := build
	if build == serviced.Base {
		variant = ""
	}
	rev, err := s.Revision(ctx, boardID, 0, variant)
	if err != nil {
		return nil, err
	}
	k := experienceKey{board: boardID, build: build, revision: rev.Number}
	err = s.reads.QueryRow(ctx, `SELECT coalesce((SELECT acts FROM record_acts WHERE board = $1), 0)`,
		boardID).Scan(&k.acts)
	if err != nil {
		return nil, fail(err, "experience of %s", boardID)
	}
	if e := s.experiences.get(k); e != nil {
		return e, nil
	}
	e, err := s.amount(ctx, k, rev.Map)
	if err != nil {
		return nil, fail(err, "experience of %s", boardID)
	}
	e.Board, e.Variant, e.Revision = boardID, build, rev.Number
	s.experiences.put(k, e)
	return e, nil
}

// amount counts. Each count reads the latest words of the board's units, of
// which there is one a unit and position at most.
func (s *Store) amount(ctx context.Context, k experienceKey, m *board.Map) (*serviced.Experience, error) {
	if k.acts == 0 {
		return serviced.Amount(m, 0, nil, nil, nil, nil), nil
	}
	var units int
	if err := s.reads.QueryRow(ctx, `SELECT count(*) FROM latest_records WHERE board = $1 AND build = $2`, k.board,
		k.build).Scan(&units); err != nil {
		return nil, err
	}
	tallies, err := collect[serviced.Tally](ctx,
		s.reads, `SELECT designator, found, coalesce(other, '') AS other, count(*) AS units, count(*) FILTER (WHERE mapped) AS asmapped
		FROM latest_positions WHERE board = $1 AND build = $2 GROUP BY designator, found, other`, k.board, k.build)
	if err != nil {
		return nil, err
	}
	ids, designators := pointPositions(m)
	points, err := collect[serviced.PointTally](ctx,
		s.reads, `SELECT id, count(*) AS units, count(*) FILTER (WHERE failed) AS seen FROM (
			SELECT p.id, l.unit, bool_or(l.failed) AS failed FROM unnest($3::text[], $4::text[]) AS p (id, designator)
			JOIN latest_positions l ON l.board = $1 AND l.build = $2 AND l.designator = p.designator AND l.found <> 'missing' GROUP BY p.id, l.unit) AS u
		GROUP BY id`, k.board, k.build, ids, designators)
	if err != nil {
		return nil, err
	}
	symptoms, err := collect[serviced.Noticed](ctx, s.reads, `SELECT s.text, count(*) AS units
		FROM latest_records l JOIN record_symptoms rs ON rs.record = l.record JOIN symptoms s ON s.id = rs.symptom
		WHERE l.board = $1 AND l.build = $2 GROUP BY s.id ORDER BY units DESC, s.text LIMIT 1000`, k.board, k.build)
	if err != nil {
		return nil, err
	}
	kits, err := s.kitsSeen(ctx, k)
	return serviced.Amount(m, units, tallies, points, symptoms, kits), err
}

// pointPositions lists the positions of the failure points, in columns.
func pointPositions(m *board.Map) (ids, designators []string) {
	ids, designators = []string{}, []string{}
	for i := range m.FailurePoints {
		for _, d := range m.FailurePoints[i].Positions {
			ids, designators = append(ids, m.FailurePoints[i].ID), append(designators, d)
		}
	}
	return ids, designators
}

// collect reads rows into structs, by the names of their members.
func collect[T any](ctx context.Context, q querier, sql string, args ...any) ([]T, error) {
	rows, err := q.Query(ctx, sql, args...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowToStructByName[T])
}

// kitsSeen tells how kits served, by the latest record of each unit.
func (s *Store) kitsSeen(ctx context.Context, k experienceKey) ([]serviced.KitSeen, error) {
	const from = ` FROM latest_records l JOIN record_kits c ON c.record = l.record`
	const where = ` WHERE l.board = $1 AND l.build = $2`
	rows, err := s.reads.Query(ctx, `SELECT c.kit, count(*), count(*) FILTER (WHERE c.missing = '{}')`+from+where+
		` GROUP BY c.kit ORDER BY count(*) DESC, c.kit LIMIT 100`, k.board, k.build)
	if err != nil {
		return nil, err
	}
	out, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (serviced.KitSeen, error) {
		x := serviced.KitSeen{LeftOver: []serviced.LineCount{}, Missing: []serviced.MissedCount{}}
		return x, row.Scan(&x.Kit, &x.Units, &x.Whole)
	})
	if err != nil || len(out) == 0 {
		return out, err
	}
	at := map[string]*serviced.KitSeen{}
	for i := range out {
		at[out[i].Kit] = &out[i]
	}
	rows, err = s.reads.Query(ctx, `SELECT c.kit, n, '', count(*)`+from+` CROSS JOIN LATERAL unnest(c.left_over) AS n`+
		where+` GROUP BY c.kit, n
		UNION ALL SELECT c.kit, 0, d, count(*)`+from+` CROSS JOIN LATERAL unnest(c.missing) AS d`+
		where+` GROUP BY c.kit, d
		ORDER BY 4 DESC, 2, 3 LIMIT 1000`, k.board, k.build)
	if err != nil {
		return nil, err
	}
	var kit, designator string
	var line, units int
	_, err = pgx.ForEachRow(rows, []any{&kit, &line, &designator, &units}, func() error {
		switch x := at[kit]; {
		case x == nil:
		case line > 0:
			x.LeftOver = append(x.LeftOver, serviced.LineCount{Line: line, Units: units})
		default:
			x.Missing = append(x.Missing, serviced.MissedCount{Designator: designator, Units: units})
		}
		return nil
	})
	return out, err
}

// OtherBuild is what one position of a unit was found to be, where the unit
// differs from the map.
type OtherBuild struct {
	Designator string
	Value      quantity.Quantity // as measured
	Record     int64
	ServicedOn time.Time
}

// maxOther bounds what is told of units that differ.
const maxOther = 200

// OtherBuilds lists what the units that differ at a position are said to hold,
// there and at every other position at which they differ.
func (s *Store) OtherBuilds(ctx context.Context, boardID, designator string) ([]OtherBuild, error) {
	rows, err := s.reads.Query(ctx, `SELECT l.designator, l.other, l.record, l.serviced_on FROM latest_positions d
		JOIN latest_positions l ON l.board = d.board AND l.build = d.build AND l.unit = d.unit AND l.found = 'differs' AND l.other IS NOT NULL
		WHERE d.board = $1 AND d.build = '' AND d.designator = $2 AND d.found = 'differs' AND d.other IS NOT NULL
		ORDER BY l.designator <> $2, l.designator, l.record LIMIT $3`, boardID, designator, maxOther)
	if err != nil {
		return nil, fail(err, "other builds of %s", boardID)
	}
	out, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (o OtherBuild, err error) {
		var value string
		if err = row.Scan(&o.Designator, &value, &o.Record, &o.ServicedOn); err == nil {
			o.Value, err = quantity.Parse(value)
		}
		return o, err
	})
	return out, fail(err, "other builds of %s", boardID)
}
