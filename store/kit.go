package store

import (
	"context"
	"fmt"
	"strconv"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/kit"
	"boardlore/domain/message"
	"boardlore/domain/review"
	"boardlore/schema"
)

// Kit is one version of a kept kit. Lists leave out Canonical, Kit and Findings.
type Kit struct {
	ID        string
	Title     string
	Version   int // 1 …
	Digest    string
	Canonical []byte // RFC 8785 form of Kit
	Kit       *kit.Kit
	Owner     string // who kept the first version
	KeptBy    string
	KeptAt    time.Time
	Findings  []finding.Finding // by PutKit: cautions and notes

	boards []string // by PutKit: that it is for, by their present IDs
}

// KitPut is a kit on its way in.
type KitPut struct {
	Kit         string // ID; the document may leave it out
	Document    []byte
	IfMatch     string // digest of the version that is to be replaced, or * for whichever there is; empty for no matter
	IfNoneMatch bool   // only where there is no such kit yet
}

// KitFilter says which kits are wanted.
type KitFilter struct {
	Board string // that say they are for this board
	Page  Page
}

// PutKit keeps a kit, or a new version of it; created tells that the kit is
// new. The version that is kept already changes nothing.
//
// Refusals: Unauthenticated token-needed; Malformed json-malformed; Invalid
// kit-refused with findings that point into the kit; TooLarge document-too-large; NotAllowed kit-not-yours;
// Stale kit-changed.
func (s *Store) PutKit(ctx context.Context, who Actor, in KitPut) (k *Kit, created bool, err error) {
	if who.Role == review.Anonymous {
		return nil, false, fault.New(fault.Unauthenticated, "token-needed", "store.kit-token")
	}
	if err := s.Room(ctx, len(in.Document)); err != nil {
		return nil, false, err
	}
	k, err = readKit(in)
	if err != nil {
		return nil, false, err
	}
	if k.boards, err = s.forBoards(ctx, k.Kit); err != nil {
		return nil, false, err
	}
	err = s.write(ctx, func(tx pgx.Tx) error {
		a := &act{tx: tx}
		if a.actor, err = present(ctx, tx, who); err != nil {
			return err
		}
		created, err = putKit(ctx, a, in, k)
		return err
	})
	if err != nil {
		return nil, false, fmt.Errorf("keep kit %q: %w", in.Kit, err)
	}
	return k, created, nil
}

// readKit reads a kit as every door does.
func readKit(in KitPut) (*Kit, error) {
	if len(in.Document) > board.MaxBytes {
		return nil, fault.New(fault.TooLarge, "document-too-large",
			"store.kit-large", len(in.Document), board.MaxBytes)
	}
	doc, fs := schema.ReadKit(in.Document)
	if doc != nil && doc.ID == "" {
		named, more, err := withID(doc, in.Kit)
		if err != nil {
			return nil, err
		}
		doc, fs = named, append(fs, more...)
	}
	if doc != nil && doc.ID != in.Kit {
		fs = append(fs, invalid("/kit", "store.kit-address", in.Kit, doc.ID))
	}
	if finding.Worst(fs) == finding.Stop || doc == nil {
		return nil, refusedDocument(fs, "kit-refused", "store.kit-refused")
	}
	b, err := json.Marshal(doc)
	if err != nil {
		return nil, err
	}
	canonical := jsontext.Value(b)
	if err := canonical.Canonicalize(); err != nil {
		return nil, err
	}
	return &Kit{ID: doc.ID, Title: column(doc.Title), Canonical: canonical, Digest: board.Digest(canonical), Kit: doc,
		Findings: fs}, nil
}

// withID gives a kit its ID and reads it again with that.
func withID(k *kit.Kit, id string) (*kit.Kit, []finding.Finding, error) {
	k.ID = id
	b, err := json.Marshal(k)
	if err != nil {
		return nil, nil, err
	}
	k, fs := schema.ReadKit(b)
	return k, fs, nil
}

