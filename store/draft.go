package store

import (
	"context"
	"fmt"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/review"
)

// Draft is one version of an unfinished map. It is held to be a JSON object
// and to nothing else, so that nothing is lost of what is not right yet.
type Draft struct {
	ID       string
	Version  int // 1 …
	Digest   string
	Title    string // name and board as far as the document has them
	Bytes    int
	SavedAt  time.Time
	Shared   bool   // there is a link to it
	Document []byte // as it came, so that no figure of it is rounded; lists leave it out
}

// DraftPut is a draft on its way in.
type DraftPut struct {
	Draft       string // ID
	Document    []byte
	IfMatch     string // digest of the version that is to be followed, or *; empty for no matter
	IfNoneMatch bool   // only where there is no such draft yet
}

// What an account may keep of drafts.
const (
	maxDrafts        = 50
	maxDraftVersions = 20 // of each; older ones go
	maxDraftBytes    = 128 << 20
)

// PutDraft saves a draft, or its next version; created tells that it is new.
// What is saved already changes nothing.
//
// Refusals: Unauthenticated token-needed; Malformed json-malformed; TooLarge
// document-too-large; Invalid draft-refused; Stale draft-changed; Conflict
// draft-quota.
func (s *Store) PutDraft(ctx context.Context, who Actor, in DraftPut) (d *Draft, created bool, err error) {
	if d, err = readDraft(in); err != nil {
		return nil, false, err
	}
	if err := s.Room(ctx, d.Bytes); err != nil {
		return nil, false, err
	}
	err = s.draftAct(ctx, who, func(a *act) error {
		created, err = putDraft(ctx, a, in, d)
		return err
	})
	if err != nil {
		return nil, false, fmt.Errorf("save draft %q: %w", in.Draft, err)
	}
	return d, created, nil
}

// draftAct runs an act on drafts of the caller's own, whose row is locked so
// that two acts at once don't both fit into what is left.
func (s *Store) draftAct(ctx context.Context, who Actor, do func(*act) error) error {
	if who.Role == review.Anonymous {
		return fault.New(fault.Unauthenticated, "token-needed", "store.draft-token")
	}
	return s.write(ctx, func(tx pgx.Tx) error {
		a := &act{tx: tx}
		var err error
		if a.actor, err = present(ctx, tx, who); err != nil {
			return err
		}
		if _, err := tx.Exec(ctx, `SELECT FROM accounts WHERE id = $1 FOR NO KEY UPDATE`, a.actor.ID); err != nil {
			return err
		}
		return do(a)
	})
}

func readDraft(in DraftPut) (*Draft, error) {
	if len(in.Document) > board.MaxBytes {
		return nil, fault.New(fault.TooLarge, "document-too-large",
			"store.draft-large", len(in.Document), board.MaxBytes)
	}
	var named struct {
		Board any `json:"board"`
		Name  any `json:"name"`
	}
	doc := jsontext.Value(in.Document)
	if !doc.IsValid() || doc.Kind() != '{' || json.Unmarshal(doc, &named) != nil {
		return nil, fault.New(fault.Malformed, "json-malformed", "store.draft-form")
	}
	return &Draft{ID: in.Draft, Digest: board.Digest(doc), Title: draftTitle(named.Name, named.Board), Bytes: len(doc),
		Document: doc}, nil
}

// draftTitle is what a list calls a draft.
func draftTitle(name, board any) string {
	const longest = 200 // characters
	n, _ := name.(string)
	b, _ := board.(string)
	title := []rune(column(n))
	if len(title) == 0 {
		title = []rune(column(b))
	}
	return string(title[:min(len(title), longest)])
}

