-- +goose Up
-- Documents are kept as the bytes of their RFC 8785 form, not as jsonb, which
-- would keep a meaning but not the bytes that the digest was taken of.

CREATE TABLE proposals (
    id           bigint      GENERATED ALWAYS AS IDENTITY CONSTRAINT proposals_pkey PRIMARY KEY,
    board        text        NOT NULL CONSTRAINT proposals_board_fkey REFERENCES boards (id),
    base         int         NOT NULL CONSTRAINT proposals_base_check CHECK (base >= 0),
    state        text        NOT NULL CONSTRAINT proposals_state_check
                             CHECK (state IN ('submitted', 'returned', 'released', 'declined', 'withdrawn')),
    author       bigint      NOT NULL CONSTRAINT proposals_author_fkey REFERENCES accounts (id),
    summary      text        NOT NULL,
    evidence     jsonb       NOT NULL DEFAULT '[]',
    version      int         NOT NULL DEFAULT 1 CONSTRAINT proposals_version_check CHECK (version >= 1),
    digest       bytea       NOT NULL CONSTRAINT proposals_digest_check CHECK (octet_length(digest) = 32),
    title        text        NOT NULL,
    revision     int,        -- the revision that it became
    closed_by    bigint      CONSTRAINT proposals_closed_by_fkey REFERENCES accounts (id),
    reason       text        NOT NULL DEFAULT '',
    submitted_at timestamptz NOT NULL,
    changed_at   timestamptz NOT NULL,
    CONSTRAINT proposals_revision_check CHECK ((state = 'released') = (revision IS NOT NULL)),
    CONSTRAINT proposals_closed_check CHECK ((state IN ('submitted', 'returned')) = (closed_by IS NULL))
);
CREATE INDEX proposals_board_idx ON proposals (board, id);
CREATE INDEX proposals_author_idx ON proposals (author, id);
CREATE INDEX proposals_open_idx ON proposals (id) WHERE state IN ('submitted', 'returned');

-- Every map that a proposal ever had; the newest one counts.
CREATE TABLE proposal_maps (
    proposal bigint      NOT NULL CONSTRAINT proposal_maps_proposal_fkey REFERENCES proposals (id),
    version  int         NOT NULL CONSTRAINT proposal_maps_version_check CHECK (version >= 1),
    digest   bytea       NOT NULL CONSTRAINT proposal_maps_digest_check CHECK (octet_length(digest) = 32),
    document bytea       NOT NULL,
    at       timestamptz NOT NULL,
    CONSTRAINT proposal_maps_pkey PRIMARY KEY (proposal, version)
);

CREATE TABLE reviews (
    id       bigint      GENERATED ALWAYS AS IDENTITY CONSTRAINT reviews_pkey PRIMARY KEY,
    proposal bigint      NOT NULL,
    version  int         NOT NULL,
    reviewer bigint      NOT NULL CONSTRAINT reviews_reviewer_fkey REFERENCES accounts (id),
    verdict  text        NOT NULL CONSTRAINT reviews_verdict_check CHECK (verdict IN ('endorse', 'query', 'object')),
    summary  text        NOT NULL DEFAULT '',
    remarks  jsonb       NOT NULL DEFAULT '[]',
    at       timestamptz NOT NULL,
    CONSTRAINT reviews_map_fkey FOREIGN KEY (proposal, version) REFERENCES proposal_maps (proposal, version)
);
CREATE INDEX reviews_proposal_idx ON reviews (proposal, id);

CREATE TABLE revisions (
    board       text        NOT NULL CONSTRAINT revisions_board_fkey REFERENCES boards (id),
    number      int         NOT NULL CONSTRAINT revisions_number_check CHECK (number >= 1),
    digest      bytea       NOT NULL CONSTRAINT revisions_digest_check CHECK (octet_length(digest) = 32),
    document    bytea       NOT NULL,
    proposal    bigint      NOT NULL CONSTRAINT revisions_proposal_fkey REFERENCES proposals (id)
                            CONSTRAINT revisions_proposal_key UNIQUE, -- one proposal becomes one revision
    released_by bigint      NOT NULL CONSTRAINT revisions_released_by_fkey REFERENCES accounts (id),
    released_at timestamptz NOT NULL,
    CONSTRAINT revisions_pkey PRIMARY KEY (board, number)
);

-- What each revision changed, one row a change as board.Diff has it, so that
-- the history of one position need not compare every revision with the next.
CREATE TABLE revision_changes (
    board        text NOT NULL,
    number       int  NOT NULL,
    ordinal      int  NOT NULL, -- 1 … in the order of the difference
    designator   text,          -- the position, under its name in this revision; null for what is no position's
    renamed_from text,          -- its name in the revision before, where it was renamed
    change       json NOT NULL,
    CONSTRAINT revision_changes_pkey PRIMARY KEY (board, number, ordinal),
    CONSTRAINT revision_changes_revision_fkey FOREIGN KEY (board, number) REFERENCES revisions (board, number)
);
CREATE INDEX revision_changes_designator_idx ON revision_changes (board, designator, number) WHERE designator IS NOT NULL;
CREATE INDEX revision_changes_renamed_idx ON revision_changes (board, renamed_from, number) WHERE renamed_from IS NOT NULL;
CREATE TRIGGER revision_changes_immutable BEFORE UPDATE OR DELETE OR TRUNCATE ON revision_changes EXECUTE FUNCTION refuse_change();

-- +goose StatementBegin
CREATE FUNCTION refuse_gap() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NEW.number > 1 AND NOT EXISTS (SELECT FROM revisions WHERE board = NEW.board AND number = NEW.number - 1) THEN
        RAISE EXCEPTION 'revision % of % would leave a gap', NEW.number, NEW.board
            USING ERRCODE = 'check_violation', TABLE = 'revisions', CONSTRAINT = 'revisions_no_gap';
    END IF;
    RETURN NEW;
END
$$;
-- +goose StatementEnd
CREATE TRIGGER revisions_no_gap BEFORE INSERT ON revisions FOR EACH ROW EXECUTE FUNCTION refuse_gap();

CREATE TRIGGER revisions_immutable BEFORE UPDATE OR DELETE OR TRUNCATE ON revisions EXECUTE FUNCTION refuse_change();
CREATE TRIGGER proposal_maps_immutable BEFORE UPDATE OR DELETE OR TRUNCATE ON proposal_maps EXECUTE FUNCTION refuse_change();
CREATE TRIGGER reviews_immutable BEFORE UPDATE OR DELETE OR TRUNCATE ON reviews EXECUTE FUNCTION refuse_change();
