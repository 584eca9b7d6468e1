-- +goose Up
-- What this registry follows, where it is a mirror: one row, which says whom it
-- believes (the key first seen, or given), how far it has proved the other's log,
-- and why it stopped, where it did. A mirror that was promoted keeps the row.

CREATE TABLE mirror (
    single      boolean     NOT NULL DEFAULT true CONSTRAINT mirror_pkey PRIMARY KEY CONSTRAINT mirror_single_check CHECK (single),
    address     text        NOT NULL,
    origin      text        NOT NULL,
    key         text        NOT NULL,
    checkpoint  text        NOT NULL DEFAULT '', -- signed; the newest to which everything here was held
    size        bigint      NOT NULL DEFAULT 0,
    checked_at  timestamptz,
    alarm       text        NOT NULL DEFAULT '',
    promoted_at timestamptz
);
