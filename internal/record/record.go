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
	"slices"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// Journal is what recording needs of a journal.
type Journal interface {
	// Keep adds the entries of one form, which all carry its batch, in one
	// transaction and once: what is there already is passed over. It returns
	// the batch that the new ones landed in and how many they are.
	Keep(ctx context.Context, entries []*fleet.Entry) (batch string, added int, err error)
	// OfVehicle returns every entry about a vehicle, oldest id first.
	OfVehicle(ctx context.Context, vehicle string) ([]*fleet.Entry, error)
	// OfForm returns the entries that came with a form, by its batch.
	OfForm(ctx context.Context, batch string) ([]*fleet.Entry, error)
	// Fold returns the fold of all entries about a vehicle, for a day.
	Fold(ctx context.Context, v *fleet.Vehicle, on civil.Date) (*fleet.Kept, error)
}

// Recorder adds entries.
type Recorder struct {
	Journal   Journal
	Catalogue *catalogue.Catalogue
	Now       func() time.Time // clock; its day is the latest an entry may be about
	NewID     func() string    // UUIDv7
	By        string           // who records, may be empty
	// Run says where the arithmetic of the run that a position is on puts its
	// tensioner, in a word of a catalogue.Claim, "" for nothing; nil: not asked.
	Run func(v *fleet.Vehicle, entries []*fleet.Entry, position string) string
	// Form is the batch that a form brings, a UUIDv7: sent again, it is kept
	// once. Empty: every call is a form of its own.
	Form string
	// Typed is when a form was filled in by the clock of its device, and Clock
	// by how many seconds that clock is behind Now. Typed zero: now.
	Typed time.Time
	Clock float64
	// Place says where what is wrong in itself stands, of an entry and of the field that its check names; nil: there.
	Place func(e *fleet.Entry, field string) string
}

// Batch checks entries about one vehicle and keeps them together. The
// entries need only type, date and body: id, batch, time, format and vehicle
// are filled in here. It returns the entries as stored.
//
// Errors are *fleet.Error, joined: Invalid for what is wrong in itself,
// Conflict for what contradicts the journal. Nothing is stored then.
func (r *Recorder) Batch(ctx context.Context, v *fleet.Vehicle, entries []*fleet.Entry) ([]*fleet.Entry, error) {
	_, err := r.Send(ctx, v, entries)
	if err != nil {
		return nil, err
	}
	return entries, nil
}

// Sent says what became of a form.
type Sent struct {
	Batch   string // that holds what is new, or that of the form
	Added   int    // entries that are new
	Already int    // entries that were there from an earlier sending
}

// Send is Batch, and says what became of a form that may have been sent before:
// what landed of it then is neither checked nor kept twice, and what is new in
// it is kept.
func (r *Recorder) Send(ctx context.Context, v *fleet.Vehicle, entries []*fleet.Entry) (Sent, error) {
	if len(entries) == 0 {
		return Sent{}, &fleet.Error{Kind: fleet.Invalid, Msg: "there is nothing to record",
			Hint: "give at least one finding, reading, part, job or note"}
	}
	r.fill(v, entries)
	fresh, err := r.fresh(ctx, entries)
	if err == nil {
		err = r.check(ctx, v, fresh)
	}
	if err != nil {
		return Sent{}, err
	}
	out := Sent{}
	if out.Batch, out.Added, err = r.Journal.Keep(ctx, entries); err != nil {
		return Sent{}, err
	}
	out.Already = len(entries) - out.Added
	return out, nil
}

// Check returns what would keep entries about one vehicle from being recorded.
func (r *Recorder) Check(ctx context.Context, v *fleet.Vehicle, entries []*fleet.Entry) error {
	r.fill(v, entries)
	return r.check(ctx, v, entries)
}

// weighs reports whether an entry is held against the readings there are.
func weighs(e *fleet.Entry) bool {
	return e.Odometer != nil || e.Instrument != nil || e.Correction != nil
}

func corrects(e *fleet.Entry) bool { return e.Correction != nil }

// inHand reports whether an entry is about a part that came off.
func inHand(e *fleet.Entry) bool { return e.Found != nil && e.Found.Off != "" }

// fresh returns the entries that did not come with the form before, in as many
// words.
func (r *Recorder) fresh(ctx context.Context, entries []*fleet.Entry) ([]*fleet.Entry, error) {
	if r.Form == "" {
		return entries, nil
	}
	before, err := r.Journal.OfForm(ctx, r.Form)
	if err != nil {
		return nil, err
	}
	said := map[string]bool{}
	for _, e := range before {
		if text, err := fleet.Content(e); err == nil {
			said[string(text)] = true
		}
	}
	return slices.DeleteFunc(slices.Clone(entries), func(e *fleet.Entry) bool {
		text, err := fleet.Content(e)
		return err == nil && said[string(text)]
	}), nil
}

