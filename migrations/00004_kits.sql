-- +goose Up
-- Kits kept on the server. A kit is changed by keeping a new version of it.

CREATE TABLE kits (
    id      text        CONSTRAINT kits_pkey PRIMARY KEY
                        CONSTRAINT kits_id_check CHECK (id ~ '^[a-z0-9]+(-[a-z0-9]+)*$' AND length(id) <= 64),
    owner   bigint      NOT NULL CONSTRAINT kits_owner_fkey REFERENCES accounts (id),
    version int         NOT NULL CONSTRAINT kits_version_check CHECK (version >= 1),
    digest  bytea       NOT NULL CONSTRAINT kits_digest_check CHECK (octet_length(digest) = 32),
    title   text        NOT NULL,
    boards  text[]      NOT NULL DEFAULT '{}' -- the boards that it says it is for
);
CREATE INDEX kits_boards_idx ON kits USING gin (boards);

CREATE TABLE kit_versions (
    kit      text        NOT NULL CONSTRAINT kit_versions_kit_fkey REFERENCES kits (id),
    version  int         NOT NULL CONSTRAINT kit_versions_version_check CHECK (version >= 1),
    digest   bytea       NOT NULL CONSTRAINT kit_versions_digest_check CHECK (octet_length(digest) = 32),
    title    text        NOT NULL,
    document bytea       NOT NULL,
    kept_by  bigint      NOT NULL CONSTRAINT kit_versions_kept_by_fkey REFERENCES accounts (id),
    kept_at  timestamptz NOT NULL,
    CONSTRAINT kit_versions_pkey PRIMARY KEY (kit, version)
);
CREATE TRIGGER kit_versions_immutable BEFORE UPDATE OR DELETE OR TRUNCATE ON kit_versions EXECUTE FUNCTION refuse_change();
