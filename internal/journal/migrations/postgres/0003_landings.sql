-- Version 3: a landing waits for those before it and learns what the journal holds in
-- one go. The lock ends with the transaction; the reading after it sees what landed
-- meanwhile, as each statement of a volatile function looks anew.
-- +goose Up
-- +goose StatementBegin
CREATE FUNCTION begin_landing() RETURNS TABLE (seq bigint, landing bigint, digest bytea) LANGUAGE plpgsql VOLATILE AS $$
BEGIN
	PERFORM pg_advisory_xact_lock(hashtextextended(current_schema(), 85110100));
	RETURN QUERY SELECT e.seq, e.landing, e.digest FROM entries e ORDER BY e.seq DESC LIMIT 1;
END $$;
-- +goose StatementEnd
