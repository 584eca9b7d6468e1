-- +goose Up
-- Kits, records and what became of photographs leave in an export, too. A unit's
-- own mark stays here: what leaves is a hash of its number under this key, so that
-- whoever loads the records counts the same units and learns no mark.

CREATE TABLE unit_key (
    single boolean NOT NULL DEFAULT true CONSTRAINT unit_key_pkey PRIMARY KEY CONSTRAINT unit_key_single_check CHECK (single),
    key    bytea   NOT NULL CONSTRAINT unit_key_length_check CHECK (octet_length(key) = 32)
);
ALTER TABLE units ADD COLUMN hashed boolean NOT NULL DEFAULT false; -- mark is the hash that another registry made of its own

-- How far a mirror has read what stands beside the other's log.
ALTER TABLE mirror ADD COLUMN heard bigint NOT NULL DEFAULT 0;

-- An export goes by events; these are the ones that it tells of beside the log.
CREATE INDEX events_beside_idx ON events (id)
    WHERE what IN ('kit-kept', 'record-kept', 'record-withdrawn', 'photograph-withdrawn', 'photograph-erased');
CREATE INDEX records_kept_idx ON records (kept_at);
CREATE INDEX record_withdrawals_at_idx ON record_withdrawals (at);

-- A record that was made by a revision which was withdrawn before a mirror came
-- is here, and the revision is not: the acts hold a record to its revision.
ALTER TABLE records DROP CONSTRAINT records_revision_fkey;
ALTER TABLE records ADD CONSTRAINT records_board_fkey FOREIGN KEY (board) REFERENCES boards (id) ON UPDATE CASCADE;
