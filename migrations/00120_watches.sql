-- +goose Up
-- What an account wants to hear of: boards, and whatever comes of a maker. What
-- happens to them stands in a feed of its own, whose address is a secret of which
-- only the SHA-256 is kept.
CREATE TABLE watches (
    id        bigint      GENERATED ALWAYS AS IDENTITY CONSTRAINT watches_pkey PRIMARY KEY,
    account   bigint      NOT NULL CONSTRAINT watches_account_fkey REFERENCES accounts (id),
    board     text        CONSTRAINT watches_board_fkey REFERENCES boards (id),
    maker     text,       -- as it was written
    maker_key text,       -- folded, as in boards
    made_at   timestamptz NOT NULL DEFAULT now(),
    CONSTRAINT watches_check CHECK (num_nonnulls(board, maker) = 1 AND (maker IS NULL) = (maker_key IS NULL)),
    CONSTRAINT watches_board_key UNIQUE (account, board),
    CONSTRAINT watches_maker_key UNIQUE (account, maker_key)
);

CREATE TABLE watch_feeds (
    account bigint      CONSTRAINT watch_feeds_pkey PRIMARY KEY CONSTRAINT watch_feeds_account_fkey REFERENCES accounts (id),
    hash    bytea       NOT NULL CONSTRAINT watch_feeds_hash_key UNIQUE CONSTRAINT watch_feeds_hash_check CHECK (octet_length(hash) = 32),
    made_at timestamptz NOT NULL DEFAULT now()
);
