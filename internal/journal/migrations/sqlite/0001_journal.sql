-- +goose Up
-- +goose StatementBegin
-- Version 1: entries and attachments, append-only.

CREATE TABLE entries (
	seq     INTEGER PRIMARY KEY, -- order of arrival
	id      TEXT NOT NULL UNIQUE CHECK (length(id) = 36), -- UUID version 7
	landing INTEGER NOT NULL,    -- entries that landed in one transaction share it
	batch   TEXT NOT NULL,       -- copied from the body, as all that follow
	vehicle TEXT NOT NULL CHECK (vehicle <> ''),
	type    TEXT NOT NULL,
	date    TEXT NOT NULL CHECK (length(date) = 10), -- YYYY-MM-DD
	body    TEXT NOT NULL        -- the entry in JSON
) STRICT;

CREATE INDEX entries_vehicle ON entries (vehicle, id);
CREATE INDEX entries_batch ON entries (batch) WHERE batch <> '';

CREATE TABLE attachments (
	seq   INTEGER PRIMARY KEY,
	hash  TEXT NOT NULL UNIQUE CHECK (length(hash) = 64), -- SHA-256 of data, hexadecimal
	name  TEXT NOT NULL,
	media TEXT NOT NULL,
	size  INTEGER NOT NULL CHECK (size = length(data)),
	data  BLOB NOT NULL
) STRICT;

CREATE TRIGGER entries_never_change BEFORE UPDATE ON entries BEGIN
	SELECT RAISE(ABORT, 'an entry of the journal never changes: record a correction');
END;
CREATE TRIGGER entries_never_go BEFORE DELETE ON entries BEGIN
	SELECT RAISE(ABORT, 'an entry of the journal is never deleted: record a correction');
END;
CREATE TRIGGER entries_never_replaced BEFORE INSERT ON entries
WHEN EXISTS (SELECT 1 FROM entries WHERE id = NEW.id OR seq = NEW.seq) BEGIN
	SELECT RAISE(ABORT, 'an entry of the journal is never replaced: record a correction');
END;

CREATE TRIGGER attachments_never_change BEFORE UPDATE ON attachments BEGIN
	SELECT RAISE(ABORT, 'an attachment of the journal never changes');
END;
CREATE TRIGGER attachments_never_go BEFORE DELETE ON attachments BEGIN
	SELECT RAISE(ABORT, 'an attachment of the journal is never deleted');
END;
CREATE TRIGGER attachments_never_replaced BEFORE INSERT ON attachments
WHEN EXISTS (SELECT 1 FROM attachments WHERE hash = NEW.hash OR seq = NEW.seq) BEGIN
	SELECT RAISE(ABORT, 'an attachment of the journal is never replaced');
END;
-- +goose StatementEnd
