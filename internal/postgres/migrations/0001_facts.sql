-- +goose Up
-- One row per fact. The sum is CRC-32C over the whole fact (season.Record.Sum
-- with salt 0). Names of columns are those of the SQLite book.
CREATE TABLE larder_fact (
	seq      BIGINT   GENERATED ALWAYS AS IDENTITY,
	id       BYTEA    PRIMARY KEY CHECK (length(id) = 16),
	kind     TEXT     NOT NULL,
	seen_ms  BIGINT   NOT NULL,
	seen_off SMALLINT NOT NULL,
	seen_day BOOLEAN  NOT NULL,
	made_ms  BIGINT   NOT NULL,
	made_off SMALLINT NOT NULL,
	made_day BOOLEAN  NOT NULL,
	by_whom  TEXT     NOT NULL,
	replaces BYTEA    CHECK (length(replaces) = 16),
	body     TEXT     NOT NULL,
	sum      BIGINT   NOT NULL
);
