-- +goose Up
-- A board may get another ID, or turn out to be one that is known: its old ID
-- leads to the new one for ever. Revisions go along as they are, under the new
-- ID and with the bytes and digests that they had; of two boards that were made
-- one, the revisions of the first stay under its old ID.

ALTER TABLE boards ADD COLUMN moved_to text CONSTRAINT boards_moved_to_fkey REFERENCES boards (id),
    ADD CONSTRAINT boards_moved_check CHECK (moved_to IS NULL OR current = 0 AND moved_to <> id);
CREATE INDEX boards_moved_idx ON boards (moved_to) WHERE moved_to IS NOT NULL;

ALTER TABLE revision_changes DROP CONSTRAINT revision_changes_revision_fkey,
    ADD CONSTRAINT revision_changes_revision_fkey FOREIGN KEY (board, number) REFERENCES revisions (board, number) ON UPDATE CASCADE;

-- A table that never changes lets through, within the act of a move, what
-- changes the board's ID; what else a row of a revision holds stays even then.
-- +goose StatementBegin
CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF TG_OP = 'UPDATE' AND current_setting('boardlore.moving', true) = 'yes' THEN
        RETURN NULL;
    END IF;
    RAISE EXCEPTION '% of % is refused: its rows are never altered or deleted', TG_OP, TG_TABLE_NAME
        USING ERRCODE = 'restrict_violation', TABLE = TG_TABLE_NAME, CONSTRAINT = TG_TABLE_NAME || '_immutable';
END
$$;
CREATE FUNCTION keep_all_but_board() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'only the board of a row of % may change', TG_TABLE_NAME
        USING ERRCODE = 'restrict_violation', TABLE = TG_TABLE_NAME, CONSTRAINT = TG_TABLE_NAME || '_immutable';
END
$$;
-- +goose StatementEnd
CREATE TRIGGER revisions_kept BEFORE UPDATE ON revisions FOR EACH ROW
    WHEN ((OLD.number, OLD.digest, OLD.document, OLD.proposal, OLD.released_by, OLD.released_at, OLD.follows)
        IS DISTINCT FROM (NEW.number, NEW.digest, NEW.document, NEW.proposal, NEW.released_by, NEW.released_at, NEW.follows))
    EXECUTE FUNCTION keep_all_but_board();
CREATE TRIGGER revision_changes_kept BEFORE UPDATE ON revision_changes FOR EACH ROW
    WHEN ((OLD.number, OLD.ordinal, OLD.designator, OLD.renamed_from, OLD.change::text)
        IS DISTINCT FROM (NEW.number, NEW.ordinal, NEW.designator, NEW.renamed_from, NEW.change::text))
    EXECUTE FUNCTION keep_all_but_board();

INSERT INTO event_kinds VALUES ('board-moved', true);
