-- Version 3: what is read of one vehicle is found without its other entries: what
-- arrived since, what it holds by date, its corrections.
-- +goose Up
-- +goose StatementBegin
DROP INDEX entries_vehicle;
CREATE INDEX entries_vehicle ON entries (vehicle, seq);
CREATE INDEX entries_date ON entries (vehicle, date);
CREATE INDEX entries_corrections ON entries (vehicle) WHERE type = 'correction';
-- +goose StatementEnd
