package store

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"

	"github.com/go-json-experiment/json"
	"github.com/jackc/pgx/v5"
	"golang.org/x/text/runes"
	"golang.org/x/text/transform"
	"golang.org/x/text/unicode/norm"

	"boardlore/domain/board"
)

// Board is what a list says of a board: its current revision in brief.
type Board struct {
	ID          string
	Name        string
	Equipment   board.Equipment
	Markings    []string
	Revision    int
	Digest      string
	ReleasedAt  time.Time
	Variants    []VariantName
	Counts      Counts
	BarsPowerUp bool    // some failure point bars power-up
	Open        []int64 // open proposals; by Store.Board only
}

// VariantName is a variant without its changes.
type VariantName struct {
	Variant      string
	Title        string
	IdentifiedBy string
}

// Counts is how much there is in a map, and how many proposals are open.
type Counts struct {
	Positions     int
	Replace       int // positions to replace at service
	Inspect       int // positions to inspect at service
	FailurePoints int
	Checks        int
	Cautions      int
	Variants      int
	OpenProposals int `json:"-"` // counted when asked
}

// BoardFilter says which boards are wanted; what is empty does not matter.
type BoardFilter struct {
	Query   string // each of its words begins some word of the ID, maker, model, kind, name or markings
	Marking string // a marking, whatever its case, spaces and punctuation
	Maker   string // the whole maker, whatever its case and accents
	Kind    string // the whole kind, likewise
	Page    Page
}

// brief is what boards.summary holds.
type brief struct {
	Equipment   board.Equipment
	Markings    []string
	Variants    []VariantName
	Counts      Counts
	BarsPowerUp bool
}

func briefly(m *board.Map) brief {
	b := brief{Equipment: m.Equipment, Markings: m.Markings}
	b.Counts = Counts{Positions: len(m.Positions), FailurePoints: len(m.FailurePoints), Checks: len(m.Checks),
		Cautions: len(m.Cautions), Variants: len(m.Variants)}
	for i := range m.Positions {
		switch m.Positions[i].Service {
		case "replace":
			b.Counts.Replace++
		case "inspect":
			b.Counts.Inspect++
		}
	}
	for i := range m.Variants {
		v := &m.Variants[i]
		b.Variants = append(b.Variants, VariantName{v.Variant, v.Title, v.IdentifiedBy})
	}
	for i := range m.FailurePoints {
		if bars := m.FailurePoints[i].BarsPowerUp; bars != nil && *bars {
			b.BarsPowerUp = true
		}
	}
	return b
}

// fold makes texts that people take for the same the same: lower case, without
// accents.
func fold(s string) string {
	s = column(s)
	t := transform.Chain(norm.NFKD, runes.Remove(runes.In(unicode.Mn)), norm.NFC)
	out, _, err := transform.String(t, strings.ToLower(s))
	if err != nil { // not UTF-8, which no document is
		return strings.ToLower(s)
	}
	return out
}

func notWord(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }

// column makes a text fit for a column of its own: PostgreSQL's text has no
// U+0000, which JSON has.
func column(s string) string { return strings.ReplaceAll(s, "\x00", "\ufffd") }

// words are the folded words of a text.
func words(s string) []string { return strings.FieldsFunc(fold(s), notWord) }

// squash folds a marking down to its letters and digits, since nobody can tell
// a space from a dash in old etching.
func squash(s string) string { return strings.Join(words(s), "") }

// indexed are the words that a board is found by, and its markings.
func indexed(m *board.Map) (found, marks []string) {
	marks = []string{} // a board without markings has none, not unknown ones
	texts := append([]string{m.Board, m.Name, m.Equipment.Maker, m.Equipment.Model, m.Equipment.Kind}, m.Markings...)
	for _, t := range texts {
		w := words(t)
		found = append(found, w...)
		if len(w) > 1 {
			found = append(found, strings.Join(w, "")) // "MX-12" is also looked for as "mx12"
		}
	}
	for _, t := range m.Markings {
		marks = append(marks, squash(t))
	}
	return unique(found), unique(marks)
}

