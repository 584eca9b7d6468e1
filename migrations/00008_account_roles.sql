-- +goose Up
-- A steward may give an account another role.

ALTER TABLE events DROP CONSTRAINT events_what_check;
ALTER TABLE events ADD CONSTRAINT events_what_check CHECK (what IN (
    'submitted', 'amended', 'reviewed', 'released', 'declined', 'withdrawn',
    'kit-kept', 'photograph-kept', 'account-added', 'token-made', 'account-disabled', 'role-changed'));
