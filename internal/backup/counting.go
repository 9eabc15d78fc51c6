package backup

import (
	"context"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
)

// counting is a store that adds up what it is given and keeps nothing.
type counting struct {
	journal.Store
	head journal.Head
}

// Land implements journal.Store.
func (c *counting) Land(_ context.Context, add func(journal.Landing) error) error {
	return add(tally{c: c})
}

// tally is one landing.
type tally struct {
	journal.Landing
	c *counting
}

// Add implements journal.Landing.
func (t tally) Add(e *fleet.Entry) (bool, error) {
	body, err := fleet.EncodeEntry(e)
	if err == nil {
		t.c.head = t.c.head.With(body)
	}
	return err == nil, err
}

// Attach implements journal.Landing.
func (t tally) Attach(a *journal.Attachment) (bool, error) {
	return true, journal.CheckAttachment(a)
}
