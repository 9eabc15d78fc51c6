package journal

import "context"

// WithMaxPages limits the size of the file, as a full disk would.
func WithMaxPages(o Options, pages int) Options {
	o.maxPages = pages
	return o
}

// The readings of every page and note.
const (
	OfArrived = ofArrived
	OfDates   = ofDates
	TouchedAt = touched
)

// Query returns the query and the arguments that Entries uses for a filter.
func (f Filter) Query() (string, []any) {
	where, args := f.where()
	return "SELECT id, body FROM entries" + where + " ORDER BY id", args
}

// Exec runs a statement behind the journal's back.
func (s *Postgres) Exec(ctx context.Context, statement string) error {
	_, err := s.read.ExecContext(ctx, statement)
	return err
}

// LookBack sets how many arrivals are looked at at once, and returns how many they were.
func LookBack(n int64) int64 {
	was := farBack
	farBack = n
	return was
}
