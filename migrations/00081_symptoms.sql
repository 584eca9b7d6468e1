-- +goose Up
-- A server writes the symptoms of a current map itself, from the map that it has
-- read already. Parsing the document again is left for a server of the version
-- before, beside this one, which makes a revision current first and derives the
-- rest of the row in a second step; and for a board that has none in use.
DROP TRIGGER boards_symptoms ON boards;
CREATE TRIGGER boards_symptoms AFTER UPDATE OF current ON boards FOR EACH ROW
    WHEN (NEW.indexed_of IS DISTINCT FROM NEW.digest) EXECUTE FUNCTION boards_symptoms();
