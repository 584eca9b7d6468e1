package store

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
)

// BoardFilter says which boards are wanted; what is empty does not matter.
type BoardFilter struct {
	Query    string   // words from the ID, maker, model, kind, name or markings, or a part of a marking
	Markings []string // any of these markings or, three characters or more, a part of one
	Maker    string   // the whole maker, whatever its case and accents
	Kind     string   // the whole kind, likewise
	Look     board.Look
	Page     Page
}

// Found is one page of a search.
type Found struct {
	List[Board]
	Total  int  // of all pages together
	AtHand bool // Total counts them all; false where there are more than that
}

// countedBoards is how many boards a search counts and ranks. Where more match,
// the words are so common that walking the boards by ID soon fills a page; where
// fewer do, fetching them all costs little. The planner can't make this choice:
// it does not know how rare a marking, or two words together, are.
const countedBoards = 5000

// Boards finds the boards that have a released revision: those whose ID, name
// or marking is just what was asked for first, then those that have the very
// words, then those whose words begin so, then those with a part of a marking;
// within each by ID. Malformed cursor-malformed.
func (s *Store) Boards(ctx context.Context, f BoardFilter) (Found, error) {
	var out Found
	tier, after, err := f.cursor()
	if err != nil {
		return out, err
	}
	q := f.query()
	err = pgx.BeginTxFunc(ctx, s.replica, pgx.TxOptions{AccessMode: pgx.ReadOnly}, func(tx pgx.Tx) error {
		limit := f.Page.limit()
		numbers, err := matches(ctx, tx, q, "true")
		if err != nil {
			return err
		}
		out.Total, out.AtHand = min(len(numbers), countedBoards), len(numbers) <= countedBoards
		if out.AtHand {
			out.Items, err = ranked(ctx, tx, q, numbers, tier, after, limit+1)
			return err
		}
		out.Items, err = tiered(ctx, tx, q, tier, after, limit+1)
		return err
	})
	if err != nil {
		return Found{}, fail(err, "find boards")
	}
	out.List = page(out.Items, f.Page.limit(), func(b *Board) string { return strconv.Itoa(b.tier) + " " + b.ID })
	return out, nil
}

// cursor opens the page's marker: the tier and the ID after which it begins.
func (f BoardFilter) cursor() (tier int, after string, err error) {
	key, err := f.Page.key()
	if err != nil || key == "" {
		return 0, "", err
	}
	t, id, ok := strings.Cut(key, " ")
	if tier, err = strconv.Atoi(t); err != nil || !ok || tier < 0 {
		return 0, "", badCursor()
	}
	return tier, id, nil
}

// search is a filter as SQL: a condition, those of its tiers, best first, and
// their arguments. A board is in the first tier whose condition it meets.
type search struct {
	where string
	tiers []string
	args  []any
}

// bind adds an argument and answers its placeholder.
func (q *search) bind(v any) string {
	q.args = append(q.args, v)
	return "$" + strconv.Itoa(len(q.args))
}

// rank is the number of a board's tier as an SQL expression.
func (q *search) rank() string {
	if len(q.tiers) == 1 {
		return "0"
	}
	var b strings.Builder
	b.WriteString("CASE")
	for i, t := range q.tiers {
		fmt.Fprintf(&b, " WHEN %s THEN %d", t, i)
	}
	return b.String() + " ELSE " + strconv.Itoa(len(q.tiers)) + " END"
}

// query writes the search; conditions that are not asked for are left out.
func (f BoardFilter) query() *search {
	q := &search{}
	var all []string
	add := func(condition string) {
		if condition != "" {
			all = append(all, condition)
		}
	}
	tiers := [][]string{q.words(f.Query), q.markings(f.Markings)}
	add(anyOf(tiers[0]))
	add(anyOf(tiers[1]))
	if f.Maker != "" {
		add("b.maker_key = " + q.bind(fold(f.Maker)))
	}
	if f.Kind != "" {
		add("b.kind_key = " + q.bind(fold(f.Kind)))
	}
	add(q.look(f.Look))
	q.where = "true"
	if len(all) > 0 {
		q.where = strings.Join(all, " AND ")
	}
	q.tiers = tiers[0]
	if len(tiers[0]) == 0 {
		q.tiers = tiers[1]
	}
	if len(q.tiers) == 0 {
		q.tiers = []string{"true"}
	}
	return q
}

