package store

import (
	"context"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"strconv"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	serviced "boardlore/domain/record"
)

// besideRow is an event that an export tells of beside the log, with what it is about.
type besideRow struct {
	Event      int64
	What       string
	At         time.Time
	Board      string // by the ID that it had then
	Revision   int
	Kit        string
	Version    int
	Photograph string
	Kind       string // of a withdrawal
	Digest     string // as stored
	Document   []byte
	Unit       int64
	Hashed     bool
	KeptAt     *time.Time
}

// beside gives what stands beside the log, up to an event.
func (x *exporter) beside(ctx context.Context, until int64) (err error) {
	if x.key, err = x.s.unitKey(ctx); err != nil {
		return err
	}
	for after := x.f.AfterEvent; ; {
		some, err := x.s.besides(ctx, after, until, x.f.Boards)
		if err != nil {
			return fail(err, "export after event %d", after)
		}
		for i := range some {
			if err := x.one(ctx, &some[i]); err != nil || x.stopped {
				return err
			}
		}
		if len(some) == 0 {
			return nil
		}
		after = some[len(some)-1].Event
	}
}

// one gives one line, a record's photographs before it.
func (x *exporter) one(ctx context.Context, b *besideRow) error {
	e := Exported{Event: b.Event, At: b.At, Board: b.Board, Revision: b.Revision, Kit: b.Kit, Version: b.Version,
		Photograph: b.Photograph, Kind: b.Kind}
	switch b.What {
	case "kit-kept":
		e.Act, e.Document, e.Digest = kitLine, b.Document, b.Digest
	case "photograph-withdrawn":
		e.Act = photographGone
	case "photograph-erased":
		e.Act, e.Kind = photographErasure, illegal
	default:
		r, doc, err := leaving(b.Document, x.key, b.Unit, b.Hashed)
		if err != nil {
			return fail(err, "record of event %d", b.Event)
		}
		e.Digest, e.KeptAt = board.Digest(doc), *b.KeptAt
		if e.Act = recordGoneLine; b.What == "record-kept" {
			e.Act, e.Document, e.At = recordLine, doc, time.Time{}
			if err := x.photographs(ctx, r.Photographs); err != nil {
				return err
			}
		}
	}
	x.give(e)
	return nil
}

// leaving is a record as it leaves this registry: its unit is a keyed hash of
// the unit's number, which stays the same where the board moves. One that came
// from another registry has such a hash already.
func leaving(document, key []byte, unit int64, hashed bool) (*serviced.Record, []byte, error) {
	r := new(serviced.Record)
	if err := json.Unmarshal(document, r); err != nil || hashed {
		return r, document, err
	}
	mac := hmac.New(sha256.New, key)
	mac.Write(strconv.AppendInt([]byte("unit "), unit, 10))
	r.Unit = hex.EncodeToString(mac.Sum(nil))
	doc, err := canonicalRecord(r)
	return r, doc, err
}

// canonicalRecord is the RFC 8785 form of a record.
func canonicalRecord(r *serviced.Record) ([]byte, error) {
	b, err := json.Marshal(r)
	if err != nil {
		return nil, err
	}
	canonical := jsontext.Value(b)
	return canonical, canonical.Canonicalize()
}

// unitKey is the key that units are hashed with, made at the first export.
func (s *Store) unitKey(ctx context.Context) (key []byte, err error) {
	const read = `SELECT key FROM unit_key`
	if err = s.reads.QueryRow(ctx, read).Scan(&key); !noRows(err) {
		return key, fail(err, "key of units")
	}
	key = make([]byte, sha256.Size)
	rand.Read(key) // never fails
	if _, err := s.writes.Exec(ctx,
		`INSERT INTO unit_key (key) VALUES ($1) ON CONFLICT ON CONSTRAINT unit_key_pkey DO NOTHING`, key); err != nil {
		return nil, fail(err, "key of units")
	}
	return key, fail(s.reads.QueryRow(ctx, read).Scan(&key), "key of units")
}

// besides reads the next lines, at least one where there is one. A record and
// its event have their time in common, which is taken under the lock of the
// board's records. Records that are withdrawn have no line of their own.
func (s *Store) besides(ctx context.Context, after, until int64, boards []string) ([]besideRow, error) {
	rows, err := s.reads.Query(ctx, `
		WITH all_of AS (
			SELECT e.id, e.what, e.at, e.kit, e.version, e.photograph, e.board, k.record, octet_length(coalesce(r.document, v.document)) AS size
			FROM events e
			LEFT JOIN kit_versions v ON e.what = 'kit-kept' AND v.kit = e.kit AND v.version = e.version
			LEFT JOIN LATERAL (
				SELECT r.id AS record FROM records r WHERE e.what = 'record-kept' AND r.kept_at = e.at
				  AND NOT EXISTS (SELECT FROM record_withdrawals w WHERE w.record = r.id)
				UNION ALL SELECT w.record FROM record_withdrawals w WHERE e.what = 'record-withdrawn' AND w.at = e.at) AS k ON true
			LEFT JOIN records r ON r.id = k.record
			WHERE e.id > $1 AND e.id <= $2 AND e.what IN ('kit-kept', 'record-kept', 'record-withdrawn', 'photograph-withdrawn', 'photograph-erased')
			  AND CASE WHEN e.what IN ('record-kept', 'record-withdrawn') THEN r.board = e.board OR r.board = (SELECT moved_to FROM boards WHERE id = e.board)
			      ELSE true END
			  AND (cardinality($3::text[]) = 0 OR e.photograph IS NOT NULL
			       OR r.board = ANY ($3) OR (SELECT moved_to FROM boards WHERE id = r.board) = ANY ($3)
			       OR e.kit IN (SELECT id FROM kits WHERE boards && $3
			                    UNION ALL SELECT c.kit FROM record_kits c JOIN records x ON x.id = c.record WHERE x.board = ANY ($3)))
			ORDER BY e.id LIMIT $4),
		cut AS (SELECT *, coalesce(sum(size) OVER (ORDER BY id ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING), 0) AS before FROM all_of)
		SELECT c.id AS event, c.what, c.at, coalesce(c.board, '') AS board, coalesce(r.revision, 0) AS revision, coalesce(c.kit, '') AS kit,
		       CASE WHEN c.kit IS NULL THEN 0 ELSE c.version END AS version, coalesce(encode(c.photograph, 'hex'), '') AS photograph,
		       coalesce(rw.kind, pw.kind, '') AS kind, coalesce(encode(v.digest, 'hex'), '') AS digest, coalesce(r.document, v.document) AS document,
		       coalesce(r.unit, 0) AS unit, coalesce(u.hashed, false) AS hashed, r.kept_at AS kept_at
		FROM cut c
		LEFT JOIN kit_versions v ON c.what = 'kit-kept' AND v.kit = c.kit AND v.version = c.version
		LEFT JOIN records r ON r.id = c.record LEFT JOIN units u ON u.id = r.unit
		LEFT JOIN record_withdrawals rw ON rw.record = r.id AND c.what = 'record-withdrawn'
		LEFT JOIN withdrawals pw ON pw.photograph = c.photograph AND pw.at = c.at AND c.what = 'photograph-withdrawn'
		WHERE c.before < $5 ORDER BY c.id`, after, until, boards, exportRows, exportBytes)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowToStructByName[besideRow])
}