// putKit makes the kit's row if it is new, locks it, and adds the version. It
// completes k.
func putKit(ctx context.Context, a *act, in KitPut, k *Kit) (created bool, err error) {
	tag, err := a.tx.Exec(ctx, `INSERT INTO kits (id, owner, version, digest, title, boards) VALUES ($1, $2, 1, decode($3, 'hex'), $4, $5)
		ON CONFLICT ON CONSTRAINT kits_pkey DO NOTHING`, k.ID, a.actor.ID, k.Digest, k.Title, k.boards)
	if err != nil {
		return false, err
	}
	created = tag.RowsAffected() == 1
	if _, err := a.tx.Exec(ctx, `SELECT FROM kits WHERE id = $1 FOR NO KEY UPDATE`, k.ID); err != nil {
		return false, err
	}
	var owner int64
	var digest string
	err = a.tx.QueryRow(ctx,
		`SELECT k.owner, a.name, k.version, encode(k.digest, 'hex') FROM kits k JOIN accounts a ON a.id = k.owner WHERE k.id = $1`,
		k.ID).Scan(&owner, &k.Owner, &k.Version, &digest)
	if err != nil {
		return false, err
	}
	if err := admit(a, in, k, owner, digest, created); err != nil {
		return false, err
	}
	if !created && digest == k.Digest {
		return false, a.tx.QueryRow(ctx,
			`SELECT a.name, v.kept_at FROM kit_versions v JOIN accounts a ON a.id = v.kept_by WHERE v.kit = $1 AND v.version = $2`,
			k.ID, k.Version).Scan(&k.KeptBy, &k.KeptAt)
	}
	if !created {
		k.Version++
	}
	if err := spend(ctx, a, kitsADay, len(k.Canonical)); err != nil {
		return false, err
	}
	return created, addVersion(ctx, a, k)
}

// admit judges whether the kit may be replaced.
func admit(a *act, in KitPut, k *Kit, owner int64, digest string, created bool) error {
	switch {
	case created && in.IfMatch != "":
		return fault.New(fault.Stale, "kit-changed", "store.kit-to-replace", k.ID)
	case created:
		return nil
	case a.actor.ID != owner && !a.actor.Role.AtLeast(review.Reviewer):
		return fault.New(fault.NotAllowed, "kit-not-yours", "store.kit-of-another", k.ID, k.Owner)
	case in.IfNoneMatch:
		return fault.New(fault.Stale, "kit-changed", "store.kit-exists", k.ID)
	case in.IfMatch != "" && in.IfMatch != "*" && in.IfMatch != digest:
		return fault.New(fault.Stale, "kit-changed", "store.kit-changed", k.ID)
	}
	return nil
}

// addVersion writes a version with its event.
func addVersion(ctx context.Context, a *act, k *Kit) error {
	if err := a.now(ctx); err != nil {
		return err
	}
	k.KeptBy, k.KeptAt = a.actor.Name, a.at
	_, err := a.tx.Exec(ctx, `INSERT INTO kit_versions (kit, version, digest, title, document, kept_by, kept_at)
		VALUES ($1, $2, decode($3, 'hex'), $4, $5, $6, $7)`, k.ID, k.Version, k.Digest, k.Title, k.Canonical,
		a.actor.ID, a.at)
	if err != nil {
		return err
	}
	_, err = a.tx.Exec(ctx,
		`UPDATE kits SET version = $2, digest = decode($3, 'hex'), title = $4, boards = $5 WHERE id = $1`,
		k.ID, k.Version, k.Digest, k.Title, k.boards)
	if err != nil {
		return err
	}
	_, err = record(ctx, a.tx, event{at: a.at, who: a.actor.ID, what: "kit-kept", kit: k.ID, version: k.Version,
		sentence: message.Of("event.kit-kept", "{who}", k.Version, k.ID, "{title}")})
	return err
}

// forBoards are the boards that a kit names, by the IDs that they have now.
func (s *Store) forBoards(ctx context.Context, k *kit.Kit) ([]string, error) {
	out := []string{} // none, not unknown ones
	for _, id := range k.For {
		now, err := s.presentID(ctx, id)
		if err != nil {
			return nil, err
		}
		out = append(out, now)
	}
	return out, nil
}

