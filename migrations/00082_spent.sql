-- +goose Up
-- What each account sent, by the hour, so that holding it to its day costs the
-- same however much that was.
CREATE TABLE spent (
    account bigint      NOT NULL CONSTRAINT spent_account_fkey REFERENCES accounts (id),
    what    text        NOT NULL,
    hour    timestamptz NOT NULL,
    bytes   bigint      NOT NULL,
    CONSTRAINT spent_pkey PRIMARY KEY (account, what, hour)
);
INSERT INTO spent
    SELECT account, what, date_trunc('hour', at), sum(bytes) FROM (
        SELECT p.author AS account, 'maps' AS what, m.at, octet_length(m.document) AS bytes FROM proposals p JOIN proposal_maps m ON m.proposal = p.id
        UNION ALL SELECT kept_by, 'kits', kept_at, octet_length(document) FROM kit_versions
        UNION ALL SELECT account, 'records', kept_at, octet_length(document) FROM records) AS sent
    WHERE at > now() - interval '1 day' GROUP BY 1, 2, 3;

-- Finds an open proposal that says the same, and counts an account's open ones.
CREATE INDEX proposals_author_open_idx ON proposals (author, digest) WHERE state IN ('submitted', 'returned');
