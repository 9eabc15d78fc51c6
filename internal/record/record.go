// Package record holds everything that adds an entry to the journal: it checks
// a fact against the vehicle sheet, the catalogue and what is already
// recorded, and only then appends it. Entries that belong together land as one
// batch or not at all, and every fault of a batch is reported, not only the
// first.
//
// The package reads and writes through the small Journal interface, and takes
// its clock and its ids as functions, so that tests can fix both.
package record

import (
	"context"
	"errors"
	"fmt"
	"time"

	"undertray/civil"
	"undertray/internal/catalogue"
	"undertray/internal/fleet"
)

// Journal is what recording needs of a journal.
type Journal interface {
	// Append adds entries in one transaction, all or none, and returns how
	// many were not there before.
	Append(ctx context.Context, entries []*fleet.Entry) (added int, err error)
	// OfVehicle returns every entry about a vehicle, oldest id first.
	OfVehicle(ctx context.Context, vehicle string) ([]*fleet.Entry, error)
}

// Recorder adds entries.
type Recorder struct {
	Journal   Journal
	Catalogue *catalogue.Catalogue
	Now       func() time.Time // clock; its day is the latest an entry may be about
	NewID     func() string    // UUIDv7
	By        string           // who records, may be empty
}

// Batch checks entries about one vehicle and appends them together. The
// entries need only type, date and body: id, batch, time, format and vehicle
// are filled in here. It returns the entries as stored.
//
// Errors are *fleet.Error, joined: Invalid for what is wrong in itself,
// Conflict for what contradicts the journal. Nothing is stored then.
func (r *Recorder) Batch(ctx context.Context, v *fleet.Vehicle, entries []*fleet.Entry) ([]*fleet.Entry, error) {
	if len(entries) == 0 {
		return nil, &fleet.Error{Kind: fleet.Invalid, Msg: "there is nothing to record",
			Hint: "give at least one finding, reading, part, job or note"}
	}
	r.fill(v, entries)
	before, err := r.Journal.OfVehicle(ctx, v.ID)
	if err != nil {
		return nil, err
	}
	if err := r.check(v, before, entries); err != nil {
		return nil, err
	}
	if _, err := r.Journal.Append(ctx, entries); err != nil {
		return nil, err
	}
	return entries, nil
}

// fill completes what the caller leaves to the recorder.
func (r *Recorder) fill(v *fleet.Vehicle, entries []*fleet.Entry) {
	now := r.Now().UTC().Truncate(time.Microsecond)
	batch := r.NewID()
	for _, e := range entries {
		e.Format, e.Vehicle = fleet.EntryFormat, v.ID
		if e.Recorded.IsZero() {
			e.Recorded = now
		}
		if e.ID == "" {
			e.ID = r.NewID()
		}
		if e.Batch == "" {
			e.Batch = batch
		}
		if e.By == "" {
			e.By = r.By
		}
	}
}

// check returns every fault of a batch.
func (r *Recorder) check(v *fleet.Vehicle, before, entries []*fleet.Entry) error {
	c := checker{vehicle: v, catalogue: r.Catalogue, today: civil.Of(r.Now()), before: before}
	var errs []error
	for _, e := range entries {
		errs = append(errs, c.entry(e)...)
	}
	if len(errs) == 0 {
		errs = c.readings(entries)
	}
	return errors.Join(errs...)
}

// Withdraw records that an earlier entry was wrong and no longer stands.
func (r *Recorder) Withdraw(ctx context.Context, v *fleet.Vehicle, id, why string) (*fleet.Entry, error) {
	return r.correct(ctx, v, &fleet.Correction{Of: id, Withdraw: true, Why: why})
}

// Replace records that an earlier entry was wrong and what should stand in
// its place.
func (r *Recorder) Replace(ctx context.Context, v *fleet.Vehicle, id string, instead *fleet.Entry, why string) (*fleet.Entry, error) {
	return r.correct(ctx, v, &fleet.Correction{Of: id, Instead: instead, Why: why})
}

func (r *Recorder) correct(ctx context.Context, v *fleet.Vehicle, c *fleet.Correction) (*fleet.Entry, error) {
	e := &fleet.Entry{Type: fleet.TypeCorrection, Date: civil.Of(r.Now()), Correction: c}
	if in := c.Instead; in != nil {
		in.Format, in.Vehicle = fleet.EntryFormat, v.ID
	}
	out, err := r.Batch(ctx, v, []*fleet.Entry{e})
	if err != nil {
		return nil, err
	}
	return out[0], nil
}

// UndoBatch withdraws every entry of a batch that still stands, as one batch
// of corrections.
func (r *Recorder) UndoBatch(ctx context.Context, v *fleet.Vehicle, batch, why string) ([]*fleet.Entry, error) {
	all, err := r.Journal.OfVehicle(ctx, v.ID)
	if err != nil {
		return nil, err
	}
	var fixes []*fleet.Entry
	for _, e := range fleet.Standing(all) {
		if e.Batch == batch {
			fixes = append(fixes, &fleet.Entry{Type: fleet.TypeCorrection, Date: civil.Of(r.Now()),
				Correction: &fleet.Correction{Of: e.ID, Withdraw: true, Why: why}})
		}
	}
	if len(fixes) == 0 {
		return nil, &fleet.Error{Kind: fleet.NotFound, Msg: fmt.Sprintf("no entry of batch %q still stands", batch),
			Hint: "look the batch up in the journal"}
	}
	return r.Batch(ctx, v, fixes)
}