func anyOf(conditions []string) string {
	if len(conditions) == 0 {
		return ""
	}
	return "(" + strings.Join(conditions, " OR ") + ")"
}

// words are the tiers of a free query: just that, its words, their beginnings,
// a part of a marking.
func (q *search) words(text string) []string {
	ws := words(text)
	if len(ws) == 0 {
		if strings.TrimSpace(text) == "" {
			return nil
		}
		return []string{"false"} // nothing but punctuation finds nothing
	}
	squashed := strings.Join(ws, "")
	one := q.bind([]string{squashed})
	exact := fmt.Sprintf("(b.id = %s OR b.names @> %s OR b.marks @> %s)", q.bind(strings.Join(ws, "-")), one, one)
	tiers := []string{exact, "b.words @@ " + q.bind(lexemes(ws, "")) + "::text::tsquery", "b.words @@ " + q.bind(lexemes(ws, ":*")) + "::text::tsquery"}
	return append(tiers, q.partly(squashed)...)
}

// lexemes writes a query of words; letters and digits only, so that there is
// nothing to escape.
func lexemes(ws []string, suffix string) string {
	terms := make([]string, len(ws))
	for i, w := range ws {
		terms[i] = "'" + w + "'" + suffix
	}
	return strings.Join(terms, " & ")
}

// markings are the tiers of markings: one of them whole, a part of one.
func (q *search) markings(markings []string) []string {
	if len(markings) == 0 {
		return nil
	}
	squashed := squashAll(markings)
	tiers := []string{"b.marks && " + q.bind(squashed)}
	var parts []string
	for _, m := range squashed {
		parts = append(parts, q.partly(m)...)
	}
	if len(parts) > 0 {
		tiers = append(tiers, anyOf(parts))
	}
	return tiers
}

// partly is the condition that some marking has this within it.
func (q *search) partly(squashed string) []string {
	g := grams(squashed)
	if len(g) == 0 {
		return nil
	}
	return []string{fmt.Sprintf("(b.mark_grams @> %s AND EXISTS (SELECT FROM unnest(b.marks) mark WHERE position(%s::text IN mark) > 0))",
		q.bind(g), q.bind(squashed))}
}

// look is the condition of board.Look.Fits.
func (q *search) look(l board.Look) string {
	var all []string
	if l.Width != 0 || l.Height != 0 {
		all = append(all, anyOf(slices.Compact([]string{q.within(l.Width, l.Height), q.within(l.Height, l.Width)})))
	}
	if l.Replaced != 0 {
		r := board.Counted(l.Replaced)
		all = append(all, fmt.Sprintf("b.replaced BETWEEN %s AND %s", q.bind(int(max(0, r.Least+0.999999))), q.bind(int(r.Most))))
	}
	switch l.Sides {
	case "":
	case "both":
		all = append(all, "b.sides > 1")
	default:
		all = append(all, "b.sides <= 1")
	}
	if l.Class != "" {
		all = append(all, "b.classes @> "+q.bind([]string{l.Class}))
	}
	if printed := strings.ToLower(strings.TrimSpace(column(l.Printed))); printed != "" {
		all = append(all, q.printed(l.Class, printed))
	}
	return strings.Join(all, " AND ")
}

// within is the condition that the board is about so wide and so high; 0 for a
// side that was not measured.
func (q *search) within(width, height float64) string {
	const anything = 1e6 // mm, more than a frame may have
	across := func(seen float64) board.Between {
		if seen == 0 {
			return board.Between{Least: -anything, Most: anything}
		}
		return board.Measured(seen)
	}
	w, h := across(width), across(height)
	return fmt.Sprintf("b.size <@ box(point(%s, %s), point(%s, %s))", q.bind(w.Least), q.bind(h.Least), q.bind(w.Most), q.bind(h.Most))
}

func (q *search) printed(class, text string) string {
	of := ""
	if class != "" {
		of = " AND split_part(print, E'\\t', 1) = " + q.bind(class)
	}
	within := fmt.Sprintf("EXISTS (SELECT FROM unnest(b.printed) print WHERE position(%s::text IN split_part(print, E'\\t', 2)) > 0%s)", q.bind(text), of)
	if g := grams(text); len(g) > 0 {
		within = "b.print_grams @> " + q.bind(g) + " AND " + within
	}
	return within
}

