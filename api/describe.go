package api

import (
	"slices"
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/photograph"
	"boardlore/domain/review"
	"boardlore/store"
)

// described says of one route what a stranger needs to use it.
type described struct {
	about    string
	detail   string // more, where a line does not do
	query    []param
	takes    string   // name of the body's schema; "" for no JSON body
	form     bool     // the same members may come as multipart/form-data
	lists    bool     // the body may also be a list of parts
	media    []string // media types of a body that is no JSON
	gives    string   // media type of the answer; application/json where ""
	also     []string // more media types, by Accept
	schema   string   // name of the answer's schema, where it has one
	status   int      // of success; 200 where 0
	again    bool     // 200 too, where the same is there already
	match    string   // what an If-Match names, where the route heeds it
	waits    bool     // heeds Prefer: wait
	once     bool     // takes Idempotency-Key
	ends     *ending  // that it is to go; nil while it is not
	problems []string // refusals of its own; those that any route of its kind has are in refusals
}

var differenceForms = []string{"json", "text", "json-patch", "svg"}

const (
	proposedMap = "the proposed map that was looked at"
	keptKit     = "the version of the kit that was changed"
)

// describe holds each route of the table, by method and path: what the index
// and the OpenAPI description say, and what a query may hold.
var describe = map[string]described{
	"GET /v1":              {about: "what is here", schema: "index"},
	"GET /v1/openapi.json": {about: "this API as OpenAPI 3.1"},
	"GET /v1/reference":    {about: "this API as a page, with what may change in it", gives: "text/html"},
	"GET /v1/schemas":      {about: "names of the JSON Schema documents", schema: "schema-list"},
	"GET /v1/schemas/:name": {about: "one JSON Schema document", gives: "application/schema+json",
		problems: []string{"schema-unknown"}},

	"GET /v1/boards": {about: "find boards", detail: aboutFinding, schema: "boards", also: boardMedia[1:],
		problems: []string{"cursor-malformed", "not-acceptable"}, query: []param{
			{name: "q", about: "words from name, equipment or markings"},
			{name: "marking",
				about: "what is printed or etched on the board, whole or three characters or more of it; " +
					"several find the boards with any", many: true},
			{name: "maker", about: "maker of the equipment"}, {name: "kind", about: "kind of equipment"},
			{name: "width_mm", about: "measured width, whichever way round the board was held", decimal: true, min: 1,
				max: 10000},
			{name: "height_mm", about: "measured height, likewise", decimal: true, min: 1, max: 10000},
			{name: "replaced", about: "about how many positions are to be replaced", number: true, min: 1,
				max: 5000},
			{name: "sides", about: "whether parts sit on one side or on both", choices: []string{"one", "both"}},
			{name: "class", about: "class of a part that stands on the board", choices: part.Names(part.Classes)},
			{name: "printed", about: "something printed on one of its parts, three characters or more", min: 3},
			limitParam, cursorParam}},
	"GET /v1/boards/:board": {about: "one board: current revision, variants, counts, open proposals", schema: "board",
		problems: []string{"board-unknown"}},
	"GET /v1/boards/:board/map": {about: "the current map", query: []param{variantParam, envelopeParam},
		schema: "map-answer", also: mapMedia[1:],
		problems: []string{"not-acceptable", "board-unknown", "variant-not-found"}},
	"GET /v1/boards/:board/revisions": {about: "the released revisions, newest first", schema: "revisions",
		query:    []param{limitParam, cursorParam},
		problems: []string{"board-unknown", "cursor-malformed"}},
	"GET /v1/boards/:board/revisions/:n": {about: "the map of one revision, which never changes but may be withdrawn",
		query: []param{variantParam, ofParam, envelopeParam}, schema: "map-answer", also: mapMedia[1:],
		problems: []string{"not-acceptable", "board-unknown", "revision-unknown", "variant-not-found"}},
	"GET /v1/boards/:board/revisions/:n/proof": {about: "that the release is in the public log, as C2SP tlog-proof says", gives: "text/plain",
		problems: []string{"revision-unknown"}},
	"GET /v1/boards/:board/differences": {about: "what changed between two revisions or variants", schema: "difference",
		query: []param{
			{name: "from", about: "the earlier revision; the one before to where absent", number: true, min: 1,
				max: 1<<31 - 1},
			{name: "to", about: "the later revision; the current one where absent", number: true, min: 1,
				max: 1<<31 - 1},
			variantParam, {name: "from_variant", about: "build on the earlier side; variant where absent"},
			{name: "to_variant", about: "build on the later side; variant where absent"},
			{name: "as", about: "form of the answer", choices: differenceForms}, sideParam},
		problems: []string{"board-unknown", "revision-unknown", "variant-not-found"}},
	"GET /v1/boards/:board/drawing.svg": {about: "the map drawn, one side, seen from that side", gives: "image/svg+xml",
		query: []param{
			sideParam, variantParam, {name: "revision", about: "the revision; the current one where absent",
				number: true,
				min:    1, max: 1<<31 - 1},
			{name: "mark", about: "designator to highlight", many: true},
			{name: "language", about: "what it is written in; by Accept-Language where absent",
				choices: languageTags()}},
		problems: []string{"board-unknown", "revision-unknown", "variant-not-found", "answer-too-large"}},
	"GET /v1/boards/:board/photograph": {about: "the photograph of one side, laid flat: exactly the frame's " +
		"rectangle, seen from that side", gives: flatMedia[0], also: flatMedia[1:], query: []param{
		sideParam, {name: "revision", about: "the revision; the current one where absent", number: true, min: 1,
			max: 1<<31 - 1},
		{name: "width", about: "pixels across, 1200 where absent, at most 2400; less for a board that is much " +
			"higher than wide", figure: true, min: 1, max: photograph.MaxFlat}},
		problems: []string{"board-unknown", "revision-unknown", "photograph-unknown", "photograph-width", "points-open",
			"not-acceptable"}},
	"GET /v1/boards/:board/records": {about: "records of serviced units, newest first; as CSV with a row for each " +
		"position", schema: "records", also: recordMedia[1:],
		query: []param{{name: "variant", about: "only those of this build; base for the base build"},
			{name: "as", about: "the form, whatever Accept says", choices: []string{"json", "csv"}}, limitParam,
			cursorParam},
		problems: []string{"board-unknown", "cursor-malformed", "not-acceptable"}},
	"POST /v1/boards/:board/records": {about: "file a record of a serviced unit", takes: "record",
		schema: "record-kept", status: 201, once: true,
		problems: []string{"board-unknown", "record-refused", "record-quota", "document-too-large"}},
	"GET /v1/boards/:board/experience": {about: "what all records of a board amount to", schema: "experience",
		query: []param{{name: "variant",
			about: "only records of this build; base for the base build; all where absent"}},
		problems: []string{"board-unknown", "variant-not-found"}},
	"GET /v1/records": {about: "the records that the asker filed, with the units' marks", schema: "records",
		query: []param{limitParam, cursorParam}, problems: []string{"cursor-malformed"}},
	"GET /v1/records/:id": {about: "one record; the mark of its unit for its author alone", schema: "record-kept",
		problems: []string{"record-unknown", "withdrawn", "withdrawn-by-law"}},
	"POST /v1/records/:id/withdrawal": {about: "take a record out of use, as its author or a steward",
		takes: "record-withdrawal", schema: "withdrawn", once: true,
		problems: []string{"record-unknown", "record-not-yours", "already-withdrawn", "withdrawal-invalid"}},
	"GET /v1/symptoms": {about: "what may be behind a symptom, the likeliest first", schema: "suspects",
		query: []param{{name: "q", about: "what is noticed, such as no clock, hum, smell of fish"},
			{name: "board", about: "ID of a board; all boards where absent"},
			{name: "failed", about: "in place of q: positions of the board that had failed; what failed beside them", many: true}},
		problems: []string{"question-empty", "board-unknown"}},
	"GET /v1/boards/:board/plan": {about: "the working order: make safe, check, take out, fit, check, power up",
		detail: aboutPlan, schema: "plan", query: planParams,
		problems: []string{"board-unknown", "revision-unknown", "variant-not-found", "plan-invalid", "plan-too-large",
			"scope-unknown", "scope-unknown-designator"}},
	"GET /v1/boards/:board/parts-list": {about: "what to buy for a board, without any kit", schema: "parts-list",
		also: boardMedia[1:], query: []param{
			variantParam, {name: "revision", about: "the revision; the current one where absent", number: true,
				min: 1,
				max: 1<<31 - 1},
			{name: "scope", about: "service (where absent), all, or designators such as C1-C5, R7"},
			{name: "as", about: "form of the answer", choices: []string{"json", "csv"}}},
		problems: []string{"not-acceptable", "board-unknown", "revision-unknown", "variant-not-found", "scope-unknown",
			"scope-unknown-designator"}},
	"GET /v1/boards/:board/positions/:designator/history": {about: "who changed a position, when, and on what evidence",
		schema:   "history",
		problems: []string{"board-unknown", "designator-unknown"}},
	"GET /v1/boards/:board/events": {about: "what happened to a board", detail: aboutWaiting, schema: "events",
		waits:    true,
		query:    []param{afterParam, whatParam, orderParam, limitParam, cursorParam},
		problems: []string{"board-unknown", "cursor-malformed"}},
	"GET /v1/boards/:board/events.atom": {about: "the same as an Atom feed in pages", gives: "application/atom+xml",
		query: []param{whatParam, cursorParam}, problems: []string{"board-unknown", "cursor-malformed"}},
	"POST /v1/boards/:board/reconciliations": {about: "check a kit against a map", detail: aboutReconciling,
		takes: "reconciliation-request", lists: true,
		schema: "reconciliation", also: reportMedia[1:], query: []param{
			{name: "pairs", about: "also list every allowed pair with its penalty", choices: []string{"true", "false"}},
			{name: "revision", about: "with a list: the revision; the current one where absent", number: true, min: 1,
				max: 1<<31 - 1},
			{name: "variant", about: "with a list: the build; the base map where absent"},
			{name: "scope", about: "with a list: service (where absent), all, or designators such as C1-C5, R7"}},
		problems: []string{"board-unknown", "revision-unknown", "variant-not-found", "kit-unknown", "kit-refused",
			"scope-unknown", "scope-unknown-designator", "not-acceptable"}},

	"GET /v1/proposals": {about: "proposals, newest first", schema: "proposals", problems: []string{"cursor-malformed"},
		query: []param{
			{name: "state", about: "state, or open", choices: []string{"open", "submitted", "returned", "released",
				"declined", "withdrawn"}},
			{name: "board", about: "ID of a board"}, {name: "author", about: "name of the author"}, limitParam,
			cursorParam}},
	"GET /v1/boards/:board/doubts": {about: "what readers think is wrong with the board's maps, newest first",
		schema: "doubts", problems: []string{"board-unknown", "cursor-malformed"},
		query: []param{{name: "state", about: "open for those without an answer; all where absent",
			choices: []string{"open", "all"}}, limitParam, cursorParam}},
	"POST /v1/boards/:board/doubts": {about: "say what is wrong with a released map", takes: "doubt",
		schema: "doubt-receipt", status: 201, once: true,
		problems: []string{"board-unknown", "revision-unknown", "doubt-invalid", "doubt-quota"}},
	"POST /v1/boards/:board/doubts/:id/answer": {about: "answer a doubt: by a reviewer, or by whoever raised it",
		takes: "doubt-answer", schema: "doubt-receipt", once: true,
		problems: []string{"doubt-unknown", "doubt-invalid", "doubt-answered"}},
	"POST /v1/proposals": {about: "submit a map", takes: "submission", schema: "receipt", status: 201, once: true,
		problems: []string{"board-unknown", "board-exists", "base-ahead", "base-withdrawn", "board-moved",
			"proposal-quota", "map-refused", "submission-invalid", "no-difference", "document-too-large"}},
	"GET /v1/proposals/:id": {about: "one proposal with its differences, findings and reviews", schema: "proposal",
		problems: []string{"proposal-unknown"}},
	"GET /v1/proposals/:id/checklist": {about: "what a reviewer should have looked at before a verdict",
		schema:   "checklist",
		problems: []string{"proposal-unknown"}},
	"GET /v1/proposals/:id/map": {about: "the proposed map", schema: "map", problems: []string{"proposal-unknown"},
		query: []param{{name: "version", about: "an earlier version of it", number: true, min: 1, max: 1<<31 - 1}}},
	"PUT /v1/proposals/:id/map": {about: "amend the proposed map; needs If-Match", takes: "map", schema: "receipt",
		match: "the proposed map that was amended",
		problems: []string{"proposal-unknown", "not-the-author", "proposal-closed", "if-match-needed",
			"proposal-changed", "proposal-quota", "map-refused", "submission-invalid", "no-difference",
			"document-too-large"}},
	"GET /v1/proposals/:id/reviews": {about: "the reviews of a proposal", schema: "reviews",
		problems: []string{"proposal-unknown"}},
	"POST /v1/proposals/:id/reviews": {about: "give a verdict; needs If-Match", takes: "review", schema: "receipt",
		status: 201, once: true, match: proposedMap,
		problems: []string{"proposal-unknown", "own-proposal", "proposal-closed", "if-match-needed", "proposal-changed",
			"review-invalid"}},
	"GET /v1/proposals/:id/reviews/:review": {about: "one review", schema: "review-given",
		problems: []string{"proposal-unknown", "review-unknown"}},
	"POST /v1/proposals/:id/reviews/:review/answers": {about: "say something to a review, as the author or a reviewer",
		takes: "review-answer", schema: "receipt", status: 201, once: true,
		problems: []string{"proposal-unknown", "review-unknown", "not-the-author", "proposal-closed", "review-invalid",
			"thread-full"}},
	"POST /v1/proposals/:id/reviews/:review/set-aside": {about: "end an objection that bars the proposal, with the reason", takes: "decision", schema: "receipt", once: true,
		problems: []string{"proposal-unknown", "review-unknown", "own-proposal", "proposal-closed", "decision-invalid",
			"no-objection"}},
	"POST /v1/proposals/:id/release": {about: "make the proposal the next revision; needs If-Match", takes: "decision",
		schema: "receipt", once: true, match: proposedMap,
		problems: []string{"proposal-unknown", "proposal-closed", "if-match-needed", "proposal-changed",
			"decision-invalid", "endorsement-needed", "objection-standing",
			"carry-forward-conflict", "carry-forward-unsound", "board-exists", "release-empty", "try-again"}},
	"POST /v1/proposals/:id/decline": {about: "decline the proposal", takes: "decision", schema: "receipt", once: true,
		match: proposedMap,
		problems: []string{"proposal-unknown", "own-proposal", "proposal-closed", "proposal-changed",
			"decision-invalid"}},
	"POST /v1/proposals/:id/withdraw": {about: "withdraw one's own proposal", takes: "decision", schema: "receipt",
		once: true, match: proposedMap,
		problems: []string{"proposal-unknown", "not-the-author", "proposal-closed", "proposal-changed",
			"decision-invalid"}},
	"GET /v1/maps/:digest": {about: "the released map of a digest, wherever it stands", query: []param{envelopeParam},
		schema: "map-answer", also: mapMedia[1:],
		problems: []string{"not-acceptable", "map-unknown", "method-not-allowed"}},
	"POST /v1/maps/check": {about: "all that a submission would be told, nothing stored; the map, or anything with " +
		"it as its member map", takes: "map",
		schema: "map-check", problems: []string{"map-refused", "document-too-large"}},
	"POST /v1/maps/from-placements": {about: "a draft map from a placement list", takes: "placement-import", form: true,
		schema:   "placement-draft",
		problems: []string{"placements-refused"}},
	"POST /v1/maps/from-photograph": {about: "a draft map from parts that were marked on photographs",
		takes: "photograph-import", schema: "photograph-draft",
		problems: []string{"points-open"}},
	"GET /v1/rules": {about: "every rule by which a part is judged in place of another, with its threshold, " +
		"basis and penalty", schema: "rules"},
	"POST /v1/parts/read": {about: "read a text as a part", takes: "part-text", schema: "part-readings",
		problems: []string{"text-unreadable"}},
	"GET /v1/parts/read": {about: "read a text as a part; with explain=true span by span", schema: "part-readings",
		problems: []string{"text-unreadable"}, query: []param{
			{name: "text", about: "the text", min: 1}, {name: "class", about: "what sort of part it is known to be",
				choices: part.Names(part.Classes)},
			{name: "found", about: "where the text stands", choices: []string{"marking", "order-code", "list"}},
			{name: "language", about: "what comma and point mean", choices: []string{"en", "de", "fr"}},
			{name: "explain", about: "whether to tell how the text was understood, by which rule, and what lost",
				choices: []string{"true", "false"}}}},
	"POST /v1/quantities/read": {about: "read a text as a quantity", takes: "quantity-text",
		schema: "quantity-readings", problems: []string{"text-unreadable"}},

	"GET /v1/kits": {about: "kits kept on the server", schema: "kits", problems: []string{"cursor-malformed"},
		query: []param{{name: "board", about: "ID of a board that the kit is for"}, limitParam, cursorParam}},
	"GET /v1/kits/:kit": {about: "one kit", schema: "kit", query: []param{versionParam},
		problems: []string{"kit-unknown"}},
	"PUT /v1/kits/:kit": {about: "keep a kit; a change makes a new version", takes: "kit", lists: true,
		schema: "kit-kept", status: 201, again: true, match: keptKit,
		detail: "The document may leave out its ID, which is that of the address. " + aboutLists, query: []param{
			{name: "title", about: "with a list: what the kit is known as"},
			{name: "for", about: "with a list: ID of a board that it is meant for", many: true}},
		problems: []string{"kit-not-yours", "kit-changed", "kit-refused", "kit-quota", "document-too-large"}},
	"GET /v1/kits/:kit/boards": {about: "the boards that a kit serves, best first: the greatest share of filled " +
		"positions in all positions to service and all parts of the kit", schema: "kit-boards",
		query: []param{limitParam}, problems: []string{"kit-unknown"}},
	"GET /v1/kits/:kit/versions": {about: "the versions of a kit, newest first", schema: "kits",
		query: []param{limitParam, cursorParam}, problems: []string{"kit-unknown", "cursor-malformed"}},

	"GET /v1/drafts": {about: "one's own unfinished maps, newest first", schema: "drafts"},
	"GET /v1/drafts/:draft": {about: "one draft, as it was saved", gives: "application/json",
		query: []param{versionParam}, problems: []string{"draft-unknown"}},
	"PUT /v1/drafts/:draft": {about: "save a draft: any JSON object; a change makes a new version, of which the " +
		"last twenty are kept", takes: "draft",
		schema: "draft-saved", status: 201, again: true, match: "the version of the draft that is followed",
		problems: []string{"draft-refused", "draft-changed", "draft-quota", "document-too-large"}},
	"DELETE /v1/drafts/:draft": {about: "delete a draft with its versions and its link", status: 204,
		problems: []string{"draft-unknown"}},
	"GET /v1/drafts/:draft/versions": {about: "the versions of a draft that are kept, newest first", schema: "drafts",
		problems: []string{"draft-unknown"}},
	"POST /v1/drafts/:draft/link": {about: "make a link by which anyone reads the draft; an earlier one ends",
		schema: "draft-link", status: 201, problems: []string{"draft-unknown"}},
	"DELETE /v1/drafts/:draft/link": {about: "end the link to a draft", status: 204,
		problems: []string{"draft-unknown"}},
	"GET /v1/shared-draft": {about: "the draft that a link leads to", gives: "application/json",
		problems: []string{"draft-unknown"},
		query:    []param{{name: "link", about: "the secret of the link"}}},

	"GET /v1/events": {about: "everything that happened, in order", detail: aboutWaiting, schema: "events", waits: true,
		problems: []string{"cursor-malformed"}, query: []param{
			{name: "proposal", about: "number of a proposal", number: true, min: 1, max: 1<<31 - 1}, afterParam,
			whatParam, orderParam, limitParam, cursorParam}},
	"GET /v1/events.atom": {about: "the events as an Atom feed in pages, newest first", gives: "application/atom+xml",
		query: []param{whatParam, cursorParam}, problems: []string{"cursor-malformed"}},
	"POST /v1/photographs": {about: "keep a photograph", detail: message.Of("page.photo.shows").String(),
		media: []string{"image/jpeg", "image/png", "image/webp"}, schema: "photograph", status: 201, again: true,
		problems: []string{"photograph-too-large", "photograph-unreadable", "photograph-quota"}},
	"GET /v1/photographs/:sha256": {about: "one photograph", gives: "image/*",
		problems: []string{"photograph-unknown"}},

	"GET /v1/export": {about: "every released revision as one JSON document a line, with the log's withdrawals and " +
		"moves between them, then kits and records; " +
		"each photograph before the line that names it; one export at a time for an address",
		gives: "application/x-ndjson", query: []param{
			{name: "what", about: "the log alone, or what stands beside it: kits, records and what became of " +
				"photographs", choices: []string{"log", "beside"}},
			{name: "after", about: "index of the line after which to go on with the log", number: true, min: 0,
				max: 1<<53 - 1},
			{name: "after_event", about: "event of the line after which to go on with what stands beside it",
				number: true, min: 0, max: 1<<53 - 1},
			{name: "board", about: "ID of a board; several for these alone", many: true}}},
	"GET /log/checkpoint": {about: "the public log of releases, withdrawals and moves as it is now, signed, as " +
		"C2SP tlog-checkpoint says", gives: "text/plain"},
	"GET /log/tile/*": {about: "a tile of the log's hashes, or of its entries, as C2SP tlog-tiles says",
		gives:    "application/octet-stream",
		problems: []string{"tile-unknown"}},

	"GET /problems":       {about: "the types of problem", gives: "text/plain"},
	"GET /problems/:name": {about: "one type of problem", gives: "text/plain", problems: []string{"not-found"}},
	"GET /healthz":        {about: "whether the process answers", schema: "health"},
	"GET /readyz": {about: "whether requests can be served", schema: "health",
		problems: []string{"database-unavailable", "database-read-only", "database-ahead", "disk-full"}},
}

