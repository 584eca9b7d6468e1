-- +goose Up
-- What each revision changed of its positions, sixteen rows a revision at most:
-- a position's changes lie in the row of the first digit of its name's MD5. One
-- row a change, as it was, took eight times the room of all the rest of a board,
-- since no row was large enough to be compressed.
CREATE TABLE position_changes (
    board   text NOT NULL,
    part    text NOT NULL CONSTRAINT position_changes_part_check CHECK (part ~ '^[0-9a-f]$'), -- left(md5(designator), 1)
    number  int  NOT NULL,
    changes json NOT NULL, -- [{"designator", "before" where it was renamed, "change" as board.Diff has it}] in the order of the difference
    CONSTRAINT position_changes_pkey PRIMARY KEY (board, part, number),
    CONSTRAINT position_changes_revision_fkey FOREIGN KEY (board, number) REFERENCES revisions (board, number) ON UPDATE CASCADE
);
INSERT INTO position_changes
    SELECT board, left(md5(designator), 1), number,
           json_agg(CASE WHEN renamed_from IS NULL THEN json_build_object('designator', designator, 'change', change)
                         ELSE json_build_object('designator', designator, 'before', renamed_from, 'change', change) END ORDER BY ordinal)
    FROM revision_changes WHERE designator IS NOT NULL GROUP BY 1, 2, 3;
CREATE TRIGGER position_changes_immutable BEFORE UPDATE OR DELETE OR TRUNCATE ON position_changes EXECUTE FUNCTION refuse_change();
CREATE TRIGGER position_changes_kept BEFORE UPDATE ON position_changes FOR EACH ROW
    WHEN ((OLD.part, OLD.number, OLD.changes::text) IS DISTINCT FROM (NEW.part, NEW.number, NEW.changes::text))
    EXECUTE FUNCTION keep_all_but_board();

-- Servers of the version before read on, by the name that they know.
DROP TABLE revision_changes;
CREATE VIEW revision_changes AS
    SELECT p.board, p.number, c.ordinality::int AS ordinal, c.value ->> 'designator' AS designator, c.value ->> 'before' AS renamed_from,
           c.value -> 'change' AS change
    FROM position_changes p, json_array_elements(p.changes) WITH ORDINALITY c;
