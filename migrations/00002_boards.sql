-- +goose Up
-- A board row comes with the first proposal for it (current = 0) and is what a
-- release locks. The columns from digest on describe the current revision, for
-- lists and searches; the document itself is in revisions only.

CREATE TABLE boards (
    id          text        CONSTRAINT boards_pkey PRIMARY KEY
                            CONSTRAINT boards_id_check CHECK (id ~ '^[a-z0-9]+(-[a-z0-9]+)*$' AND length(id) <= 64),
    current     int         NOT NULL DEFAULT 0 CONSTRAINT boards_current_check CHECK (current >= 0),
    digest      bytea       CONSTRAINT boards_digest_check CHECK (octet_length(digest) = 32),
    released_at timestamptz,
    name        text        NOT NULL DEFAULT '',
    summary     json        NOT NULL DEFAULT '{}', -- equipment, markings, variants and counts, ready to be listed
    maker_key   text        NOT NULL DEFAULT '',   -- folded: lower case, no accents
    kind_key    text        NOT NULL DEFAULT '',   -- folded
    marks       text[]      NOT NULL DEFAULT '{}', -- markings, folded to letters and digits
    words       tsvector    NOT NULL DEFAULT '',   -- folded words of the ID, equipment, name and markings
    CONSTRAINT boards_released_check CHECK ((current > 0) = (digest IS NOT NULL AND released_at IS NOT NULL))
);
CREATE INDEX boards_maker_idx ON boards (maker_key, id);
CREATE INDEX boards_kind_idx ON boards (kind_key, id);
CREATE INDEX boards_marks_idx ON boards USING gin (marks);
CREATE INDEX boards_words_idx ON boards USING gin (words);

-- What the current map of each board wants to be fitted at service: how many
-- positions (count) want a part of one class and value (key). It narrows a
-- kit's search for boards down to the few worth an exact reconciliation.
CREATE TABLE wants (
    board text NOT NULL CONSTRAINT wants_board_fkey REFERENCES boards (id),
    key   text NOT NULL,
    count int  NOT NULL CONSTRAINT wants_count_check CHECK (count > 0),
    CONSTRAINT wants_pkey PRIMARY KEY (board, key)
);
CREATE INDEX wants_key_idx ON wants (key) INCLUDE (board, count);
