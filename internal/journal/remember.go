package journal

import (
	"cmp"
	"context"
	"slices"
	"sync"

	"undertray/internal/fleet"
)

// Remembered is a Store that reads each entry only once. A journal is only ever
// added to, so what was read stays right: each reading asks the store for what
// has arrived since, from this process or another, and for nothing else.
//
// Its entries are shared between all who read them and must not be changed;
// the slices that hold them belong to the caller. It takes about as much memory
// as one full reading.
type Remembered struct {
	Store

	mu      sync.Mutex
	last    int64          // arrival number up to which entries are known
	entries []*fleet.Entry // by id
}

var _ Store = (*Remembered)(nil)

// Remember returns a store that remembers what it reads from s.
func Remember(s Store) *Remembered { return &Remembered{Store: s} }

// Entries implements Store, but for the entries being shared.
func (r *Remembered) Entries(ctx context.Context, f Filter) ([]*fleet.Entry, error) {
	all, err := r.all(ctx)
	if err != nil {
		return nil, err
	}
	if f.UpTo != 0 {
		return r.Store.Entries(ctx, f) // what is remembered has lost its arrival
	}
	if f == (Filter{}) {
		return slices.Clone(all), nil
	}
	var out []*fleet.Entry
	for _, e := range all {
		if !f.passes(row{id: e.ID, vehicle: e.Vehicle, batch: e.Batch, date: e.Date.String(), kind: e.Type}) {
			continue
		}
		out = append(out, e)
		if len(out) == f.Limit {
			break
		}
	}
	return out, nil
}

// OfVehicle implements Store, but for the entries being shared.
func (r *Remembered) OfVehicle(ctx context.Context, vehicle string) ([]*fleet.Entry, error) {
	return ofVehicle(ctx, r, vehicle)
}

// all returns every entry by id. What it returns is never changed again.
func (r *Remembered) all(ctx context.Context) ([]*fleet.Entry, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	arrived, last, err := r.Store.Arrived(ctx, r.last)
	if err != nil {
		return nil, err
	}
	if len(arrived) > 0 {
		all := slices.Concat(r.entries, arrived)
		slices.SortFunc(all, func(a, b *fleet.Entry) int { return cmp.Compare(a.ID, b.ID) })
		r.entries = all
	}
	r.last = last
	return r.entries, nil
}
