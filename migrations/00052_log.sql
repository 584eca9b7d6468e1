-- +goose Up
-- The public log: one entry for each release, withdrawal and move, in the order
-- of their events, written by the transaction that makes them. Hashes are those
-- of the Merkle tree (RFC 6962), under the positions that the library gives them.

CREATE TABLE log_entries (
    index  bigint CONSTRAINT log_entries_pkey PRIMARY KEY CONSTRAINT log_entries_index_check CHECK (index >= 0),
    event  bigint NOT NULL CONSTRAINT log_entries_event_key UNIQUE CONSTRAINT log_entries_event_fkey REFERENCES events (id),
    act    text   NOT NULL,
    board  text   NOT NULL,
    number int    NOT NULL,
    digest bytea  NOT NULL CONSTRAINT log_entries_digest_check CHECK (octet_length(digest) = 32),
    entry  bytea  NOT NULL
);
CREATE INDEX log_entries_board_idx ON log_entries (board, number);
CREATE TRIGGER log_entries_immutable BEFORE UPDATE OR DELETE OR TRUNCATE ON log_entries EXECUTE FUNCTION refuse_change();

CREATE TABLE log_hashes (
    position bigint CONSTRAINT log_hashes_pkey PRIMARY KEY CONSTRAINT log_hashes_position_check CHECK (position >= 0),
    hash     bytea  NOT NULL CONSTRAINT log_hashes_hash_check CHECK (octet_length(hash) = 32)
);
CREATE TRIGGER log_hashes_immutable BEFORE UPDATE OR DELETE OR TRUNCATE ON log_hashes EXECUTE FUNCTION refuse_change();

-- Who signs the checkpoints; the newest row does. A rotated key, and a log that
-- goes on from a backup under another name, is a new row whose note says so,
-- signed with the key before where that is still there.
CREATE TABLE log_identities (
    number int         GENERATED ALWAYS AS IDENTITY CONSTRAINT log_identities_pkey PRIMARY KEY,
    origin text        NOT NULL,
    key    text        NOT NULL, -- to verify with
    secret text        NOT NULL, -- to sign with
    since  timestamptz NOT NULL,
    note   text        NOT NULL DEFAULT ''
);
