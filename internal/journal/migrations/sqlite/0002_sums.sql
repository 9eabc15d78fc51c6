-- Version 2: what every row is checked by. Rows that are there get theirs in
-- the same transaction from the program, which knows how to work them out.
-- +goose Up
-- +goose StatementBegin
DROP TRIGGER entries_never_change;
DROP TRIGGER attachments_never_change;

ALTER TABLE entries ADD COLUMN sum BLOB NOT NULL DEFAULT x''; -- of the body
ALTER TABLE entries ADD COLUMN digest BLOB NOT NULL DEFAULT x''; -- of all entries up to this one
ALTER TABLE attachments ADD COLUMN sum BLOB NOT NULL DEFAULT x''; -- of hash, name, media and size

UPDATE entries SET sum = undertray_sum(body);
UPDATE entries SET digest = running.digest
FROM (SELECT seq, undertray_xor(sum) OVER (ORDER BY seq) AS digest FROM entries) AS running
WHERE running.seq = entries.seq;
UPDATE attachments SET sum = undertray_sum(hash || char(10) || name || char(10) || media || char(10) || size);

CREATE TRIGGER entries_never_change BEFORE UPDATE ON entries BEGIN
	SELECT RAISE(ABORT, 'an entry of the journal never changes: record a correction');
END;
CREATE TRIGGER attachments_never_change BEFORE UPDATE ON attachments BEGIN
	SELECT RAISE(ABORT, 'an attachment of the journal never changes');
END;
-- +goose StatementEnd
