package store

import (
	"context"
	"fmt"
	"regexp"
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
const countedBoards = 2000

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
		c := &counted{tx: tx, search: q, found: make([]tierFound, len(q.tiers))}
		if out.Total, out.AtHand, err = c.count(ctx); err != nil {
			return err
		}
		out.Items, err = c.page(ctx, tier, after, f.Page.limit()+1)
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

// search is a filter as SQL: the conditions of its tiers, best first, what each
// board has to meet besides, and their arguments. A board is in the first tier
// whose condition it meets.
type search struct {
	tiers []string
	rest  string // empty for nothing
	args  []any
}

// bind adds an argument and answers its placeholder.
func (q *search) bind(v any) string {
	q.args = append(q.args, v)
	return "$" + strconv.Itoa(len(q.args))
}

var placeholder = regexp.MustCompile(`\$[0-9]+`)

// with is an SQL text with the arguments that it uses: the database refuses
// those that it does not.
func (q *search) with(sql string) (string, []any) {
	var used []any
	at := map[string]string{}
	sql = placeholder.ReplaceAllStringFunc(sql, func(p string) string {
		if at[p] == "" {
			n, _ := strconv.Atoi(p[1:]) // digits
			used = append(used, q.args[n-1])
			at[p] = "$" + strconv.Itoa(len(used))
		}
		return at[p]
	})
	return sql, used
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
	q.tiers = q.words(f.Query)
	if marks := q.markings(f.Markings); len(q.tiers) == 0 {
		q.tiers = marks
	} else {
		add(anyOf(marks))
	}
	if f.Maker != "" {
		add("b.maker_key = " + q.bind(fold(f.Maker)))
	}
	if f.Kind != "" {
		add("b.kind_key = " + q.bind(fold(f.Kind)))
	}
	add(q.look(f.Look))
	q.rest = strings.Join(all, " AND ")
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
	if slices.ContainsFunc(ws, func(w string) bool { return len(w) > longestLexeme }) {
		return []string{"false"}
	}
	squashed := strings.Join(ws, "")
	one := q.bind([]string{squashed})
	exact := fmt.Sprintf("(b.id = %s OR b.names @> %s OR b.marks @> %s)", q.bind(strings.Join(ws, "-")), one, one)
	tiers := []string{exact, "b.words @@ " + q.bind(lexemes(ws, "")) + "::text::tsquery", "b.words @@ " +
		q.bind(lexemes(ws, ":*")) + "::text::tsquery"}
	return append(tiers, q.partly(squashed)...)
}

// longestLexeme is more than any word of a board has, and less than the 2 KiB that
// the database takes as one, bytes.
const longestLexeme = 1000

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
		all = append(all, fmt.Sprintf("b.replaced BETWEEN %s AND %s", q.bind(int(max(0, r.Least+0.999999))),
			q.bind(int(r.Most))))
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
	return fmt.Sprintf("b.size <@ box(point(%s, %s), point(%s, %s))", q.bind(w.Least), q.bind(h.Least), q.bind(w.Most),
		q.bind(h.Most))
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

// counted is a search under way: which boards each tier has, as far as that was
// looked for. The better tiers come first, and where they have enough the others
// are not looked at: whose words merely begin so may be half of all boards.
type counted struct {
	tx pgx.Tx
	*search
	found []tierFound
}

// tierFound are the numbers of a tier's boards.
type tierFound struct {
	looked  bool
	numbers []int32
	all     bool // there are no more than these
}

// count counts the boards of all tiers, up to countedBoards.
func (c *counted) count(ctx context.Context) (n int, exact bool, err error) {
	for t := range c.found {
		f, err := c.tier(ctx, t)
		if err != nil {
			return 0, false, err
		}
		if n += len(f.numbers); n > countedBoards || !f.all {
			return countedBoards, false, nil
		}
	}
	return n, true, nil
}

// tier finds the boards of one tier, countedBoards and one more at most, by the
// indexes of what is asked for and never by walking the boards.
func (c *counted) tier(ctx context.Context, t int) (*tierFound, error) {
	f := &c.found[t]
	if f.looked {
		return f, nil
	}
	walking := "off"
	if c.tiers[t] == "true" && c.rest == "" {
		walking = "on" // nothing is asked for, so that any board will do
	}
	if err := steer(ctx, c.tx, walking); err != nil {
		return nil, err
	}
	sql, args := c.with(fmt.Sprintf(`SELECT b.number FROM boards b WHERE b.current > 0 AND %s LIMIT %d`, c.only(t),
		countedBoards+1))
	rows, err := c.tx.Query(ctx, sql, args...)
	if err != nil {
		return nil, err
	}
	if f.numbers, err = pgx.CollectRows(rows, pgx.RowTo[int32]); err != nil {
		return nil, err
	}
	f.looked, f.all = true, len(f.numbers) <= countedBoards
	return f, steer(ctx, c.tx, "on")
}

// only is the condition of one tier alone.
func (c *counted) only(t int) string {
	condition := c.tiers[t]
	if c.rest != "" {
		condition += " AND " + c.rest
	}
	if t > 0 {
		condition += " AND NOT (" + strings.Join(c.tiers[:t], " OR ") + ")"
	}
	return condition
}

// steer allows or forbids the planner to walk the boards in their order.
func steer(ctx context.Context, tx pgx.Tx, walking string) error {
	_, err := tx.Exec(ctx,
		`SELECT set_config('enable_indexscan', $1, true), set_config('enable_seqscan', $1, true), set_config('jit', 'off', true)`, walking)
	return err
}

// page fills a page, tier by tier.
func (c *counted) page(ctx context.Context, tier int, after string, limit int) ([]Board, error) {
	var out []Board
	for ; tier < len(c.found) && len(out) < limit; tier++ {
		f, err := c.tier(ctx, tier)
		if err != nil {
			return nil, err
		}
		var found []Board
		switch {
		case !f.all:
			found, err = c.walk(ctx, tier, after, limit-len(out))
		case len(f.numbers) > 0:
			found, err = c.listed(ctx, f.numbers, after, limit-len(out))
		}
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

// listed lists the boards of these numbers, by ID.
func (c *counted) listed(ctx context.Context, numbers []int32, after string, limit int) ([]Board, error) {
	return boardsOf(ctx, c.tx, fmt.Sprintf(`
		WITH page AS MATERIALIZED (SELECT number FROM boards WHERE number = ANY ($1) AND id > $2 ORDER BY id LIMIT %d)
		SELECT %s, 0 FROM page JOIN boards b USING (number) ORDER BY b.id`, limit, boardColumns), []any{numbers, after})
}

// walk lists the boards of one tier, by ID.
func (c *counted) walk(ctx context.Context, tier int, after string, limit int) ([]Board, error) {
	of := *c.search
	of.args = slices.Clone(c.args)
	from := of.bind(after)
	sql, args := of.with(fmt.Sprintf(`SELECT %s, 0 FROM boards b WHERE b.current > 0 AND %s AND b.id > %s ORDER BY b.id LIMIT %d`,
		boardColumns, c.only(tier), from, limit))
	return boardsOf(ctx, c.tx, sql, args)
}

func boardsOf(ctx context.Context, tx pgx.Tx, sql string, args []any) ([]Board, error) {
	rows, err := tx.Query(ctx, sql, args...)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, scanFound)
}
