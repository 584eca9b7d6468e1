package store

import (
	"context"
	"fmt"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/message"
	"boardlore/domain/review"
	"boardlore/schema"
)

// Submission is a map on its way in.
type Submission struct {
	Board    string         // as in the map
	Base     int            // the revision that the map was made from; 0 for a new board, Unsaid for what the map's envelope says
	Map      []byte         // the document as it came
	Summary  string         // what it changes and why, 1 to 2,000 characters
	Evidence jsontext.Value // array of texts or objects, see review.ReadEvidence; may be nil
	Once     Once
}

// Unsaid is the base of a submission that does not name it.
const Unsaid = -1

// OfVariant refuses a map that was made for one build: released, it would
// leave the board without the others.
func OfVariant(m *board.Map) error {
	if m.Variant == "" && m.Of == "" {
		return nil
	}
	at, which := "/variant", fmt.Sprintf("variant %q", m.Variant)
	if m.Variant == "" {
		at, which = "/of", "one variant"
	}
	return &fault.Error{Kind: fault.Invalid, Code: "map-refused", Detail: message.Of("store.map-refused"),
		Findings: []finding.Finding{{Code: "map-of-variant", Severity: finding.Stop, Pointer: at,
			Sentence: message.Of("store.map-of-variant", which)}}}
}

// Submit makes a proposal.
//
// Refusals: Unauthenticated token-needed; Malformed json-malformed; Invalid map-refused (findings point
// into the map), submission-invalid (findings point into the request) or
// no-difference; TooLarge document-too-large; NotFound board-unknown; Conflict
// board-exists or base-ahead; Invalid idempotency-key-reused.
func (s *Store) Submit(ctx context.Context, who Actor, in Submission) (Receipt, error) {
	if err := review.Allowed(review.Submit, who.Role, false, ""); err != nil {
		return Receipt{}, err
	}
	if err := s.Room(ctx, len(in.Map)); err != nil {
		return Receipt{}, err
	}
	doc, err := readMap(in.Map)
	if err != nil {
		return Receipt{}, err
	}
	came := doc.digest
	if err := s.atPresent(ctx, &in, &doc); err != nil {
		return Receipt{}, err
	}
	evidence, fs := review.ReadEvidence(in.Evidence)
	fs = append(fs, review.CheckSummary(in.Summary)...)
	if in.Board == "" {
		in.Board = doc.m.Board
	}
	if in.Board != doc.m.Board {
		fs = append(fs, invalid("/board", "store.board-of-map", in.Board, doc.m.Board))
	}
	told, err := s.settle(ctx, &in, doc.envelope, came)
	if err != nil {
		return Receipt{}, err
	}
	fs = append(fs, told...)
	if err := submissionFault(fs); err != nil {
		return Receipt{}, err
	}
	return s.perform(ctx, who, in.Once, func(a *act) (Receipt, event, error) {
		return s.submit(ctx, a, in, doc,
			evidence)
	})
}

// document is a map that passed.
type document struct {
	m         *board.Map
	canonical []byte
	digest    string
	findings  []finding.Finding // cautions and notes
	envelope  schema.Envelope   // that it came in, if it did
	pointer   string            // of the map in what came
}

// readMap reads a map as every door does.
func readMap(raw []byte) (document, error) {
	if len(raw) > board.MaxBytes {
		return document{}, fault.New(fault.TooLarge, "document-too-large",
			"store.map-large", len(raw), board.MaxBytes)
	}
	inner, envelope, prefix := schema.Unwrap(raw)
	m, fs := schema.ReadMap(inner)
	for i := range fs {
		fs[i].Pointer = prefix + fs[i].Pointer
	}
	if m == nil {
		return document{}, refusedDocument(fs, "map-refused", "store.map-refused")
	}
	if err := OfVariant(m); err != nil {
		return document{}, err
	}
	c, err := m.Canonical()
	if err != nil {
		return document{}, err
	}
	return document{m: m, canonical: c, digest: board.Digest(c), findings: fs, envelope: envelope, pointer: prefix}, nil
}

