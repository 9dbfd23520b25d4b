-- +goose Up
-- The keepers of this server. Each has a place (a schema) of his own, which holds
-- his book and all beside it; its name says nothing of his.
CREATE TABLE larder_keeper (
	place  TEXT        PRIMARY KEY,
	name   TEXT        NOT NULL,
	made   TIMESTAMPTZ NOT NULL,
	closed TIMESTAMPTZ
);
CREATE UNIQUE INDEX larder_keeper_name ON larder_keeper (lower(name));