func unique(s []string) []string {
	slices.Sort(s)
	s = slices.Compact(s)
	return slices.DeleteFunc(s, func(w string) bool { return w == "" || len(w) > 1000 })
}

// lexemes writes a query whose words each begin some indexed word.
func lexemes(query string) string {
	var terms []string
	for _, w := range words(query) {
		terms = append(terms, "'"+w+"':*") // letters and digits only: nothing to escape
	}
	return strings.Join(terms, " & ")
}

const boardColumns = `b.id, b.name, b.current, encode(b.digest, 'hex'), b.released_at, b.summary::text,
	(SELECT count(*) FROM proposals p WHERE p.board = b.id AND p.state IN ('submitted', 'returned'))`

func scanBoard(row pgx.CollectableRow) (Board, error) {
	var b Board
	var summary string
	var open int
	if err := row.Scan(&b.ID, &b.Name, &b.Revision, &b.Digest, &b.ReleasedAt, &summary, &open); err != nil {
		return Board{}, err
	}
	var br brief
	if err := json.Unmarshal([]byte(summary), &br); err != nil {
		return Board{}, fmt.Errorf("summary of board %s: %w", b.ID, err)
	}
	b.Equipment, b.Markings, b.Variants, b.Counts, b.BarsPowerUp = br.Equipment, br.Markings, br.Variants, br.Counts, br.BarsPowerUp
	b.Counts.OpenProposals = open
	return b, nil
}

// Boards lists the boards that have a released revision, by ID.
func (s *Store) Boards(ctx context.Context, f BoardFilter) (List[Board], error) {
	after, err := f.Page.key()
	if err != nil {
		return List[Board]{}, err
	}
	sql, args := f.query(after)
	rows, err := s.replica.Query(ctx, sql, args...)
	if err != nil {
		return List[Board]{}, fail(err, "list boards")
	}
	out, err := pgx.CollectRows(rows, scanBoard)
	if err != nil {
		return List[Board]{}, fail(err, "list boards")
	}
	return page(out, f.Page.limit(), func(b *Board) string { return b.ID }), nil
}

// query writes the search; conditions that are not asked for are left out, so
// that the planner sees the index that fits.
func (f BoardFilter) query(after string) (string, []any) {
	var where strings.Builder
	var args []any
	add := func(condition string, v any) {
		args = append(args, v)
		fmt.Fprintf(&where, " AND "+condition, len(args))
	}
	if q := lexemes(f.Query); q != "" {
		add("b.words @@ $%d::text::tsquery", q)
	} else if strings.TrimSpace(f.Query) != "" {
		where.WriteString(" AND false") // nothing but punctuation finds nothing
	}
	if f.Marking != "" {
		add("b.marks @> $%d", []string{squash(f.Marking)})
	}
	if f.Maker != "" {
		add("b.maker_key = $%d", fold(f.Maker))
	}
	if f.Kind != "" {
		add("b.kind_key = $%d", fold(f.Kind))
	}
	if after != "" {
		add("b.id > $%d", after)
	}
	args = append(args, f.Page.limit()+1)
	return fmt.Sprintf(`SELECT %s FROM boards b WHERE b.current > 0%s ORDER BY b.id LIMIT $%d`, boardColumns, where.String(), len(args)), args
}

// Board gets one board, with its open proposals. NotFound board-unknown, also
// before its first release.
func (s *Store) Board(ctx context.Context, id string) (*Board, error) {
	rows, err := s.db.Query(ctx, `SELECT `+boardColumns+` FROM boards b WHERE b.current > 0 AND b.id = $1`, id)
	if err != nil {
		return nil, fail(err, "board %s", id)
	}
	b, err := pgx.CollectExactlyOneRow(rows, scanBoard)
	if noRows(err) {
		return nil, s.noBoard(ctx, id)
	}
	if err != nil {
		return nil, fail(err, "board %s", id)
	}
	rows, err = s.db.Query(ctx, `SELECT id FROM proposals WHERE board = $1 AND state IN ('submitted', 'returned') ORDER BY id`, id)
	if err != nil {
		return nil, fail(err, "board %s", id)
	}
	b.Open, err = pgx.CollectRows(rows, pgx.RowTo[int64])
	return &b, fail(err, "board %s", id)
}
