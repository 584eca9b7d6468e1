-- +goose Up
-- What people and tools sign in with. Tokens are made, named, limited and
-- revoked by their owner; a browser has a session, which is another secret, so
-- that what a browser holds is no use to a tool and ends when its owner says so.
-- Of every secret only the SHA-256 is kept.

ALTER TABLE tokens
    ADD COLUMN id         bigint      NOT NULL GENERATED ALWAYS AS IDENTITY CONSTRAINT tokens_id_key UNIQUE,
    ADD COLUMN name       text        NOT NULL DEFAULT '',
    ADD COLUMN scope      text        NOT NULL DEFAULT 'all' CONSTRAINT tokens_scope_check CHECK (scope IN ('read', 'contribute', 'review', 'all')),
    ADD COLUMN expires_at timestamptz; -- null: never

CREATE TABLE sessions (
    id         bigint      GENERATED ALWAYS AS IDENTITY CONSTRAINT sessions_pkey PRIMARY KEY,
    hash       bytea       NOT NULL CONSTRAINT sessions_hash_key UNIQUE CONSTRAINT sessions_hash_check CHECK (octet_length(hash) = 32),
    account    bigint      NOT NULL CONSTRAINT sessions_account_fkey REFERENCES accounts (id),
    browser    text        NOT NULL, -- as it named itself, for its owner to know it by
    created_at timestamptz NOT NULL DEFAULT now(),
    seen_at    timestamptz NOT NULL DEFAULT now(),
    expires_at timestamptz NOT NULL
);
CREATE INDEX sessions_account_idx ON sessions (account);

-- Links that stewards make: to join, or, with account, for one that is there to
-- sign in once.
CREATE TABLE invitations (
    id         bigint      GENERATED ALWAYS AS IDENTITY CONSTRAINT invitations_pkey PRIMARY KEY,
    hash       bytea       NOT NULL CONSTRAINT invitations_hash_key UNIQUE CONSTRAINT invitations_hash_check CHECK (octet_length(hash) = 32),
    role       text        NOT NULL CONSTRAINT invitations_role_check CHECK (role IN ('contributor', 'reviewer')),
    account    bigint      CONSTRAINT invitations_account_fkey REFERENCES accounts (id),
    uses       int         NOT NULL CONSTRAINT invitations_uses_check CHECK (uses BETWEEN 0 AND 1000), -- left
    made_by    bigint      CONSTRAINT invitations_made_by_fkey REFERENCES accounts (id), -- null: the operator
    made_at    timestamptz NOT NULL DEFAULT now(),
    expires_at timestamptz NOT NULL
);

-- invitation: by which link an account joined; 0 for open sign-up, null for one
-- that was added. accepted_at: when its owner accepted terms and licence.
ALTER TABLE accounts ADD COLUMN invitation bigint, ADD COLUMN accepted_at timestamptz;

-- What stewards choose for the whole registry.
CREATE TABLE choices (
    name  text CONSTRAINT choices_pkey PRIMARY KEY,
    value text NOT NULL
);

INSERT INTO event_kinds VALUES ('token-ended', false), ('invitation-made', true), ('invitation-ended', true), ('sign-up-changed', true), ('account-joined', true);