// refusals names the types of problem that a route answers with: its own, and
// those that follow from what sort of route it is.
func refusals(r *route, d described) []string {
	names := append([]string{"parameter-invalid", "token-invalid", "too-many-requests", "internal", "unavailable",
		"database-unavailable", "deadline-cut", "busy", "not-acceptable"}, d.problems...)
	if r.budget == Writes {
		names = append(names, "mirror")
	}
	if strings.Contains(r.path, ":") {
		names = append(names, "not-found")
	}
	if nameable(r, d) {
		names = append(names, "withdrawn", "withdrawn-by-law")
	}
	if r.budget == Writes {
		names = append(names, "outcome-unknown", "disk-full", "database-read-only", "database-ahead")
	}
	if r.role != review.Anonymous {
		names = append(names, "token-needed", "role-needed")
	}
	if r.budget == Labour {
		names = append(names, "answer-too-large")
	}
	if r.body > 0 {
		names = append(names, "malformed", "too-large", "unsupported-media-type")
	}
	if d.takes != "" {
		names = append(names, "json-malformed", "request-refused")
	}
	if r.tagged() {
		names = append(names, "stale")
	}
	if slices.Contains(d.problems, "proposal-closed") {
		names = append(names, "proposal-suspended")
	}
	if d.match != "" {
		names = append(names, "malformed")
	}
	if d.once {
		names = append(names, "idempotency-key-reused", "idempotency-key-long")
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// nameable tells the routes on which a revision or a photograph is named that
// may have been withdrawn.
func nameable(r *route, d described) bool {
	return slices.Contains(d.problems, "board-unknown") || slices.Contains(d.problems, "proposal-unknown") ||
		slices.Contains(d.problems, "photograph-unknown") && r.method == get
}

// What the descriptions say at length.
const (
	aboutFinding = "Boards whose ID, name or marking is just what was asked for come first, then those that have " +
		"the very words, then those whose words " +
		"begin so, then those with a part of a marking; within each by ID. A build's marking finds its board. A " +
		"look allows for a ruler held by hand, " +
		"5 mm or 5 %, and for a hasty count, 2 or a quarter. total counts what matches up to a limit; total_exact " +
		"is false where more do."
	aboutLists = "A kit may also be sent as a list as people keep it: comma, semicolon or tab separated with " +
		"headings in English, German or French in any order, " +
		"or without, or one part a line; in UTF-8, UTF-16 or Latin-1. Every row becomes a line of the kit; a row " +
		"that can't be read is told with its number and kept as text."
	aboutReconciling = aboutLists +
		" What else a JSON body says then stands in the query, and the report's problems tell of the list's rows.\n\n" +
		"The report comes as JSON, as text for a terminal, as CSV (a row for each position, then one for each line " +
		"with parts left over) or as a printable PDF, as Accept has it.\n\n" +
		"pairs are the problem that the placing solves, for any outside solver: with x = 0 or 1 for each pair, at " +
		"most one pair for a designator, and at most lines[].quantity " +
		"pairs for a line, the greatest number of pairs is summary.filled, and the least sum of penalties at that " +
		"number is summary.penalty. Lines without designators have a pair " +
		"with every position in scope, unless it has a stop finding or is labelled. A line that names designators " +
		"is taken at its word: its only pairs are those with the positions that it " +
		"names, in natural order as far as its quantity goes (of two lines that name one position, the lower one " +
		"has it), and of these only the ones without a stop finding; " +
		"a position so labelled has no other pair, so that one whose label has a stop finding has none and stays " +
		"unfilled. Designators out of scope make no pairs, and their parts serve nothing else.\n\n" +
		"better_fit names builds and earlier revisions that the kit fits better, with their scores; they are tried " +
		"newest first within a limit of work, and only where the kit is not perfect."
)

var (
	sideParam = param{name: "side", about: "side of the board; top where absent", choices: part.Names(board.Sides)}
	ofParam   = param{name: "of",
		about: "old ID of a board that was made one with this one, whose revision is meant"}
	afterParam = param{name: "after", about: "number of the event after which to go on: last of the answer before",
		number: true, max: 1 << 53}
	whatParam = param{name: "what", about: "only events of this kind; several give those of any",
		choices: store.EventKinds, many: true}
	orderParam   = param{name: "order", about: "oldest first where absent", choices: []string{"oldest", "newest"}}
	versionParam = param{name: "version", about: "a version; the newest where absent", number: true, min: 1,
		max: 1<<31 - 1}
)
