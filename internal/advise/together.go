package advise

import (
	"context"
	"hash/fnv"
	"runtime"
	"slices"
	"sync"

	"golang.org/x/sync/errgroup"

	"undertray/civil"
	"undertray/internal/catalogue"
	"undertray/internal/fleet"
)

// Yard works out the report of every vehicle on a day from all entries of the
// journal, in the order of the vehicles, and lets each profit from what the
// others have seen. Entries and vehicles are only read.
func Yard(cat *catalogue.Catalogue, vehicles []*fleet.Vehicle, entries []*fleet.Entry, on civil.Date) []*Report {
	of := make(map[string][]*fleet.Entry, len(vehicles))
	for _, e := range entries {
		of[e.Vehicle] = append(of[e.Vehicle], e)
	}
	out := make([]*Report, len(vehicles))
	_ = side(context.Background(), len(vehicles), func(_ context.Context, i int) error { // which has no errors
		out[i] = Vehicle(cat, vehicles[i], of[vehicles[i].ID], on)
		return nil
	})
	Gather(out)
	return out
}

// Folds is what folds vehicles.
type Folds interface {
	// Versions looks what has arrived and returns for each vehicle a number that
	// another entry about it changes.
	Versions(ctx context.Context, vehicles []*fleet.Vehicle) ([]int64, error)
	// Folded returns the fold of the entries about a vehicle that had arrived
	// when Versions was asked last, or later ones too, for a day.
	Folded(ctx context.Context, v *fleet.Vehicle, on civil.Date) (*fleet.Kept, error)
}

// Worked works vehicles out and keeps what it found of the latest for the next
// time, as long as the sheet, the catalogue, the day and the entries are the same.
// It may be used by several goroutines at once. Reports share what they hold with
// later ones: nobody changes it.
type Worked struct {
	Folds Folds

	mu     sync.Mutex
	cat    *catalogue.Catalogue
	clock  int64
	size   int
	kept   map[string]*kept // by the vehicle's id, so that a sheet read again takes the place of the one before
	shared *Experience      // of the peers below
	peers  []*Report
}

// kept is what was last worked out of a vehicle, and from what.
type kept struct {
	vehicle *fleet.Vehicle
	on      civil.Date
	version int64
	report  *Report // nil: only the peer
	peer    *Report // what others learn from it
	size    int     // of the report
	used    int64
}

const (
	// mostPeers is how many vehicles of a yard the others learn from: all of a
	// smaller yard, and of a larger one a sample that stays the same.
	mostPeers = 50
	// mostWorked is how much of reports is kept, in findings and the like.
	mostWorked = 60000
	// judged is what a report's judgements take, in the same measure.
	judged = 150
)

// AsItStands is a yard as its journal is when it is looked at.
type AsItStands struct {
	w        *Worked
	cat      *catalogue.Catalogue
	vehicles []*fleet.Vehicle
	version  map[*fleet.Vehicle]int64
	on       civil.Date
}

// Look looks once at the journal, to work vehicles out on a day.
func (w *Worked) Look(ctx context.Context, cat *catalogue.Catalogue, vehicles []*fleet.Vehicle, on civil.Date) (*AsItStands, error) {
	w.mu.Lock()
	if w.cat != cat { // the yard's files were read again
		w.cat, w.kept, w.size = cat, map[string]*kept{}, 0
	}
	w.mu.Unlock()
	versions, err := w.Folds.Versions(ctx, vehicles)
	if err != nil {
		return nil, err
	}
	l := &AsItStands{w, cat, vehicles, make(map[*fleet.Vehicle]int64, len(vehicles)), on}
	for i, v := range vehicles {
		l.version[v] = versions[i]
	}
	return l, nil
}

// Yard works out all vehicles.
func (l *AsItStands) Yard(ctx context.Context) ([]*Report, error) { return l.some(ctx, l.vehicles) }

// Among works out one vehicle, with what it learns from the others.
func (l *AsItStands) Among(ctx context.Context, v *fleet.Vehicle) (*Report, error) {
	reports, err := l.some(ctx, []*fleet.Vehicle{v})
	if err != nil {
		return nil, err
	}
	return reports[0], nil
}

