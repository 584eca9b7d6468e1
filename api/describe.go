package api

// described says of one route what a stranger needs to use it.
type described struct {
	about  string
	detail string // more, where a line does not do
	query  []param
	takes  string   // name of the body's schema; "" for no JSON body
	lists  bool     // the body may also be a list of parts
	gives  string   // media type of the answer; application/json where ""
	also   []string // more media types, by Accept
	schema string   // name of the answer's schema, where it has one
	status int      // of success; 200 where 0
}

var differenceForms = []string{"json", "text", "json-patch", "svg"}

// describe holds each route of the table, by method and path: what the index
// and the OpenAPI description say, and what a query may hold.
var describe = map[string]described{
	"GET /v1":               {about: "what is here"},
	"GET /v1/openapi.json":  {about: "this API as OpenAPI 3.1"},
	"GET /v1/schemas":       {about: "names of the JSON Schema documents"},
	"GET /v1/schemas/:name": {about: "one JSON Schema document", gives: "application/schema+json"},

	"GET /v1/boards": {about: "find boards", query: []param{
		{name: "q", about: "words from name, equipment or markings"}, {name: "marking", about: "what is printed or etched on the board"},
		{name: "maker", about: "maker of the equipment"}, {name: "kind", about: "kind of equipment"}, limitParam, cursorParam}},
	"GET /v1/boards/:board":              {about: "one board: current revision, variants, counts, open proposals"},
	"GET /v1/boards/:board/map":          {about: "the current map", query: []param{variantParam}, schema: "map"},
	"GET /v1/boards/:board/revisions":    {about: "the released revisions, newest first", query: []param{limitParam, cursorParam}},
	"GET /v1/boards/:board/revisions/:n": {about: "the map of one revision, which never changes", query: []param{variantParam}, schema: "map"},
	"GET /v1/boards/:board/differences": {about: "what changed between two revisions or variants", query: []param{
		{name: "from", about: "the earlier revision; the one before to where absent", number: true, least: 1, most: 1<<31 - 1},
		{name: "to", about: "the later revision; the current one where absent", number: true, least: 1, most: 1<<31 - 1},
		variantParam, {name: "from_variant", about: "build on the earlier side"}, {name: "to_variant", about: "build on the later side"},
		{name: "as", about: "form of the answer", choices: differenceForms}, sideParam}},
	"GET /v1/boards/:board/drawing.svg": {about: "the map drawn, one side, seen from that side", gives: "image/svg+xml", query: []param{
		sideParam, variantParam, {name: "revision", about: "the revision; the current one where absent", number: true, least: 1, most: 1<<31 - 1},
		{name: "mark", about: "designator to highlight", many: true}}},
	"GET /v1/boards/:board/positions/:designator/history": {about: "who changed a position, when, and on what evidence"},
	"GET /v1/boards/:board/events":                        {about: "what happened to a board", query: []param{orderParam, limitParam, cursorParam}},
	"GET /v1/boards/:board/events.atom":                   {about: "the same as an Atom feed", gives: "application/atom+xml"},
	"POST /v1/boards/:board/reconciliations": {about: "check a kit against a map", detail: aboutReconciling, takes: "reconciliation-request", lists: true,
		schema: "reconciliation", also: reportMedia[1:], query: []param{
			{name: "pairs", about: "also list every allowed pair with its penalty", choices: []string{"true", "false"}},
			{name: "revision", about: "with a list: the revision; the current one where absent", number: true, least: 1, most: 1<<31 - 1},
			{name: "variant", about: "with a list: the build; the base map where absent"},
			{name: "scope", about: "with a list: service (where absent), all, or designators such as C1-C5, R7"}}},

	"GET /v1/proposals": {about: "proposals, newest first", query: []param{
		{name: "state", about: "state, or open", choices: []string{"open", "submitted", "returned", "released", "declined", "withdrawn"}},
		{name: "board", about: "ID of a board"}, {name: "author", about: "name of the author"}, limitParam, cursorParam}},
	"POST /v1/proposals":                    {about: "submit a map", takes: "submission", status: 201},
	"GET /v1/proposals/:id":                 {about: "one proposal with its differences, findings and reviews"},
	"GET /v1/proposals/:id/checklist":       {about: "what a reviewer should have looked at before a verdict"},
	"GET /v1/proposals/:id/map":             {about: "the proposed map", schema: "map", query: []param{{name: "version", about: "an earlier version of it", number: true, least: 1, most: 1<<31 - 1}}},
	"PUT /v1/proposals/:id/map":             {about: "amend the proposed map; needs If-Match", takes: "map"},
	"GET /v1/proposals/:id/reviews":         {about: "the reviews of a proposal"},
	"POST /v1/proposals/:id/reviews":        {about: "give a verdict", takes: "review", status: 201},
	"GET /v1/proposals/:id/reviews/:review": {about: "one review"},
	"POST /v1/proposals/:id/release":        {about: "make the proposal the next revision", takes: "decision"},
	"POST /v1/proposals/:id/decline":        {about: "decline the proposal", takes: "decision"},
	"POST /v1/proposals/:id/withdraw":       {about: "withdraw one's own proposal", takes: "decision"},
	"POST /v1/maps/check":                   {about: "all that a submission would be told, nothing stored", takes: "map"},
	"POST /v1/maps/from-placements":         {about: "a draft map from a placement list", takes: "placement-import"},
	"POST /v1/parts/read":                   {about: "read a text as a part", takes: "part-text"},
	"POST /v1/quantities/read":              {about: "read a text as a quantity", takes: "quantity-text"},

	"GET /v1/kits":      {about: "kits kept on the server", query: []param{{name: "board", about: "ID of a board that the kit is for"}, limitParam, cursorParam}},
	"GET /v1/kits/:kit": {about: "one kit", schema: "kit", query: []param{versionParam}},
	"PUT /v1/kits/:kit": {about: "keep a kit; a change makes a new version", takes: "kit", lists: true,
		detail: "The document may leave out its ID, which is that of the address. " + aboutLists, query: []param{
			{name: "title", about: "with a list: what the kit is known as"}, {name: "for", about: "with a list: ID of a board that it is meant for", many: true}}},
	"GET /v1/kits/:kit/boards":   {about: "the boards that a kit serves, best first", query: []param{limitParam}},
	"GET /v1/kits/:kit/versions": {about: "the versions of a kit, newest first", query: []param{limitParam, cursorParam}},

	"GET /v1/events": {about: "everything that happened, in order", query: []param{
		{name: "proposal", about: "number of a proposal", number: true, least: 1, most: 1<<31 - 1}, orderParam, limitParam, cursorParam}},
	"GET /v1/events.atom":         {about: "the newest events as an Atom feed", gives: "application/atom+xml"},
	"POST /v1/photographs":        {about: "keep a photograph: JPEG, PNG or WebP as the body", status: 201},
	"GET /v1/photographs/:sha256": {about: "one photograph", gives: "image/*"},

	"GET /problems":       {about: "the types of problem", gives: "text/plain"},
	"GET /problems/:name": {about: "one type of problem", gives: "text/plain"},
	"GET /healthz":        {about: "whether the process answers"},
	"GET /readyz":         {about: "whether requests can be served"},
	"GET /metrics":        {about: "figures for a monitor", gives: "text/plain"},
}

