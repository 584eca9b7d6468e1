-- +goose Up
-- What the author and the reviewers say to one review, one after the other.
-- Texts may have to go, so they are no part of an event.
CREATE TABLE review_answers (
    id     bigint      GENERATED ALWAYS AS IDENTITY CONSTRAINT review_answers_pkey PRIMARY KEY,
    review bigint      NOT NULL CONSTRAINT review_answers_review_fkey REFERENCES reviews (id),
    author bigint      NOT NULL CONSTRAINT review_answers_author_fkey REFERENCES accounts (id),
    body   text        NOT NULL,
    at     timestamptz NOT NULL
);
CREATE INDEX review_answers_review_idx ON review_answers (review, id);
INSERT INTO event_kinds VALUES ('review-answered', false);
