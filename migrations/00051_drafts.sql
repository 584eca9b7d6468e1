-- +goose Up
-- Unfinished maps of an account, each with its last versions. A draft is its
-- owner's alone: no event tells of it, and what is deleted is gone.

CREATE TABLE drafts (
    number   bigint      GENERATED ALWAYS AS IDENTITY CONSTRAINT drafts_pkey PRIMARY KEY,
    owner    bigint      NOT NULL CONSTRAINT drafts_owner_fkey REFERENCES accounts (id),
    id       text        NOT NULL CONSTRAINT drafts_id_check CHECK (id ~ '^[a-z0-9]+(-[a-z0-9]+)*$' AND length(id) <= 64),
    version  int         NOT NULL CONSTRAINT drafts_version_check CHECK (version >= 1),
    shared   bytea       CONSTRAINT drafts_shared_key UNIQUE, -- SHA-256 of the secret of its link; null where there is none
    CONSTRAINT drafts_owner_id_key UNIQUE (owner, id)
);

CREATE TABLE draft_versions (
    draft    bigint      NOT NULL CONSTRAINT draft_versions_draft_fkey REFERENCES drafts (number) ON DELETE CASCADE,
    version  int         NOT NULL CONSTRAINT draft_versions_version_check CHECK (version >= 1),
    digest   bytea       NOT NULL CONSTRAINT draft_versions_digest_check CHECK (octet_length(digest) = 32),
    title    text        NOT NULL,
    document bytea       NOT NULL,
    saved_at timestamptz NOT NULL,
    CONSTRAINT draft_versions_pkey PRIMARY KEY (draft, version)
);