// refusedDocument is schema.Refusal in the store's words: what is no JSON at all
// stays Malformed json-malformed, the rest is Invalid under code.
func refusedDocument(fs []finding.Finding, code, key string) error {
	err := schema.Refusal(fs)
	if f, ok := fault.As(err); ok && f.Kind == fault.Invalid {
		f.Code, f.Detail = code, message.Of(key)
	}
	return err
}

func (s *Store) submit(ctx context.Context, a *act, in Submission, doc document, evidence []review.Evidence) (Receipt,
	event, error) {
	if err := review.Allowed(review.Submit, a.actor.Role, false, ""); err != nil {
		return Receipt{}, event{}, err
	}
	base, err := s.base(ctx, a, in.Board, in.Base)
	if err != nil {
		return Receipt{}, event{}, err
	}
	if err := ofThis(base, doc.envelope); err != nil {
		return Receipt{}, event{}, err
	}
	in.Base = max(in.Base, 0)
	if in.Once.Key == "" {
		if r, err := s.alike(ctx, a, in, doc, evidence); err != nil || r != nil {
			return orNothing(r), event{}, err
		}
	}
	if err := s.checkEvidence(ctx, a, evidence, doc.m, base); err != nil {
		return Receipt{}, event{}, err
	}
	if err := namePhotographs(ctx, a, doc.m, base, "/map"+doc.pointer); err != nil {
		return Receipt{}, event{}, err
	}
	p := &Proposal{Board: in.Board, Base: in.Base, State: review.Next(review.Submit), Author: a.actor.Name,
		AuthorID: a.actor.ID,
		Summary:  in.Summary, Version: 1, Digest: doc.digest, Title: column(doc.m.Name), Canonical: doc.canonical,
		Map: doc.m, Evidence: evidence}
	if err := differs(p, base); err != nil {
		return Receipt{}, event{}, err
	}
	if err := a.now(ctx); err != nil {
		return Receipt{}, event{}, err
	}
	if err := insertProposal(ctx, a, p); err != nil {
		return Receipt{}, event{}, err
	}
	r, err := s.receipt(ctx, a, p, doc.findings)
	return r, event{what: "submitted", board: p.Board, proposal: p.ID, version: 1,
		sentence: message.Of("event.submitted", "{who}", p.ID, p.Board, "{summary}")}, err
}

// alike finds an open submission of the same account that says the same: a
// request that came twice, without a key.
func (s *Store) alike(ctx context.Context, a *act, in Submission, doc document, evidence []review.Evidence) (*Receipt,
	error) {
	said, err := json.Marshal(evidence, json.Deterministic(true))
	if err != nil {
		return nil, err
	}
	var id int64
	b := new(pgx.Batch)
	b.Queue(`SELECT pg_advisory_xact_lock(hashtextextended($1, $2))`, doc.digest, a.actor.ID)
	b.Queue(`SELECT coalesce(max(id), 0) FROM proposals WHERE author = $1 AND board = $2 AND base = $3 AND digest = decode($4, 'hex')
		AND summary = $5 AND evidence = $6::jsonb AND state IN ('submitted', 'returned')`,
		a.actor.ID, in.Board, in.Base, doc.digest, in.Summary,
		string(said)).QueryRow(func(row pgx.Row) error { return row.Scan(&id) })
	if err := a.tx.SendBatch(ctx, b).Close(); err != nil || id == 0 {
		return nil, err
	}
	p, err := s.lock(ctx, a, id)
	if err != nil {
		return nil, err
	}
	r, err := s.receipt(ctx, a, p, doc.findings)
	r.Repeated = true
	return &r, err
}

func orNothing(r *Receipt) Receipt {
	if r == nil {
		return Receipt{}
	}
	return *r
}