// matches are the numbers of the boards that meet a condition, countedBoards
// and one more at most, found by the indexes of what is asked for and never by
// walking the boards.
func matches(ctx context.Context, tx pgx.Tx, q *search, tier string) ([]int32, error) {
	walking := "off"
	if q.where == "true" {
		walking = "on" // nothing is asked for, so that any board will do
	}
	if err := steer(ctx, tx, walking); err != nil {
		return nil, err
	}
	rows, err := tx.Query(ctx, fmt.Sprintf(`SELECT b.number FROM boards b WHERE b.current > 0 AND %s AND %s LIMIT %d`,
		q.where, tier, countedBoards+1), q.args...)
	if err != nil {
		return nil, err
	}
	numbers, err := pgx.CollectRows(rows, pgx.RowTo[int32])
	if err != nil {
		return nil, err
	}
	return numbers, steer(ctx, tx, "on")
}

// steer allows or forbids the planner to walk the boards in their order.
func steer(ctx context.Context, tx pgx.Tx, walking string) error {
	_, err := tx.Exec(ctx, `SELECT set_config('enable_indexscan', $1, true), set_config('enable_seqscan', $1, true), set_config('jit', 'off', true)`, walking)
	return err
}

// ranked lists the boards of these numbers, by tier and ID.
func ranked(ctx context.Context, tx pgx.Tx, q *search, numbers []int32, tier int, after string, limit int) ([]Board, error) {
	of := *q
	of.args = slices.Clone(q.args)
	chosen, t, id := of.bind(numbers), of.bind(tier), of.bind(after)
	return boardsOf(ctx, tx, fmt.Sprintf(`
		WITH found AS MATERIALIZED (SELECT b.number, b.id, %s AS tier FROM boards b WHERE b.number = ANY (%s) AND %s),
		     page AS (SELECT number, tier FROM found WHERE (tier, id) > (%s::int, %s) ORDER BY tier, id LIMIT %d)
		SELECT %s, page.tier FROM page JOIN boards b USING (number) ORDER BY page.tier, b.id`,
		of.rank(), chosen, of.where, t, id, limit, boardColumns), of.args)
}

// tiered fills a page of a search that too many boards match, tier by tier.
func tiered(ctx context.Context, tx pgx.Tx, q *search, tier int, after string, limit int) ([]Board, error) {
	var out []Board
	for ; tier < len(q.tiers) && len(out) < limit; tier++ {
		only := q.tiers[tier]
		if tier > 0 {
			only += " AND NOT (" + strings.Join(q.tiers[:tier], " OR ") + ")"
		}
		found, err := rare(ctx, tx, q, only, tier, after, limit-len(out))
		if err != nil {
			return nil, err
		}
		for i := range found {
			found[i].tier = tier
		}
		out, after = append(out, found...), ""
	}
	return out, nil
}

// rare lists one tier: by its matches where they are few, else by walking.
func rare(ctx context.Context, tx pgx.Tx, q *search, only string, tier int, after string, limit int) ([]Board, error) {
	numbers, err := matches(ctx, tx, q, only)
	if err != nil {
		return nil, err
	}
	if len(numbers) <= countedBoards {
		one := *q
		one.tiers = []string{"true"}
		return ranked(ctx, tx, &one, numbers, 0, after, limit)
	}
	return walk(ctx, tx, q, only, after, limit)
}

// walk lists the boards that meet a condition, by ID.
func walk(ctx context.Context, tx pgx.Tx, q *search, only, after string, limit int) ([]Board, error) {
	of := *q
	of.args = slices.Clone(q.args)
	return boardsOf(ctx, tx, fmt.Sprintf(`SELECT %s, 0 FROM boards b WHERE b.current > 0 AND %s AND %s AND b.id > %s ORDER BY b.id LIMIT %d`,
		boardColumns, q.where, only, of.bind(after), limit), of.args)
}

func boardsOf(ctx context.Context, tx pgx.Tx, sql string, args []any) ([]Board, error) {
	rows, err := tx.Query(ctx, sql, args...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, scanFound)
}
