-- +goose Up
-- Passkeys (WebAuthn): the public keys by which people sign in without a secret
-- that could be stolen from here. credential is the library's own record of one.
CREATE TABLE passkeys (
    id         bytea       CONSTRAINT passkeys_pkey PRIMARY KEY,
    account    bigint      NOT NULL CONSTRAINT passkeys_account_fkey REFERENCES accounts (id),
    credential jsonb       NOT NULL,
    made_at    timestamptz NOT NULL DEFAULT now(),
    used_at    timestamptz
);
CREATE INDEX passkeys_account_idx ON passkeys (account);

-- A ceremony that began and was not ended yet, so that any server of several
-- can end it, and each only once.
CREATE TABLE ceremonies (
    hash       bytea       CONSTRAINT ceremonies_pkey PRIMARY KEY,
    data       jsonb       NOT NULL,
    expires_at timestamptz NOT NULL
);

INSERT INTO event_kinds VALUES ('passkey-made', false), ('passkey-ended', false);
