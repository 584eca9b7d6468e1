-- +goose Up
-- Photographs that evidence names, each once, under the SHA-256 of what is kept.
-- They are compressed already, so the database need not try (EXTERNAL).

CREATE TABLE photographs (
    sha256 bytea       CONSTRAINT photographs_pkey PRIMARY KEY CONSTRAINT photographs_sha256_check CHECK (octet_length(sha256) = 32),
    type   text        NOT NULL CONSTRAINT photographs_type_check CHECK (type IN ('image/jpeg', 'image/png', 'image/webp')),
    width  int         NOT NULL,
    height int         NOT NULL,
    data   bytea       NOT NULL,
    by     bigint      NOT NULL CONSTRAINT photographs_by_fkey REFERENCES accounts (id),
    at     timestamptz NOT NULL
);
ALTER TABLE photographs ALTER COLUMN data SET STORAGE EXTERNAL;
