-- +goose Up
-- Accounts and what they sign in with. A token is 256 random bits, so a plain
-- SHA-256 of it is as hard to turn back as the token is to guess; the token
-- itself is never stored.

CREATE TABLE accounts (
    id          bigint      GENERATED ALWAYS AS IDENTITY CONSTRAINT accounts_pkey PRIMARY KEY,
    name        text        NOT NULL CONSTRAINT accounts_name_key UNIQUE
                            CONSTRAINT accounts_name_check CHECK (name = btrim(name) AND length(name) BETWEEN 1 AND 64),
    role        text        NOT NULL CONSTRAINT accounts_role_check CHECK (role IN ('contributor', 'reviewer', 'steward')),
    created_at  timestamptz NOT NULL DEFAULT now(),
    disabled_at timestamptz
);

CREATE TABLE tokens (
    hash       bytea       CONSTRAINT tokens_pkey PRIMARY KEY CONSTRAINT tokens_hash_check CHECK (octet_length(hash) = 32),
    account    bigint      NOT NULL CONSTRAINT tokens_account_fkey REFERENCES accounts (id),
    created_at timestamptz NOT NULL DEFAULT now()
);
CREATE INDEX tokens_account_idx ON tokens (account);

-- refuse_change keeps a table append-only by the database's own means: whoever
-- gets in by another way than package store meets it too.
-- +goose StatementBegin
CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '% of % is refused: its rows are never altered or deleted', TG_OP, TG_TABLE_NAME
        USING ERRCODE = 'restrict_violation', TABLE = TG_TABLE_NAME, CONSTRAINT = TG_TABLE_NAME || '_immutable';
END
$$;
-- +goose StatementEnd
