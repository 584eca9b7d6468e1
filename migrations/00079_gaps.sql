-- +goose Up
-- A revision that was withdrawn elsewhere before it could be brought here leaves
-- a gap: whoever loads or mirrors another registry says so for its transaction.

-- +goose StatementBegin
CREATE OR REPLACE FUNCTION refuse_gap() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NEW.number > 1 AND current_setting('boardlore.gaps', true) IS DISTINCT FROM 'brought'
       AND NOT EXISTS (SELECT FROM revisions WHERE board = NEW.board AND number = NEW.number - 1) THEN
        RAISE EXCEPTION 'revision % of % would leave a gap', NEW.number, NEW.board
            USING ERRCODE = 'check_violation', TABLE = 'revisions', CONSTRAINT = 'revisions_no_gap';
    END IF;
    RETURN NEW;
END
$$;
-- +goose StatementEnd
