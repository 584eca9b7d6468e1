-- +goose Up
-- Events are kept by key and values and spoken in the reader's language. Those
-- from before have their English sentence alone; it is still written, for
-- servers of the version before that read beside a newer one.
ALTER TABLE events ADD COLUMN said jsonb;