// base finds the revision that a submission says it was made from; nil for a
// new board, whose row is made here.
func (s *Store) base(ctx context.Context, a *act, id string, n int) (*Revision, error) {
	var current int
	b := new(pgx.Batch)
	if n <= 0 {
		b.Queue(`INSERT INTO boards (id) VALUES ($1) ON CONFLICT ON CONSTRAINT boards_pkey DO NOTHING`, id)
	}
	b.Queue(`SELECT current FROM boards WHERE id = $1`,
		id).QueryRow(func(row pgx.Row) error { return row.Scan(&current) })
	err := a.tx.SendBatch(ctx, b).Close()
	switch {
	case noRows(err):
		return nil, missing("board-unknown", "store.base-first", id)
	case err != nil:
		return nil, err
	case n == Unsaid && current > 0:
		return nil, submissionFault([]finding.Finding{invalid("/base_revision",
			"store.base-unsaid", id, current)})
	case n <= 0 && current > 0:
		return nil, fault.New(fault.Conflict, "board-exists",
			"store.board-exists", id, current, current)
	case n <= 0:
		return nil, nil
	}
	base, err := s.revision(ctx, a.tx, cacheKey{id, n, ""})
	f, _ := fault.As(err)
	switch {
	case f != nil && f.Code == "revision-unknown":
		return nil, fault.New(fault.Conflict, "base-ahead",
			"store.base-ahead", id, n)
	case err != nil:
		return nil, err
	case base.Withdrawn != nil:
		return nil, baseWithdrawn(id, n, current)
	}
	return base, nil
}

func baseWithdrawn(id string, n, current int) error {
	wayOn := message.Of("store.base-withdrawn-new")
	if current > 0 {
		wayOn = message.Of("store.base-withdrawn-fetch", current)
	}
	return fault.New(fault.Conflict, "base-withdrawn", "store.base-withdrawn", n, id, wayOn)
}

// differs refuses a proposal that proposes nothing.
func differs(p *Proposal, base *Revision) error {
	if base == nil || base.Digest != p.Digest {
		return nil
	}
	return fault.New(fault.Invalid, "no-difference",
		"store.no-difference", base.Number, base.Board)
}

// checkEvidence looks for the positions and photographs that evidence names,
// and has the photographs kept from now on.
func (s *Store) checkEvidence(ctx context.Context, a *act, evidence []review.Evidence, m *board.Map,
	base *Revision) error {
	var before *board.Map
	if base != nil {
		before = base.Map
	}
	known := knows(m, before)
	var fs []finding.Finding
	photographs := 0
	for i, e := range evidence {
		photographs += len(e.Photographs)
		for j, d := range e.Designators {
			if !known(d) {
				fs = append(fs, invalid(fmt.Sprintf("/evidence/%d/designators/%d", i, j), "store.evidence-position", d))
			}
		}
		for j, sum := range e.Photographs {
			there, err := namePhotograph(ctx, a.tx, sum)
			if err != nil {
				return err
			}
			if !there {
				fs = append(fs, invalid(fmt.Sprintf("/evidence/%d/photographs/%d", i, j), "store.photograph-unknown",
					sum))
			}
		}
	}
	if photographs > maxProposalPhotographs {
		fs = append(fs, invalid("/evidence", "store.evidence-photographs", photographs, maxProposalPhotographs))
	}
	return submissionFault(fs)
}

func invalid(pointer, key string, values ...any) finding.Finding {
	return finding.Finding{Code: "request-invalid", Severity: finding.Stop, Pointer: pointer, Sentence: message.Of(key,
		values...)}
}

func submissionFault(fs []finding.Finding) error {
	if len(fs) == 0 {
		return nil
	}
	return &fault.Error{Kind: fault.Invalid, Code: "submission-invalid", Findings: fs,
		Detail: message.Of("store.submission-refused")}
}

func insertProposal(ctx context.Context, a *act, p *Proposal) error {
	evidence, err := json.Marshal(p.Evidence, json.Deterministic(true))
	if err != nil {
		return err
	}
	p.SubmittedAt, p.ChangedAt = a.at, a.at
	b := new(pgx.Batch)
	b.Queue(`
		WITH p AS (
			INSERT INTO proposals (board, base, state, author, summary, evidence, version, digest, title, submitted_at, changed_at)
			VALUES ($1, $2, $3, $4, $5, $6::jsonb, $7, decode($8, 'hex'), $9, $10, $10) RETURNING id),
		m AS (INSERT INTO proposal_maps (proposal, version, digest, document, at) SELECT id, $7, decode($8, 'hex'), $11, $10 FROM p)
		SELECT id FROM p`,
		p.Board, p.Base, p.State, p.AuthorID, p.Summary, string(evidence), p.Version, p.Digest, p.Title, a.at,
		p.Canonical).
		QueryRow(func(row pgx.Row) error { return row.Scan(&p.ID) })
	daily, open := queueSpend(b, a, mapsADay, len(p.Canonical)), queueOpen(b, a)
	if err := a.tx.SendBatch(ctx, b).Close(); err != nil {
		return err
	}
	if err := daily(); err != nil {
		return err
	}
	return open()
}

