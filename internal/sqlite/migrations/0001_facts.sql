-- +goose Up
-- Each book has a number of its own, which the sums of its facts begin with: a
-- page or a log of another book is noticed.
CREATE TABLE larder_book (
	one  INTEGER PRIMARY KEY CHECK (one = 1),
	salt INTEGER NOT NULL CHECK (salt BETWEEN 0 AND 4294967295)
) STRICT;
INSERT INTO larder_book (one, salt) VALUES (1, random() & 4294967295);
-- One row per fact, in the order they arrived. seq has no gaps: a missing row
-- is noticed. The sum is CRC-32C over the whole fact (season.Record.Sum).
CREATE TABLE larder_fact (
	seq      INTEGER PRIMARY KEY,
	id       BLOB    NOT NULL UNIQUE CHECK (length(id) = 16),
	kind     TEXT    NOT NULL,
	seen_ms  INTEGER NOT NULL,
	seen_off INTEGER NOT NULL,
	seen_day INTEGER NOT NULL CHECK (seen_day IN (0, 1)),
	made_ms  INTEGER NOT NULL,
	made_off INTEGER NOT NULL,
	made_day INTEGER NOT NULL CHECK (made_day IN (0, 1)),
	by_whom  TEXT    NOT NULL,
	replaces BLOB    CHECK (length(replaces) = 16),
	body     TEXT    NOT NULL,
	sum      INTEGER NOT NULL
) STRICT;
PRAGMA application_id = 1279349316;
PRAGMA user_version = 1;
