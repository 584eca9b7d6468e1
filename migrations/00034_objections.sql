-- +goose Up
-- Setting an objection aside is an act of stewards, which they read with why.

UPDATE event_kinds SET steward = true WHERE what = 'objection-set-aside';