const kitColumns = `v.kit, v.title, v.version, encode(v.digest, 'hex'), o.name, b.name, v.kept_at`

const kitTables = `kit_versions v JOIN kits k ON k.id = v.kit JOIN accounts o ON o.id = k.owner JOIN accounts b ON b.id = v.kept_by`

func (k *Kit) columns() []any {
	return []any{&k.ID, &k.Title, &k.Version, &k.Digest, &k.Owner, &k.KeptBy, &k.KeptAt}
}

func scanKit(row pgx.CollectableRow) (Kit, error) {
	var k Kit
	return k, row.Scan(k.columns()...)
}

// Kit gets a version of a kit, the newest for version 0. NotFound kit-unknown.
func (s *Store) Kit(ctx context.Context, id string, version int) (*Kit, error) {
	var k Kit
	err := s.reads.QueryRow(ctx, `SELECT `+kitColumns+`, v.document FROM `+kitTables+`
		WHERE v.kit = $1 AND v.version = CASE WHEN $2 = 0 THEN k.version ELSE $2 END`, id,
		version).Scan(append(k.columns(), &k.Canonical)...)
	if noRows(err) {
		return nil, missing("kit-unknown", "store.kit-version-unknown", id)
	}
	if err != nil {
		return nil, fail(err, "kit %s", id)
	}
	return &k, k.open()
}

// open reads the stored document, which has to be the one that was stored.
func (k *Kit) open() error {
	if board.Digest(k.Canonical) != k.Digest {
		return fmt.Errorf("version %d of kit %s: %w", k.Version, k.ID, ErrDamaged)
	}
	k.Kit = new(kit.Kit)
	if err := json.Unmarshal(k.Canonical, k.Kit); err != nil {
		return fmt.Errorf("version %d of kit %s: %w", k.Version, k.ID, err)
	}
	return nil
}

// Kits lists the kept kits by ID, each with its newest version.
func (s *Store) Kits(ctx context.Context, f KitFilter) (List[Kit], error) {
	after, err := f.Page.key()
	if err != nil {
		return List[Kit]{}, err
	}
	if f.Board, err = s.presentID(ctx, f.Board); err != nil {
		return List[Kit]{}, err
	}
	rows, err := s.replica.Query(ctx, `SELECT `+kitColumns+` FROM `+kitTables+`
		WHERE v.version = k.version AND k.id > $1 AND ($2 = '' OR k.boards @> ARRAY[$2]) ORDER BY k.id LIMIT $3`, after,
		f.Board, f.Page.limit()+1)
	if err != nil {
		return List[Kit]{}, fail(err, "list kits")
	}
	out, err := pgx.CollectRows(rows, scanKit)
	if err != nil {
		return List[Kit]{}, fail(err, "list kits")
	}
	return page(out, f.Page.limit(), func(k *Kit) string { return k.ID }), nil
}

// KitVersions lists the versions of a kit, newest first. NotFound kit-unknown.
func (s *Store) KitVersions(ctx context.Context, id string, p Page) (List[Kit], error) {
	after, err := p.number(0)
	if err != nil {
		return List[Kit]{}, err
	}
	rows, err := s.reads.Query(ctx, `SELECT `+kitColumns+` FROM `+kitTables+`
		WHERE v.kit = $1 AND ($2::bigint = 0 OR v.version < $2) ORDER BY v.version DESC LIMIT $3`, id, after, p.limit()+
		1)
	if err != nil {
		return List[Kit]{}, fail(err, "versions of kit %s", id)
	}
	out, err := pgx.CollectRows(rows, scanKit)
	if err != nil {
		return List[Kit]{}, fail(err, "versions of kit %s", id)
	}
	if len(out) == 0 && p.After == "" {
		return List[Kit]{}, missing("kit-unknown", "store.kit-unknown", id)
	}
	return page(out, p.limit(), func(k *Kit) string { return strconv.Itoa(k.Version) }), nil
}
