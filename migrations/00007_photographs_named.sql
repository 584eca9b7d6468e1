-- +goose Up
-- A photograph that no proposal names is kept for a while only, and counts
-- against what its account may hold. Naming one updates its row, so that a
-- clearing at the same moment sees it and leaves it.

ALTER TABLE photographs
    ADD COLUMN named    boolean     NOT NULL DEFAULT false, -- some proposal's evidence names it
    ADD COLUMN asked_at timestamptz NOT NULL DEFAULT now(); -- when it was last brought
UPDATE photographs p SET named = true WHERE EXISTS (
    SELECT FROM proposals q, jsonb_array_elements(q.evidence) item
    WHERE jsonb_typeof(item -> 'photographs') = 'array' AND item -> 'photographs' ? encode(p.sha256, 'hex'));
CREATE INDEX photographs_unnamed_idx ON photographs (by, asked_at) WHERE NOT named;