// fill completes what the caller leaves to the recorder.
func (r *Recorder) fill(v *fleet.Vehicle, entries []*fleet.Entry) {
	now := r.Now().UTC().Truncate(time.Microsecond)
	if !r.Typed.IsZero() {
		now = r.Typed.UTC().Truncate(time.Millisecond)
	}
	batch := r.Form
	if batch == "" {
		batch = r.NewID()
	}
	for _, e := range entries {
		e.Vehicle = v.ID
		if e.Recorded.IsZero() {
			e.Recorded, e.Clock = now, r.Clock
		}
		e.Format = fleet.FormatOf(e)
		if e.ID == "" {
			e.ID = r.NewID()
		}
		e.Batch = batch
		if e.By == "" {
			e.By = r.By
		}
	}
}

// check returns every fault of a batch. It reads as little of what is recorded as
// the entries are held against: of a note nothing, of a reading the vehicle's
// fold, and of a correction, a mark, a count on a picture or a part once off all.
func (r *Recorder) check(ctx context.Context, v *fleet.Vehicle, entries []*fleet.Entry) error {
	c := checker{vehicle: v, catalogue: r.Catalogue, today: civil.Of(r.Now()), with: entries}
	if slices.ContainsFunc(entries, func(e *fleet.Entry) bool {
		return corrects(e) || inHand(e) || e.Mark != nil || e.Found != nil && e.Found.Counted != nil
	}) {
		var err error
		if c.before, err = r.Journal.OfVehicle(ctx, v.ID); err != nil {
			return err
		}
	}
	var errs []error
	for _, e := range entries {
		for _, err := range c.entry(e) {
			var known *fleet.Error
			if r.Place != nil && errors.As(err, &known) {
				err = place(known, r.Place(e, known.Where))
			}
			errs = append(errs, err)
		}
	}
	if len(errs) == 0 && slices.ContainsFunc(entries, weighs) {
		if err := r.readings(ctx, &c, entries); err != nil {
			return err
		}
	}
	if len(errs) == 0 {
		errs = r.contradictions(ctx, v, slices.DeleteFunc(slices.Clone(entries), inHand))
	}
	return errors.Join(errs...)
}

// readings checks that the readings of a batch fit between those already there.
// The journal may hold faults of its own; only new ones are reported.
func (r *Recorder) readings(ctx context.Context, c *checker, entries []*fleet.Entry) error {
	fold, err := r.Journal.Fold(ctx, c.vehicle, c.today)
	if err != nil {
		return err
	}
	before := fold.State(c.today)
	if after, ok := fold.With(entries, c.today); ok {
		return errors.Join(newFaults(before, after.State(c.today), entries)...)
	}
	all, err := r.Journal.OfVehicle(ctx, c.vehicle.ID)
	if err != nil {
		return err
	}
	return errors.Join(newFaults(before, fleet.Fold(c.vehicle, append(all, entries...), c.today), entries)...)
}

// Withdraw records that an earlier entry was wrong and no longer stands.
func (r *Recorder) Withdraw(ctx context.Context, v *fleet.Vehicle, id, why string) (*fleet.Entry, error) {
	return r.correct(ctx, v, &fleet.Correction{Of: id, Withdraw: true, Why: why})
}

// Replace records that an earlier entry was wrong and what should stand in
// its place.
func (r *Recorder) Replace(ctx context.Context, v *fleet.Vehicle, id string, instead *fleet.Entry,
	why string) (*fleet.Entry, error) {
	return r.correct(ctx, v, &fleet.Correction{Of: id, Instead: instead, Why: why})
}

func (r *Recorder) correct(ctx context.Context, v *fleet.Vehicle, c *fleet.Correction) (*fleet.Entry, error) {
	e := &fleet.Entry{Type: fleet.TypeCorrection, Date: civil.Of(r.Now()), Correction: c}
	if in := c.Instead; in != nil {
		in.Format, in.Vehicle = fleet.FormatOf(in), v.ID
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
	if len(fixes) == 0 && r.Form != "" && slices.ContainsFunc(all, func(e *fleet.Entry) bool {
		return e.Batch == r.Form
	}) {
		return nil, nil // the form was sent before
	}
	if len(fixes) == 0 {
		return nil, &fleet.Error{Kind: fleet.NotFound, Msg: message.Of("no entry of batch %q still stands", batch),
			Hint: "look the batch up in the journal"}
	}
	return r.Batch(ctx, v, fixes)
}
