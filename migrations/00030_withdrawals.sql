-- +goose Up
-- What a steward took out of use: a revision or a photograph, with the reason
-- that readers are told. The newest row of a thing counts. Nothing is deleted;
-- the reason can be, where the law wants that, since no event holds it.

CREATE TABLE withdrawals (
    id         bigint      GENERATED ALWAYS AS IDENTITY CONSTRAINT withdrawals_pkey PRIMARY KEY,
    board      text,
    revision   int,
    photograph bytea       CONSTRAINT withdrawals_photograph_fkey REFERENCES photographs (sha256),
    kind       text        NOT NULL CONSTRAINT withdrawals_kind_check CHECK (kind IN ('dangerous', 'illegal', 'mistaken')),
    reason     text        NOT NULL,
    by         bigint      CONSTRAINT withdrawals_by_fkey REFERENCES accounts (id), -- null: the operator, at the command line
    at         timestamptz NOT NULL,
    CONSTRAINT withdrawals_revision_fkey FOREIGN KEY (board, revision) REFERENCES revisions (board, number) ON UPDATE CASCADE,
    CONSTRAINT withdrawals_one_check CHECK ((board IS NULL) = (revision IS NULL) AND num_nonnulls(revision, photograph) = 1)
);
CREATE INDEX withdrawals_revision_idx ON withdrawals (board, revision, id) WHERE revision IS NOT NULL;
CREATE INDEX withdrawals_photograph_idx ON withdrawals (photograph, id) WHERE photograph IS NOT NULL;

-- Numbers go on after the newest released one, withdrawn or not, so the
-- revision that a release follows need not be the number before its own.
-- Null in rows from before: there it is.
ALTER TABLE revisions ADD COLUMN follows int CONSTRAINT revisions_follows_check CHECK (follows >= 0 AND follows < number);

-- The kinds of event are rows, so that a step that brings another one adds to
-- them and does not have to know the rest.
CREATE TABLE event_kinds (what text CONSTRAINT event_kinds_pkey PRIMARY KEY);
INSERT INTO event_kinds SELECT DISTINCT (regexp_matches(pg_get_constraintdef(oid), '''([a-z-]+)''', 'g'))[1]
    FROM pg_constraint WHERE conname = 'events_what_check';
INSERT INTO event_kinds VALUES ('revision-withdrawn'), ('photograph-withdrawn');
ALTER TABLE events DROP CONSTRAINT events_what_check;
ALTER TABLE events ADD CONSTRAINT events_what_fkey FOREIGN KEY (what) REFERENCES event_kinds (what);