// receipt sums up a proposal after an act.
func (s *Store) receipt(ctx context.Context, a *act, p *Proposal, fs []finding.Finding) (Receipt, error) {
	f, err := s.forward(ctx, a.tx, p)
	if err != nil {
		return Receipt{}, err
	}
	return Receipt{Proposal: p.ID, Board: p.Board, State: p.State, Version: p.Version, Digest: p.Digest, At: a.at,
		Standing: f.standing(p), Findings: fs}, nil
}

// Amendment is the author's better map for a proposal.
type Amendment struct {
	Proposal int64
	Map      []byte // the document as it came, alone or as member map beside a new summary and evidence
	IfMatch  string // digest of the map that the author amends, or * for whichever it is
}

// Amend replaces a proposal's map, and with it its summary and evidence where they come along. Endorsements of the older map lapse, and
// the receipt names them; a returned proposal is submitted again. The same map
// again changes nothing.
//
// Refusals: Unauthenticated token-needed; NotFound proposal-unknown;
// NotAllowed not-the-author; Conflict proposal-closed; Unconditional
// if-match-needed; Stale proposal-changed; Malformed json-malformed; Invalid map-refused,
// submission-invalid or no-difference; TooLarge document-too-large.
func (s *Store) Amend(ctx context.Context, who Actor, in Amendment) (Receipt, error) {
	if who.Role == review.Anonymous {
		return Receipt{}, review.Allowed(review.Amend, who.Role, true, review.Submitted)
	}
	if err := s.Room(ctx, len(in.Map)); err != nil {
		return Receipt{}, err
	}
	doc, refused := readMap(in.Map) // told only to those who may amend
	r, err := s.perform(ctx, who, Once{}, func(a *act) (Receipt, event, error) {
		p, err := s.lock(ctx, a, in.Proposal)
		if err != nil {
			return Receipt{}, event{}, err
		}
		if err := judge(review.Amend, a, p, in.IfMatch); err != nil {
			return Receipt{}, event{}, err
		}
		if in.IfMatch == "" {
			return Receipt{}, event{}, fault.New(fault.Unconditional, "if-match-needed",
				"store.if-match-amend")
		}
		if refused != nil {
			return Receipt{}, event{}, refused
		}
		return s.amend(ctx, a, p, doc, in)
	})
	return r, fail(err, "amend proposal %d", in.Proposal)
}

func (s *Store) amend(ctx context.Context, a *act, p *Proposal, doc document, in Amendment) (Receipt, event, error) {
	if now, err := s.presentID(ctx, doc.m.Board); err == nil && now == p.Board && now != doc.m.Board {
		if err := doc.underNewID(now); err != nil {
			return Receipt{}, event{}, err
		}
	}
	if n := doc.envelope.Revision; n > 0 && n != p.Base {
		return Receipt{}, event{}, submissionFault([]finding.Finding{invalid("/revision",
			"store.amend-base", p.Base, n)})
	}
	if doc.m.Board != p.Board {
		return Receipt{}, event{}, submissionFault([]finding.Finding{invalid("/board",
			"store.amend-board", p.Board, doc.m.Board)})
	}
	retold, err := s.retell(ctx, a, p, doc, in)
	if err != nil {
		return Receipt{}, event{}, err
	}
	if doc.digest == p.Digest {
		return s.sameMap(ctx, a, p, doc, retold)
	}
	var base *Revision
	if p.Base > 0 {
		if base, err = s.revision(ctx, a.tx, cacheKey{p.Board, p.Base, ""}); err != nil {
			return Receipt{}, event{}, err
		}
		if err := differs(&Proposal{Digest: doc.digest}, base); err != nil {
			return Receipt{}, event{}, err
		}
	}
	if err := namePhotographs(ctx, a, doc.m, base, doc.pointer); err != nil {
		return Receipt{}, event{}, err
	}
	before := review.Stand(p.Reviews, p.Version, false).EndorsedBy
	p.Version, p.Digest, p.Canonical, p.Map, p.Title = p.Version+1, doc.digest, doc.canonical, doc.m, column(doc.m.Name)
	p.State = review.Next(review.Amend)
	if err := updateMap(ctx, a, p); err != nil {
		return Receipt{}, event{}, err
	}
	r, err := s.receipt(ctx, a, p, doc.findings)
	r.Lapsed = before
	return r, event{what: "amended", board: p.Board, proposal: p.ID, version: p.Version, sentence: amended(p)}, err
}

