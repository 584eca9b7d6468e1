-- +goose Up
-- What each revision calls otherwise than the one before: few rows, where
-- position_changes has many and large ones. A trigger keeps them, so that they
-- are there whichever act, and whichever version of the server, wrote the changes.
CREATE TABLE renamings (
    board  text NOT NULL,
    number int  NOT NULL,
    was    text NOT NULL,
    now    text NOT NULL,
    CONSTRAINT renamings_pkey PRIMARY KEY (board, number, was),
    CONSTRAINT renamings_revision_fkey FOREIGN KEY (board, number) REFERENCES revisions (board, number) ON UPDATE CASCADE
);
-- +goose StatementBegin
CREATE FUNCTION keep_renamings() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF strpos(NEW.changes::text, '"before"') > 0 THEN
        INSERT INTO renamings SELECT NEW.board, NEW.number, c ->> 'before', c ->> 'designator'
            FROM json_array_elements(NEW.changes) c WHERE c ->> 'before' <> '' ON CONFLICT ON CONSTRAINT renamings_pkey DO NOTHING;
    END IF;
    RETURN NULL;
END
$$;
-- +goose StatementEnd
CREATE TRIGGER position_changes_renamings AFTER INSERT ON position_changes FOR EACH ROW EXECUTE FUNCTION keep_renamings();
INSERT INTO renamings SELECT p.board, p.number, c ->> 'before', c ->> 'designator'
    FROM position_changes p, json_array_elements(p.changes) c WHERE c ->> 'before' <> '' ON CONFLICT ON CONSTRAINT renamings_pkey DO NOTHING;

-- What was there where a part differs from the map's, as measured.
ALTER TABLE record_positions ADD COLUMN other text;
ALTER TABLE latest_positions ADD COLUMN other text;
UPDATE record_positions p SET other = (
        SELECT m ->> 'value' FROM records r, json_array_elements(convert_from(r.document, 'UTF8')::json -> 'positions') e, json_array_elements(e -> 'measured') m
        WHERE r.id = p.record AND e ->> 'designator' = p.designator AND m ->> 'of' IN ('capacitance', 'resistance') LIMIT 1)
    WHERE found = 'differs';
UPDATE latest_positions l SET other = p.other FROM record_positions p WHERE p.record = l.record AND p.designator = l.designator AND p.other IS NOT NULL;
