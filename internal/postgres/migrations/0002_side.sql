-- +goose Up
-- What is kept beside the facts: small texts by name, each with the number of its
-- last change, and a trail that lines are only ever added to. The index serves
-- programs that ask for what others added; the version keeps a larder away that
-- does not add facts one program at a time (see Append).
CREATE TABLE larder_side (
	name   TEXT   PRIMARY KEY,
	change BIGINT NOT NULL,
	value  TEXT   NOT NULL
);
CREATE TABLE larder_trail (
	n    BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	line TEXT   NOT NULL
);
CREATE INDEX larder_fact_seq ON larder_fact (seq);
-- +goose StatementBegin
CREATE FUNCTION larder_only_added() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
	RAISE EXCEPTION 'lines of the trail are only added';
END $$;
-- +goose StatementEnd
CREATE TRIGGER larder_trail_rows BEFORE UPDATE OR DELETE ON larder_trail FOR EACH ROW EXECUTE FUNCTION larder_only_added();
CREATE TRIGGER larder_trail_all BEFORE TRUNCATE ON larder_trail FOR EACH STATEMENT EXECUTE FUNCTION larder_only_added();
