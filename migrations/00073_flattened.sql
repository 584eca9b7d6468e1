-- +goose Up
-- Photographs laid flat, each made once for how a map lays it: they can be made
-- again at any time, so nothing rests on them.

CREATE TABLE flattened (
    photograph bytea       NOT NULL CONSTRAINT flattened_photograph_fkey REFERENCES photographs (sha256) ON DELETE CASCADE,
    laid       bytea       NOT NULL CONSTRAINT flattened_laid_check CHECK (octet_length(laid) = 32), -- SHA-256 of side, frame and points
    data       bytea       NOT NULL,
    CONSTRAINT flattened_pkey PRIMARY KEY (photograph, laid)
);
ALTER TABLE flattened ALTER COLUMN data SET STORAGE EXTERNAL;
