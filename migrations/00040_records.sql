-- +goose Up
-- Records of serviced units, and what they amount to. The documents are the
-- truth; units, latest words and symptoms are kept beside them so that what ten
-- thousand records amount to is counted from rows of one line each.

-- Whose units they are; mark is the submitter's own and shown to nobody else.
CREATE TABLE units (
    id      bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT units_pkey PRIMARY KEY,
    board   text   NOT NULL CONSTRAINT units_board_fkey REFERENCES boards (id) ON UPDATE CASCADE,
    account bigint NOT NULL CONSTRAINT units_account_fkey REFERENCES accounts (id),
    mark    text   NOT NULL,
    CONSTRAINT units_mark_key UNIQUE (board, account, mark)
);

CREATE TABLE records (
    id          bigint      GENERATED ALWAYS AS IDENTITY CONSTRAINT records_pkey PRIMARY KEY,
    board       text        NOT NULL,
    revision    int         NOT NULL,
    build       text        NOT NULL, -- base, or a variant
    unit        bigint      NOT NULL CONSTRAINT records_unit_fkey REFERENCES units (id),
    account     bigint      NOT NULL CONSTRAINT records_account_fkey REFERENCES accounts (id),
    serviced_on date        NOT NULL,
    outcome     text        NOT NULL,
    positions   int         NOT NULL,
    failed      int         NOT NULL, -- of the positions
    digest      bytea       NOT NULL CONSTRAINT records_digest_check CHECK (octet_length(digest) = 32),
    document    bytea       NOT NULL, -- RFC 8785 form, with the private mark
    kept_at     timestamptz NOT NULL,
    CONSTRAINT records_revision_fkey FOREIGN KEY (board, revision) REFERENCES revisions (board, number) ON UPDATE CASCADE
);
CREATE INDEX records_board_idx ON records (board, id);
CREATE INDEX records_account_idx ON records (account, id);
CREATE INDEX records_unit_idx ON records (unit, id);
CREATE TRIGGER records_immutable BEFORE UPDATE OR DELETE OR TRUNCATE ON records EXECUTE FUNCTION refuse_change();

-- Records taken out of use by their author or a steward.
CREATE TABLE record_withdrawals (
    record bigint      CONSTRAINT record_withdrawals_pkey PRIMARY KEY
                       CONSTRAINT record_withdrawals_record_fkey REFERENCES records (id),
    kind   text        NOT NULL CONSTRAINT record_withdrawals_kind_check CHECK (kind IN ('dangerous', 'illegal', 'mistaken')),
    reason text        NOT NULL,
    by     bigint      NOT NULL CONSTRAINT record_withdrawals_by_fkey REFERENCES accounts (id),
    at     timestamptz NOT NULL
);

-- What each record says of each position.
CREATE TABLE record_positions (
    record     bigint  NOT NULL CONSTRAINT record_positions_record_fkey REFERENCES records (id),
    designator text    NOT NULL,
    found      text    NOT NULL,
    failed     boolean NOT NULL,
    mapped     boolean NOT NULL, -- measured or fitted as the map says
    CONSTRAINT record_positions_pkey PRIMARY KEY (record, designator)
);

-- The latest word of each unit on each position, over all builds (build '')
-- and within the build that the record names.
CREATE TABLE latest_positions (
    board       text    NOT NULL CONSTRAINT latest_positions_board_fkey REFERENCES boards (id) ON UPDATE CASCADE,
    build       text    NOT NULL,
    designator  text    NOT NULL,
    unit        bigint  NOT NULL CONSTRAINT latest_positions_unit_fkey REFERENCES units (id),
    found       text    NOT NULL,
    failed      boolean NOT NULL,
    mapped      boolean NOT NULL,
    serviced_on date    NOT NULL,
    record      bigint  NOT NULL,
    CONSTRAINT latest_positions_pkey PRIMARY KEY (board, build, designator, unit) INCLUDE (found, failed, mapped)
);
CREATE INDEX latest_positions_unit_idx ON latest_positions (unit);
CREATE INDEX latest_positions_failed_idx ON latest_positions (board, build, designator, unit) WHERE failed;

