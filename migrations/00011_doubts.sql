-- +goose Up
-- A released map is found by its digest too.
CREATE INDEX revisions_digest_idx ON revisions (digest);

-- What readers think is wrong: shown at its position until it is answered.
-- Texts may have to go, so they are no part of an event.
CREATE TABLE doubts (
    id          bigint      GENERATED ALWAYS AS IDENTITY CONSTRAINT doubts_pkey PRIMARY KEY,
    board       text        NOT NULL,
    revision    int         NOT NULL, -- that was read
    designator  text,                 -- null for the board as a whole
    body        text        NOT NULL,
    photographs text[]      NOT NULL DEFAULT '{}',
    author      bigint      NOT NULL CONSTRAINT doubts_author_fkey REFERENCES accounts (id),
    at          timestamptz NOT NULL,
    answer      text,
    proposal    bigint      CONSTRAINT doubts_proposal_fkey REFERENCES proposals (id), -- that settles it
    answered_by bigint      CONSTRAINT doubts_answered_by_fkey REFERENCES accounts (id),
    answered_at timestamptz,
    CONSTRAINT doubts_revision_fkey FOREIGN KEY (board, revision) REFERENCES revisions (board, number) ON UPDATE CASCADE,
    CONSTRAINT doubts_answer_check CHECK ((answer IS NULL) = (answered_by IS NULL) AND (answer IS NULL) = (answered_at IS NULL))
);
CREATE INDEX doubts_board_idx ON doubts (board, id);
CREATE INDEX doubts_open_idx ON doubts (author) WHERE answer IS NULL;