// retell takes what came beside the map: another summary, other evidence. It
// tells whether any of it is new.
func (s *Store) retell(ctx context.Context, a *act, p *Proposal, doc document, in Amendment) (bool, error) {
	var beside struct {
		Summary  *string        `json:"summary"`
		Evidence jsontext.Value `json:"evidence"`
		Map      jsontext.Value `json:"map"`
	}
	if json.Unmarshal(in.Map, &beside) != nil || beside.Map == nil || beside.Summary == nil && beside.Evidence == nil {
		return false, nil
	}
	summary, evidence := p.Summary, p.Evidence
	var fs []finding.Finding
	if beside.Summary != nil {
		summary = *beside.Summary
		fs = review.CheckSummary(summary)
	}
	if beside.Evidence != nil {
		var more []finding.Finding
		evidence, more = review.ReadEvidence(beside.Evidence)
		fs = append(fs, more...)
	}
	if err := submissionFault(fs); err != nil {
		return false, err
	}
	var base *Revision
	if p.Base > 0 {
		var err error
		if base, err = s.revision(ctx, a.tx, cacheKey{p.Board, p.Base, ""}); err != nil {
			return false, err
		}
	}
	if err := s.checkEvidence(ctx, a, evidence, doc.m, base); err != nil {
		return false, err
	}
	said, err := json.Marshal(evidence, json.Deterministic(true))
	if err != nil {
		return false, err
	}
	tag, err := a.tx.Exec(ctx, `UPDATE proposals SET summary = $2, evidence = $3::jsonb, changed_at = $4
		WHERE id = $1 AND (summary <> $2 OR evidence <> $3::jsonb)`, p.ID, summary, string(said), a.at)
	p.Summary, p.Evidence = summary, evidence
	return tag.RowsAffected() == 1, err
}

// sameMap answers an amendment that leaves the map as it is: what was endorsed
// still is.
func (s *Store) sameMap(ctx context.Context, a *act, p *Proposal, doc document, retold bool) (Receipt, event, error) {
	r, err := s.receipt(ctx, a, p, doc.findings)
	if retold {
		return r, event{what: "amended", board: p.Board, proposal: p.ID, version: p.Version,
			sentence: message.Of("event.amended-summary", "{who}", p.ID, p.Board)}, err
	}
	r.Findings = append(r.Findings, finding.Finding{Code: "amended-nothing", Severity: finding.Note,
		Sentence: message.Of("store.amended-nothing")})
	return r, event{}, err
}

func amended(p *Proposal) message.Message {
	return message.Of("event.amended", "{who}", p.ID, p.Board, p.Version)
}

func updateMap(ctx context.Context, a *act, p *Proposal) error {
	_, err := a.tx.Exec(ctx,
		`INSERT INTO proposal_maps (proposal, version, digest, document, at) VALUES ($1, $2, decode($3, 'hex'), $4, $5)`,
		p.ID, p.Version, p.Digest, p.Canonical, a.at)
	if err != nil {
		return err
	}
	if err := spend(ctx, a, mapsADay, len(p.Canonical)); err != nil {
		return err
	}
	_, err = a.tx.Exec(ctx,
		`UPDATE proposals SET version = $2, digest = decode($3, 'hex'), title = $4, state = $5, changed_at = $6 WHERE id = $1`,
		p.ID, p.Version, p.Digest, p.Title, p.State, a.at)
	return err
}