-- The latest record of each unit, likewise.
CREATE TABLE latest_records (
    board       text   NOT NULL CONSTRAINT latest_records_board_fkey REFERENCES boards (id) ON UPDATE CASCADE,
    build       text   NOT NULL,
    unit        bigint NOT NULL CONSTRAINT latest_records_unit_fkey REFERENCES units (id),
    serviced_on date   NOT NULL,
    record      bigint NOT NULL CONSTRAINT latest_records_record_fkey REFERENCES records (id),
    CONSTRAINT latest_records_pkey PRIMARY KEY (board, build, unit)
);
CREATE INDEX latest_records_record_idx ON latest_records (record);

-- What people notice, once for all records; key is the text's words.
CREATE TABLE symptoms (
    id    bigint   GENERATED ALWAYS AS IDENTITY CONSTRAINT symptoms_pkey PRIMARY KEY,
    key   text     NOT NULL CONSTRAINT symptoms_key_key UNIQUE,
    text  text     NOT NULL, -- as first told
    words tsvector NOT NULL
);
CREATE INDEX symptoms_words_idx ON symptoms USING gin (words);
CREATE TABLE record_symptoms (
    record  bigint NOT NULL CONSTRAINT record_symptoms_record_fkey REFERENCES records (id),
    symptom bigint NOT NULL CONSTRAINT record_symptoms_symptom_fkey REFERENCES symptoms (id),
    CONSTRAINT record_symptoms_pkey PRIMARY KEY (record, symptom)
);
CREATE INDEX record_symptoms_symptom_idx ON record_symptoms (symptom, record);

CREATE TABLE record_kits (
    record    bigint CONSTRAINT record_kits_pkey PRIMARY KEY CONSTRAINT record_kits_record_fkey REFERENCES records (id),
    kit       text   NOT NULL CONSTRAINT record_kits_kit_fkey REFERENCES kits (id),
    left_over int[]  NOT NULL,
    missing   text[] NOT NULL
);

-- Counts the acts on a board's records: what was worked out at one number holds
-- until the next.
CREATE TABLE record_acts (
    board text   CONSTRAINT record_acts_pkey PRIMARY KEY CONSTRAINT record_acts_board_fkey REFERENCES boards (id) ON UPDATE CASCADE,
    acts  bigint NOT NULL
);

-- The symptoms that current maps name. They follow whatever act makes another
-- revision current, so a trigger keeps them, and never stands in an act's way.
CREATE TABLE map_symptoms (
    board text     NOT NULL CONSTRAINT map_symptoms_board_fkey REFERENCES boards (id) ON UPDATE CASCADE,
    point text     NOT NULL,
    text  text     NOT NULL,
    words tsvector NOT NULL
);
CREATE INDEX map_symptoms_board_idx ON map_symptoms (board);
CREATE INDEX map_symptoms_words_idx ON map_symptoms USING gin (words);

-- +goose StatementBegin
CREATE FUNCTION symptom_words(t text) RETURNS tsvector LANGUAGE sql IMMUTABLE AS $$
    SELECT array_to_tsvector(array_remove(regexp_split_to_array(
        regexp_replace(lower(normalize(t, NFKD)), E'[\u0300-\u036f''\u2019]', '', 'g'), '[^[:alnum:]]+'), ''))
$$;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE FUNCTION index_symptoms(wanted text, revision int) RETURNS void LANGUAGE plpgsql AS $$
BEGIN
    DELETE FROM map_symptoms WHERE board = wanted;
    INSERT INTO map_symptoms (board, point, text, words)
        SELECT wanted, p ->> 'id', s, symptom_words(s)
        FROM revisions r, jsonb_array_elements(convert_from(r.document, 'UTF8')::jsonb -> 'failure_points') p, jsonb_array_elements_text(p -> 'symptoms') s
        WHERE r.board = wanted AND r.number = revision;
EXCEPTION WHEN OTHERS THEN -- a text that jsonb does not take: the map is released all the same
    NULL;
END
$$;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE FUNCTION boards_symptoms() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM index_symptoms(NEW.id, NEW.current);
    RETURN NULL;
END
$$;
-- +goose StatementEnd
CREATE TRIGGER boards_symptoms AFTER UPDATE OF current ON boards FOR EACH ROW EXECUTE FUNCTION boards_symptoms();
SELECT index_symptoms(id, current) FROM boards WHERE current > 0;

INSERT INTO event_kinds VALUES ('record-kept'), ('record-withdrawn');
