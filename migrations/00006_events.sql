-- +goose Up
-- Every act, in the order of commit: id counts 1, 2, 3 … without a gap, given
-- out under a lock that is held until commit, so that whoever has read up to n
-- has missed nothing up to n.

CREATE TABLE events (
    id         bigint      CONSTRAINT events_pkey PRIMARY KEY CONSTRAINT events_id_check CHECK (id >= 1),
    at         timestamptz NOT NULL,
    who        bigint      CONSTRAINT events_who_fkey REFERENCES accounts (id), -- null: the operator, at the command line
    what       text        NOT NULL CONSTRAINT events_what_check CHECK (what IN (
                               'submitted', 'amended', 'reviewed', 'released', 'declined', 'withdrawn',
                               'kit-kept', 'photograph-kept', 'account-added', 'token-made', 'account-disabled')),
    board      text        CONSTRAINT events_board_fkey REFERENCES boards (id),
    proposal   bigint      CONSTRAINT events_proposal_fkey REFERENCES proposals (id),
    version    int,
    revision   int,
    kit        text        CONSTRAINT events_kit_fkey REFERENCES kits (id),
    account    bigint      CONSTRAINT events_account_fkey REFERENCES accounts (id),
    photograph bytea,
    sentence   text        NOT NULL
);
CREATE INDEX events_board_idx ON events (board, id) WHERE board IS NOT NULL;
CREATE INDEX events_proposal_idx ON events (proposal, id) WHERE proposal IS NOT NULL;
CREATE TRIGGER events_immutable BEFORE UPDATE OR DELETE OR TRUNCATE ON events EXECUTE FUNCTION refuse_change();

-- The first answer to each Idempotency-Key of an account.
CREATE TABLE idempotency (
    account bigint      NOT NULL CONSTRAINT idempotency_account_fkey REFERENCES accounts (id),
    key     text        NOT NULL CONSTRAINT idempotency_key_check CHECK (length(key) BETWEEN 1 AND 200),
    body    bytea       NOT NULL CONSTRAINT idempotency_body_check CHECK (octet_length(body) = 32),
    answer  jsonb,      -- null only within the transaction that claims the key
    at      timestamptz NOT NULL DEFAULT now(),
    CONSTRAINT idempotency_pkey PRIMARY KEY (account, key)
);
CREATE INDEX idempotency_at_idx ON idempotency (at);
