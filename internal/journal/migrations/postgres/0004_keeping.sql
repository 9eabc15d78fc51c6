-- Version 4: a form of which nothing is there lands in one go, in a transaction of one
-- statement. Highs and lows are the halves of the digest of its rows up to each. It
-- returns what the journal holds then, and nothing where it did nothing: something of
-- the batch is there, or the journal lacks what it is known to have held. Each
-- statement of a volatile function sees what has landed before it.
-- +goose Up
-- +goose StatementBegin
CREATE FUNCTION keep_new(known bigint, held bytea, form text, ids text[], vehicles text[], types text[], dates text[], bodies text[],
	sums bytea[], highs bigint[], lows bigint[]) RETURNS TABLE (entries bigint, digest bytea) LANGUAGE plpgsql VOLATILE AS $$
DECLARE
	number bigint;
	high bigint := 0;
	low bigint := 0;
BEGIN
	SELECT l.seq, l.landing, l.digest INTO entries, number, digest FROM begin_landing() l;
	IF known > 0 AND (entries, digest) IS DISTINCT FROM (known, held) AND NOT EXISTS
		(SELECT FROM entries e WHERE e.seq = known AND e.digest = held) THEN
		RETURN;
	END IF;
	IF EXISTS (SELECT FROM entries e WHERE e.batch = form AND e.batch <> '') THEN
		RETURN;
	END IF;
	IF entries IS NULL THEN
		entries := 0; number := 0;
	ELSE
		high := ('x' || encode(substr(digest, 1, 8), 'hex'))::bit(64)::bigint;
		low := ('x' || encode(substr(digest, 9, 8), 'hex'))::bit(64)::bigint;
	END IF;
	INSERT INTO entries (seq, id, landing, batch, vehicle, type, date, body, sum, digest)
		SELECT entries + n, id, number + 1, form, vehicle, type, date, body, sum, int8send(high # h) || int8send(low # l)
		FROM unnest(ids, vehicles, types, dates, bodies, sums, highs, lows)
			WITH ORDINALITY AS new(id, vehicle, type, date, body, sum, h, l, n);
	entries := entries + cardinality(ids);
	digest := int8send(high # highs[cardinality(ids)]) || int8send(low # lows[cardinality(ids)]);
	RETURN NEXT;
END $$;
-- +goose StatementEnd
