-- +goose Up
-- One row for each transaction that writes, with its commit: by it a server that
-- lost its connection in the commit finds out what became of it. Rows of the last
-- days are kept.
CREATE TABLE witnesses (
    id uuid        CONSTRAINT witnesses_pkey PRIMARY KEY,
    at timestamptz NOT NULL DEFAULT now()
);
