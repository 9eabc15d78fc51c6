-- Version 1: what version 2 of the SQLite journal holds.
-- +goose Up
-- +goose StatementBegin
CREATE TABLE entries (
	seq     BIGINT PRIMARY KEY, -- order of arrival, from 1 without a gap
	id      TEXT COLLATE "C" NOT NULL UNIQUE CHECK (length(id) = 36), -- UUID version 7
	landing BIGINT NOT NULL,    -- entries that landed in one transaction share it
	batch   TEXT COLLATE "C" NOT NULL, -- copied from the body, as all that follow
	vehicle TEXT COLLATE "C" NOT NULL CHECK (vehicle <> ''),
	type    TEXT COLLATE "C" NOT NULL,
	date    TEXT COLLATE "C" NOT NULL CHECK (length(date) = 10), -- YYYY-MM-DD
	body    TEXT NOT NULL,      -- the entry in JSON
	sum     BYTEA NOT NULL,     -- of the body
	digest  BYTEA NOT NULL      -- of all entries up to this one
);

CREATE INDEX entries_vehicle ON entries (vehicle, id);
CREATE INDEX entries_batch ON entries (batch) WHERE batch <> '';

CREATE TABLE attachments (
	hash  TEXT COLLATE "C" PRIMARY KEY CHECK (length(hash) = 64), -- SHA-256 of data, hexadecimal
	name  TEXT NOT NULL,
	media TEXT NOT NULL,
	size  BIGINT NOT NULL CHECK (size = length(data)),
	data  BYTEA NOT NULL,
	sum   BYTEA NOT NULL        -- of hash, name, media and size
);
ALTER TABLE attachments ALTER COLUMN data SET STORAGE EXTERNAL; -- pictures do not get smaller

CREATE FUNCTION never_changes() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
	RAISE EXCEPTION 'what the journal holds never changes and is never deleted: record a correction';
END $$;
CREATE TRIGGER entries_never_change BEFORE UPDATE OR DELETE OR TRUNCATE ON entries FOR EACH STATEMENT EXECUTE FUNCTION never_changes();
CREATE TRIGGER attachments_never_change BEFORE UPDATE OR DELETE OR TRUNCATE ON attachments FOR EACH STATEMENT EXECUTE FUNCTION never_changes();

-- +goose StatementEnd
