-- +goose Up
-- What a proposal is held to, and what came of it.

-- What each board's released revisions told of everything that safety hangs
-- on (domain/board, SafetyView), so that judging a proposal need not read them
-- all. It can be made anew from them at any time.
CREATE TABLE safety_views (
    board text  CONSTRAINT safety_views_pkey PRIMARY KEY
                CONSTRAINT safety_views_board_fkey REFERENCES boards (id) ON UPDATE CASCADE,
    view  bytea NOT NULL
);

-- The hazards that a release was held to, as it was then; null before it.
ALTER TABLE proposals ADD COLUMN hazards jsonb;

-- What a verdict rests on: [{designator, on}].
ALTER TABLE reviews ADD COLUMN seen jsonb NOT NULL DEFAULT '[]';

-- Objections that a steward ended.
CREATE TABLE objections_set_aside (
    review bigint      CONSTRAINT objections_set_aside_pkey PRIMARY KEY
                       CONSTRAINT objections_set_aside_review_fkey REFERENCES reviews (id),
    who    bigint      NOT NULL CONSTRAINT objections_set_aside_who_fkey REFERENCES accounts (id),
    reason text        NOT NULL,
    at     timestamptz NOT NULL
);

ALTER TABLE events DROP CONSTRAINT events_what_check;
ALTER TABLE events ADD CONSTRAINT events_what_check CHECK (what IN (
    'submitted', 'amended', 'reviewed', 'released', 'declined', 'withdrawn',
    'kit-kept', 'photograph-kept', 'account-added', 'token-made', 'account-disabled', 'role-changed',
    'objection-set-aside', 'doubt-raised', 'doubt-answered'));