// What the descriptions of kits say at length.
const (
	aboutLists = "A kit may also be sent as a list as people keep it: comma, semicolon or tab separated with headings in English, German or French in any order, " +
		"or without, or one part a line; in UTF-8, UTF-16 or Latin-1. Every row becomes a line of the kit; a row that can't be read is told with its number and kept as text."
	aboutReconciling = aboutLists + " What else a JSON body says then stands in the query, and the report's problems tell of the list's rows.\n\n" +
		"The report comes as JSON, as text for a terminal, as CSV (a row for each position, then one for each line with parts left over) or as a printable PDF, as Accept has it.\n\n" +
		"pairs are the problem that the placing solves, for any outside solver: with x = 0 or 1 for each pair, at most one pair for a designator, and at most lines[].quantity " +
		"pairs for a line, the greatest number of pairs is summary.filled, and the least sum of penalties at that number is summary.penalty. Lines without designators have a pair " +
		"with every position in scope, unless it has a stop finding or is labelled. A line that names designators is taken at its word: its only pairs are those with the positions that it " +
		"names, in natural order as far as its quantity goes (of two lines that name one position, the lower one has it), and of these only the ones without a stop finding; " +
		"a position so labelled has no other pair, so that one whose label has a stop finding has none and stays unfilled. Designators out of scope make no pairs, and their parts serve nothing else.\n\n" +
		"better_fit names builds and earlier revisions that the kit fits better, with their scores; they are tried newest first within a limit of work, and only where the kit is not perfect."
)

var (
	sideParam    = param{name: "side", about: "side of the board; top where absent", choices: []string{"top", "bottom"}}
	orderParam   = param{name: "order", about: "oldest first where absent", choices: []string{"oldest", "newest"}}
	versionParam = param{name: "version", about: "a version; the newest where absent", number: true, least: 1, most: 1<<31 - 1}
)
