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

	mu   sync.Mutex
	last int64 // arrival number up to which entries are known
	all  byIDs
	of   map[string]byIDs // by vehicle
}

var _ Store = (*Remembered)(nil)

// Remember returns a store that remembers what it reads from s.
func Remember(s Store) *Remembered { return &Remembered{Store: s, of: map[string]byIDs{}} }

// byIDs are entries by id. What was handed out is never changed: entries are
// added behind it, or a new slice takes its place.
type byIDs []*fleet.Entry

// with returns the entries with others, which are by id too. Those that were
// recorded later than all that are there, as nearly all are, cost nothing but
// themselves.
func (b byIDs) with(more []*fleet.Entry) byIDs {
	if len(b) == 0 || b[len(b)-1].ID < more[0].ID {
		return append(b, more...)
	}
	all := slices.Concat(b, more)
	slices.SortFunc(all, func(x, y *fleet.Entry) int { return cmp.Compare(x.ID, y.ID) })
	return all
}

// Entries implements Store, but for the entries being shared.
func (r *Remembered) Entries(ctx context.Context, f Filter) ([]*fleet.Entry, error) {
	if f.UpTo != 0 {
		return r.Store.Entries(ctx, f) // what is remembered has lost its arrival
	}
	from, err := r.known(ctx, f.Vehicle)
	if err != nil {
		return nil, err
	}
	if f == (Filter{Vehicle: f.Vehicle}) {
		return slices.Clone(from), nil
	}
	var out []*fleet.Entry
	for _, e := range from {
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

// ByVehicle returns all entries by vehicle and id, and how many they are. The
// slices are shared with all who ask: nobody changes them.
func (r *Remembered) ByVehicle(ctx context.Context) (map[string][]*fleet.Entry, int, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if err := r.catchUp(ctx); err != nil {
		return nil, 0, err
	}
	out := make(map[string][]*fleet.Entry, len(r.of))
	for vehicle, entries := range r.of {
		out[vehicle] = slices.Clip(entries)
	}
	return out, len(r.all), nil
}

// known returns the entries about a vehicle, "" for all, by id. What it returns
// is never changed again.
func (r *Remembered) known(ctx context.Context, vehicle string) ([]*fleet.Entry, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if err := r.catchUp(ctx); err != nil {
		return nil, err
	}
	if vehicle != "" {
		return slices.Clip(r.of[vehicle]), nil
	}
	return slices.Clip(r.all), nil
}

// catchUp reads what has arrived. The caller holds mu.
func (r *Remembered) catchUp(ctx context.Context) error {
	arrived, last, err := r.Store.Arrived(ctx, r.last)
	if err != nil || len(arrived) == 0 {
		return err
	}
	slices.SortFunc(arrived, func(a, b *fleet.Entry) int { return cmp.Compare(a.ID, b.ID) })
	r.all = r.all.with(arrived)
	of := map[string][]*fleet.Entry{}
	for _, e := range arrived {
		of[e.Vehicle] = append(of[e.Vehicle], e)
	}
	for vehicle, more := range of {
		r.of[vehicle] = r.of[vehicle].with(more)
	}
	r.last = last
	return nil
}
