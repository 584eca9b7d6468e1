-- +goose Up
-- The desk asks for the newest event about an account: what an endorsement is
-- worth hangs on its reviewer's.
CREATE INDEX events_account_idx ON events (id) WHERE account IS NOT NULL;
