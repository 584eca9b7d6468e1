-- +goose Up
-- What a board is found by besides its words: how it looks, a part of what is
-- printed or etched on it, the markings of its builds. Before, a search by look
-- read the maps themselves, and a marking walked the boards by ID, since the
-- planner can't know how rare it is.
--
-- All of it is derived from the current map. indexed_of is the digest of the map
-- that a row was derived from; a server brings up the rows where that is not
-- the current one, and a later migration that derives more empties it.

ALTER TABLE boards
    ADD COLUMN names       text[]   NOT NULL DEFAULT '{}', -- what people call it, folded to letters and digits
    ADD COLUMN size        point,                          -- width and height in mm
    ADD COLUMN sides       smallint NOT NULL DEFAULT 0,    -- that carry parts
    ADD COLUMN replaced    int      NOT NULL DEFAULT 0,    -- positions to replace at service
    ADD COLUMN classes     text[]   NOT NULL DEFAULT '{}', -- of the parts on it
    ADD COLUMN printed     text[]   NOT NULL DEFAULT '{}', -- class, a tab, and the folded text of a part
    ADD COLUMN mark_grams  text[]   NOT NULL DEFAULT '{}', -- every three characters in a row of its markings
    ADD COLUMN print_grams text[]   NOT NULL DEFAULT '{}', -- the same of what is printed on its parts
    ADD COLUMN indexed_of  bytea;

CREATE INDEX boards_names_idx ON boards USING gin (names);
CREATE INDEX boards_size_idx ON boards USING gist (size);
CREATE INDEX boards_replaced_idx ON boards (replaced);
CREATE INDEX boards_classes_idx ON boards USING gin (classes);
CREATE INDEX boards_mark_grams_idx ON boards USING gin (mark_grams);
CREATE INDEX boards_print_grams_idx ON boards USING gin (print_grams);
CREATE INDEX boards_unindexed_idx ON boards (number) WHERE current > 0 AND indexed_of IS DISTINCT FROM digest;