func (l *AsItStands) some(ctx context.Context, wanted []*fleet.Vehicle) ([]*Report, error) {
	sample := sampleOf(l.vehicles)
	out := make([]*Report, len(wanted))
	own := make([]*Report, len(wanted)) // as the others see it
	peers := make([]*Report, len(sample))
	err := side(ctx, len(wanted), func(ctx context.Context, i int) (err error) {
		out[i], own[i], err = l.vehicle(ctx, wanted[i], true)
		return err
	})
	if err == nil {
		err = side(ctx, len(sample), func(ctx context.Context, i int) (err error) {
			_, peers[i], err = l.vehicle(ctx, sample[i], false)
			return err
		})
	}
	if err != nil {
		return nil, err
	}
	shared := l.w.learned(peers)
	for i, r := range out {
		report := *r
		if report.Experience = shared; !slices.Contains(peers, own[i]) {
			report.Experience = shared.and(own[i])
		}
		out[i] = &report
	}
	return out, nil
}

// side does n things side by side.
func side(ctx context.Context, n int, do func(context.Context, int) error) error {
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i := range n {
		group.Go(func() error { return do(ctx, i) })
	}
	return group.Wait()
}

// sampleOf returns the vehicles that others learn from, in their order.
func sampleOf(vehicles []*fleet.Vehicle) []*fleet.Vehicle {
	if len(vehicles) <= mostPeers {
		return vehicles
	}
	number := func(v *fleet.Vehicle) uint64 {
		sum := fnv.New64a()
		sum.Write([]byte(v.ID))
		return sum.Sum64()
	}
	all := make([]uint64, len(vehicles))
	for i, v := range vehicles {
		all[i] = number(v)
	}
	slices.Sort(all)
	var out []*fleet.Vehicle
	for _, v := range vehicles {
		if number(v) < all[mostPeers] {
			out = append(out, v)
		}
	}
	return out
}

// learned is what the peers tell, kept until one of them is another.
func (w *Worked) learned(peers []*Report) *Experience {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.shared == nil || !slices.Equal(w.peers, peers) {
		w.shared, w.peers = Gather(slices.Clone(peers)), peers
	}
	return w.shared
}

// vehicle returns a vehicle's report, where it is wanted whole, and what others
// learn from it.
func (l *AsItStands) vehicle(ctx context.Context, v *fleet.Vehicle, whole bool) (report, peer *Report, err error) {
	if k := l.known(v, whole); k != nil {
		return k.report, k.peer, nil
	}
	fold, err := l.w.Folds.Folded(ctx, v, l.on)
	if err != nil {
		return nil, nil, err
	}
	k := &kept{vehicle: v, on: l.on, version: l.version[v]}
	r := outlookOf(l.cat, fold.State(l.on))
	k.peer = r.asPeer()
	if whole {
		r.judge()
		k.report, k.size = r, fold.Size()+judged
	}
	l.w.keep(l.cat, k)
	return k.report, k.peer, nil
}

func (l *AsItStands) known(v *fleet.Vehicle, whole bool) *kept {
	w := l.w
	w.mu.Lock()
	defer w.mu.Unlock()
	k := w.kept[v.ID]
	if k == nil || k.vehicle != v || k.on != l.on || k.version != l.version[v] || whole && k.report == nil {
		return nil
	}
	w.clock++
	k.used = w.clock
	out := *k
	return &out
}

// keep keeps what was worked out, and lets go of the reports that were not asked
// for longest.
func (w *Worked) keep(cat *catalogue.Catalogue, k *kept) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.cat != cat {
		return
	}
	if was := w.kept[k.vehicle.ID]; was != nil {
		w.size -= was.size
	}
	w.clock++
	k.used = w.clock
	w.kept[k.vehicle.ID] = k
	w.size += k.size
	for w.size > mostWorked {
		var oldest *kept
		for _, o := range w.kept {
			if o != k && o.report != nil && (oldest == nil || o.used < oldest.used) {
				oldest = o
			}
		}
		if oldest == nil {
			break
		}
		w.size -= oldest.size
		delete(w.kept, oldest.vehicle.ID)
	}
}
