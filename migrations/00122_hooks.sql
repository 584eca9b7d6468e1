-- +goose Up
-- Who is told of releases and withdrawals, at which address. The secret signs
-- what is sent and has to be there whole; it is shown to nobody again.
CREATE TABLE hooks (
    id       bigint      GENERATED ALWAYS AS IDENTITY CONSTRAINT hooks_pkey PRIMARY KEY,
    account  bigint      NOT NULL CONSTRAINT hooks_account_fkey REFERENCES accounts (id),
    address  text        NOT NULL,
    board    text        CONSTRAINT hooks_board_fkey REFERENCES boards (id), -- null: all boards
    private  boolean     NOT NULL, -- a steward allowed an address of a private network
    secret   bytea       NOT NULL CONSTRAINT hooks_secret_check CHECK (octet_length(secret) = 32),
    made_at  timestamptz NOT NULL DEFAULT now(),
    gone_at  timestamptz -- the address said that it is no more
);
CREATE INDEX hooks_account_idx ON hooks (account);

-- Finds the deliveries of a hook.
CREATE INDEX river_job_hook_idx ON river_job (((args->>'hook')::bigint)) WHERE kind = 'hook';