func putDraft(ctx context.Context, a *act, in DraftPut, d *Draft) (created bool, err error) {
	var number int64
	var digest string
	err = a.tx.QueryRow(ctx, `SELECT d.number, d.version, d.shared IS NOT NULL, encode(v.digest, 'hex'), v.saved_at
		FROM drafts d JOIN draft_versions v ON v.draft = d.number AND v.version = d.version WHERE d.owner = $1 AND d.id = $2`,
		a.actor.ID, in.Draft).Scan(&number, &d.Version, &d.Shared, &digest, &d.SavedAt)
	if created = noRows(err); err != nil && !created {
		return false, err
	}
	if err := admitDraft(in, digest, created); err != nil {
		return false, err
	}
	if digest == d.Digest {
		return false, nil
	}
	if err := draftQuota(ctx, a, created, d.Bytes); err != nil {
		return false, err
	}
	if created {
		err = a.tx.QueryRow(ctx, `INSERT INTO drafts (owner, id, version) VALUES ($1, $2, 1) RETURNING number`,
			a.actor.ID, in.Draft).Scan(&number)
		if err != nil {
			return false, err
		}
	}
	return created, addDraftVersion(ctx, a, number, d)
}

// admitDraft judges whether the version that is kept is the one that the caller
// saw: two windows on one draft are told apart by it.
func admitDraft(in DraftPut, digest string, created bool) error {
	switch {
	case created && in.IfMatch != "":
		return fault.New(fault.Stale, "draft-changed", "store.draft-to-follow", in.Draft)
	case !created && in.IfNoneMatch:
		return fault.New(fault.Stale, "draft-changed", "store.draft-exists", in.Draft)
	case !created && in.IfMatch != "" && in.IfMatch != "*" && in.IfMatch != digest:
		return fault.New(fault.Stale, "draft-changed",
			"store.draft-saved-elsewhere", in.Draft)
	}
	return nil
}

// draftQuota holds an account to what it may keep.
func draftQuota(ctx context.Context, a *act, created bool, size int) error {
	var count, bytes int
	err := a.tx.QueryRow(ctx, `SELECT count(DISTINCT d.number), coalesce(sum(octet_length(v.document)), 0)
		FROM drafts d JOIN draft_versions v ON v.draft = d.number WHERE d.owner = $1`, a.actor.ID).Scan(&count, &bytes)
	if err != nil || (!created || count < maxDrafts) && bytes+size <= maxDraftBytes {
		return err
	}
	return fault.New(fault.Conflict, "draft-quota", "store.draft-quota", count, bytes>>20, maxDrafts, maxDraftBytes>>20)
}

func addDraftVersion(ctx context.Context, a *act, number int64, d *Draft) error {
	if err := a.now(ctx); err != nil {
		return err
	}
	d.Version, d.SavedAt = d.Version+1, a.at
	_, err := a.tx.Exec(ctx,
		`INSERT INTO draft_versions (draft, version, digest, title, document, saved_at) VALUES ($1, $2, decode($3, 'hex'), $4, $5, $6)`,
		number, d.Version, d.Digest, d.Title, d.Document, d.SavedAt)
	if err != nil {
		return err
	}
	if _, err := a.tx.Exec(ctx, `UPDATE drafts SET version = $2 WHERE number = $1`, number, d.Version); err != nil {
		return err
	}
	_, err = a.tx.Exec(ctx, `DELETE FROM draft_versions WHERE draft = $1 AND version <= $2`, number,
		d.Version-maxDraftVersions)
	return err
}

const draftColumns = `d.id, v.version, encode(v.digest, 'hex'), v.title, octet_length(v.document), v.saved_at, d.shared IS NOT NULL`

func (d *Draft) columns() []any {
	return []any{&d.ID, &d.Version, &d.Digest, &d.Title, &d.Bytes, &d.SavedAt, &d.Shared}
}

// Draft gets a version of one of the caller's drafts, the newest for version 0.
// NotFound draft-unknown.
func (s *Store) Draft(ctx context.Context, who Actor, id string, version int) (*Draft, error) {
	return s.draft(ctx, `d.owner = $1 AND d.id = $2 AND v.version = CASE WHEN $3 = 0 THEN d.version ELSE $3 END`,
		who.ID, id, version)
}

// SharedDraft gets the newest version of the draft that a link leads to.
// NotFound draft-unknown.
func (s *Store) SharedDraft(ctx context.Context, secret string) (*Draft, error) {
	return s.draft(ctx, `d.shared = $1 AND v.version = d.version`, hashToken(secret))
}

func (s *Store) draft(ctx context.Context, where string, args ...any) (*Draft, error) {
	var d Draft
	err := s.reads.QueryRow(ctx, `SELECT `+draftColumns+
		`, v.document FROM drafts d JOIN draft_versions v ON v.draft = d.number WHERE `+where, args...).
		Scan(append(d.columns(), &d.Document)...)
	if noRows(err) {
		return nil, missing("draft-unknown", "store.draft-none")
	}
	if err != nil {
		return nil, fail(err, "draft")
	}
	if board.Digest(d.Document) != d.Digest {
		return nil, fmt.Errorf("draft %s: %w", d.ID, ErrDamaged)
	}
	return &d, nil
}

// Drafts lists the caller's drafts, the newest first.
func (s *Store) Drafts(ctx context.Context, who Actor) ([]Draft, error) {
	return s.draftList(ctx, `d.owner = $1 AND v.version = d.version`, who.ID)
}

// DraftVersions lists the versions of one of the caller's drafts, the newest
// first. NotFound draft-unknown.
func (s *Store) DraftVersions(ctx context.Context, who Actor, id string) ([]Draft, error) {
	out, err := s.draftList(ctx, `d.owner = $1 AND d.id = $2`, who.ID, id)
	if err == nil && len(out) == 0 {
		return nil, missing("draft-unknown", "store.draft-unknown", id)
	}
	return out, err
}

func (s *Store) draftList(ctx context.Context, where string, args ...any) ([]Draft, error) {
	rows, err := s.reads.Query(ctx, `SELECT `+draftColumns+` FROM drafts d JOIN draft_versions v ON v.draft = d.number
		WHERE `+where+` ORDER BY v.saved_at DESC, v.version DESC, d.id`, args...)
	if err != nil {
		return nil, fail(err, "list drafts")
	}
	out, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (Draft, error) {
		var d Draft
		return d, row.Scan(d.columns()...)
	})
	return out, fail(err, "list drafts")
}

// DeleteDraft takes a draft of the caller's away, with all its versions and
// its link. NotFound draft-unknown.
func (s *Store) DeleteDraft(ctx context.Context, who Actor, id string) error {
	return fail(s.oneDraft(ctx, who, id, `DELETE FROM drafts WHERE owner = $1 AND id = $2`), "delete draft %q", id)
}

// ShareDraft makes a link to a draft, by which anyone reads its newest version;
// an earlier link ends. NotFound draft-unknown.
func (s *Store) ShareDraft(ctx context.Context, who Actor, id string) (secret string, err error) {
	secret, hash := newToken()
	err = s.oneDraft(ctx, who, id, `UPDATE drafts SET shared = $3 WHERE owner = $1 AND id = $2`, hash)
	return secret, fail(err, "share draft %q", id)
}

// UnshareDraft ends the link to a draft. NotFound draft-unknown.
func (s *Store) UnshareDraft(ctx context.Context, who Actor, id string) error {
	return fail(s.oneDraft(ctx, who, id, `UPDATE drafts SET shared = NULL WHERE owner = $1 AND id = $2`),
		"end the link to draft %q", id)
}

// oneDraft changes one of the caller's drafts.
func (s *Store) oneDraft(ctx context.Context, who Actor, id, sql string, args ...any) error {
	return s.draftAct(ctx, who, func(a *act) error {
		tag, err := a.tx.Exec(ctx, sql, append([]any{a.actor.ID, id}, args...)...)
		if err == nil && tag.RowsAffected() == 0 {
			return missing("draft-unknown", "store.draft-unknown", id)
		}
		return err
	})
}
