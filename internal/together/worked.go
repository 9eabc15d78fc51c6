// Package together works out the vehicles of a yard beside each other: each with
// what it learns from the others, as long as nothing is new about it without
// working it out again.
//
// The package does no input or output and knows no clock: sheets and folds are
// handed in, and so is the day.
package together

import (
	"cmp"
	"context"
	"crypto/sha256"
	"fmt"
	"hash/fnv"
	"runtime"
	"slices"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/howfar"
	"undertray.example/undertray/internal/message"
)

// Folds is what folds vehicles.
type Folds interface {
	// CatchUp looks what has arrived.
	CatchUp(ctx context.Context) error
	// Version returns a number that another entry about a vehicle changes, as far
	// as was looked.
	Version(vehicle string) int64
	// Folded returns the fold of the entries about a vehicle that had arrived
	// when it was looked last, or later ones too, for a day.
	Folded(ctx context.Context, v *fleet.Vehicle, on civil.Date) (*fleet.Kept, error)
	// Mark names what the journal holds now, and returns the number of the last arrival.
	Mark(ctx context.Context) (mark string, last int64, err error)
}

// Vehicles are those of a yard, which are read one by one.
type Vehicles interface {
	// IDs returns the ids of all in their order. Nobody changes them.
	IDs() []string
	// Vehicle returns one of them, or why it cannot be read.
	Vehicle(id string) (*fleet.Vehicle, error)
}

// Worked works vehicles out and keeps what it found of the latest for the next
// time, as long as the sheet, the catalogue, the day and the entries are the same.
// It may be used by several goroutines at once. Reports share what they hold with
// later ones: nobody changes it.
type Worked struct {
	Folds  Folds
	Memory advise.Memory // of what was learnt of kinds; nil: none

	mu     sync.Mutex
	cat    *catalogue.Catalogue
	clock  int64
	size   int
	kept   map[string]*kept   // by the vehicle's id, so that a sheet read again takes the place of the one before
	shared *advise.Experience // of the peers below
	peers  []*advise.Report
	ids    []string // the sample was taken of
	sample []string
}

// kept is what was last worked out of a vehicle, and from what.
type kept struct {
	vehicle *fleet.Vehicle
	on      civil.Date
	version int64
	report  *advise.Report // nil: only the peer
	peer    *advise.Report // what others learn from it
	size    int            // of the report
	used    int64

	shared, learned *advise.Experience // what the peers told, and that with its own
}

const (
	// mostPeers is how many vehicles of a yard the others learn from: all of a
	// smaller yard, and of a larger one a sample that stays the same.
	mostPeers = 50
	// mostWorked is how much of reports is kept, in findings and the like, of a yard
	// that can be worked out whole; mostOfLarge of one whose vehicles seldom come again
	// before others have taken their place.
	mostWorked, mostOfLarge = 60000, 12000
	// judged is what a report's judgements take, in the same measure, and learnt what
	// is learnt of kinds with the lives of a vehicle that the others do not learn from
	// (0.7 MB measured).
	judged, learnt = 150, 2500
)

// AsItStands is a yard as its journal is when it is looked at.
type AsItStands struct {
	w        *Worked
	cat      *catalogue.Catalogue
	vehicles Vehicles
	on       civil.Date
}

// Look looks once at the journal, to work vehicles out on a day.
func (w *Worked) Look(ctx context.Context, cat *catalogue.Catalogue, vehicles Vehicles,
	on civil.Date) (*AsItStands, error) {
	w.mu.Lock()
	if w.cat != cat { // the yard's catalogue was read again
		w.cat, w.kept, w.size = cat, map[string]*kept{}, 0
	}
	w.mu.Unlock()
	if err := w.Folds.CatchUp(ctx); err != nil {
		return nil, err
	}
	return &AsItStands{w, cat, vehicles, on}, nil
}

// Yard works out all vehicles that can be read: at a cost that grows with them.
func (l *AsItStands) Yard(ctx context.Context) ([]*advise.Report, error) {
	return l.Some(ctx, l.read(l.vehicles.IDs()))
}

// Few is how many vehicles are worked out together at the most: of a larger yard the
// roll tells which come first, and other questions name theirs.
const Few = 50

// Large reports whether a yard is too large to be worked out whole.
func Large(all Vehicles) bool { return len(all.IDs()) > Few }

// Named works out the vehicles that a question names, up to Few. The error is a
// *fleet.Error: at where it was asked, and with how they are named.
func (l *AsItStands) Named(ctx context.Context, ids []string, where, how string) ([]*advise.Report, error) {
	all := l.vehicles.IDs()
	if n := len(ids); n == 0 || n > Few {
		return nil, notTogether(n, all, where, how)
	}
	wanted := make([]*fleet.Vehicle, len(ids))
	for i, id := range ids {
		var err error
		if wanted[i], err = l.vehicles.Vehicle(id); err != nil {
			return nil, err
		}
	}
	return l.Some(ctx, wanted)
}

// notTogether says why vehicles cannot be worked out together: too many are named,
// or none of a yard that has too many.
func notTogether(named int, all []string, where, how string) error {
	hint := message.Of("name up to %d of them: %s%s", Few, how, strings.Join(all[:min(2, len(all))], ","))
	if named == 0 && len(all) <= Few {
		return &fleet.Error{Kind: fleet.Invalid, Where: where, Msg: "no vehicle is named", Hint: hint}
	}
	return &fleet.Error{Kind: fleet.Invalid, Where: where, Hint: hint,
		Msg: message.Of("%d vehicles are too many to be worked out together", cmp.Or(named, len(all)))}
}

// Peers works out the vehicles that the others learn from: all of a small yard, a
// sample of a larger one.
func (l *AsItStands) Peers(ctx context.Context) ([]*advise.Report, error) {
	return l.Some(ctx, l.read(l.w.Sample(l.vehicles.IDs())))
}

// read returns those of some vehicles that can be read, side by side.
func (l *AsItStands) read(ids []string) []*fleet.Vehicle {
	all := make([]*fleet.Vehicle, len(ids))
	_ = side(context.Background(), len(ids), func(_ context.Context, i int) error {
		all[i], _ = l.vehicles.Vehicle(ids[i]) // what is wrong with its sheet is told to who asks for it
		return nil
	})
	return slices.DeleteFunc(all, func(v *fleet.Vehicle) bool { return v == nil })
}

// Among works out one vehicle, with what it learns from the others.
func (l *AsItStands) Among(ctx context.Context, v *fleet.Vehicle) (*advise.Report, error) {
	reports, err := l.Some(ctx, []*fleet.Vehicle{v})
	if err != nil {
		return nil, err
	}
	return reports[0], nil
}

// Some works out some of the vehicles, in the order given.
func (l *AsItStands) Some(ctx context.Context, wanted []*fleet.Vehicle) ([]*advise.Report, error) {
	sample := l.read(l.w.Sample(l.vehicles.IDs()))
	before, err := l.mark(ctx)
	if err != nil {
		return nil, err
	}
	out := make([]*advise.Report, len(wanted))
	own := make([]*advise.Report, len(wanted)) // as the others see it
	peers := make([]*advise.Report, len(sample))
	done := howfar.Begin(ctx, "vehicles worked out", len(wanted))
	err = side(ctx, len(wanted), func(ctx context.Context, i int) (err error) {
		defer done()
		out[i], own[i], err = l.vehicle(ctx, wanted[i], true)
		return err
	})
	if err == nil {
		done := howfar.Begin(ctx, "vehicles learnt from", len(sample))
		err = side(ctx, len(sample), func(ctx context.Context, i int) (err error) {
			defer done()
			_, peers[i], err = l.vehicle(ctx, sample[i], false)
			return err
		})
	}
	if err != nil {
		return nil, err
	}
	after, err := l.mark(ctx)
	if err != nil {
		return nil, err
	}
	from := l.from(before, after, sample)
	shared := l.w.learned(peers)
	for i, r := range out {
		report := *r
		if own := wanted[i].ReadFrom; from != "" && own != "" {
			report.From = from + " " + own
		}
		if report.Experience = shared; !slices.Contains(peers, own[i]) {
			report.Experience = l.w.and(shared, wanted[i], own[i])
		}
		out[i] = &report
	}
	return out, nil
}

// mark names what the journal holds, where something is kept by it.
func (l *AsItStands) mark(ctx context.Context) (string, error) {
	if l.w.Memory == nil {
		return "", nil
	}
	mark, _, err := l.w.Folds.Mark(ctx)
	return mark, err
}

// from names what all reports rest on, those of others learnt from included; "" where an entry arrived while they
// were worked out: nobody knows in which it is.
func (l *AsItStands) from(before, after string, sample []*fleet.Vehicle) string {
	if before == "" || before != after {
		return ""
	}
	sum := sha256.New()
	fmt.Fprint(sum, before, l.on)
	for _, v := range sample {
		if v.ReadFrom == "" {
			return ""
		}
		fmt.Fprint(sum, " ", v.ReadFrom)
	}
	return fmt.Sprintf("%x", sum.Sum(nil))
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

// Sample returns those of a yard's vehicles that others learn from, in their order:
// all of a small yard.
func (w *Worked) Sample(ids []string) []string {
	if len(ids) <= mostPeers {
		return ids
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if len(w.ids) == len(ids) && &w.ids[0] == &ids[0] {
		return w.sample
	}
	all := make([]uint64, len(ids))
	for i, id := range ids {
		sum := fnv.New64a()
		sum.Write([]byte(id))
		all[i] = sum.Sum64()
	}
	last := slices.Sorted(slices.Values(all))[mostPeers]
	w.ids, w.sample = ids, nil
	for i, id := range ids {
		if all[i] < last {
			w.sample = append(w.sample, id)
		}
	}
	return w.sample
}

// learned is what the peers tell, kept until one of them is another.
func (w *Worked) learned(peers []*advise.Report) *advise.Experience {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.shared == nil || !slices.Equal(w.peers, peers) {
		w.shared, w.peers = advise.GatherAfter(w.shared, slices.Clone(peers)).Remembering(w.Memory), peers
	}
	return w.shared
}

// and is what the peers and a vehicle that is none of them tell, kept until they
// tell something else.
func (w *Worked) and(shared *advise.Experience, v *fleet.Vehicle, own *advise.Report) *advise.Experience {
	w.mu.Lock()
	defer w.mu.Unlock()
	k := w.kept[v.ID]
	if k == nil || k.peer != own {
		return shared.And(own)
	}
	if k.learned == nil {
		k.size, w.size = k.size+learnt, w.size+learnt
		w.shrink(k)
	}
	if k.shared != shared {
		k.shared, k.learned = shared, shared.And(own)
	}
	return k.learned
}

// vehicle returns a vehicle's report, where it is wanted whole, and what others
// learn from it.
func (l *AsItStands) vehicle(ctx context.Context, v *fleet.Vehicle, whole bool) (report,
	peer *advise.Report, err error) {
	if k := l.known(v, whole); k != nil {
		return k.report, k.peer, nil
	}
	version := l.w.Folds.Version(v.ID)
	fold, err := l.w.Folds.Folded(ctx, v, l.on)
	if err != nil {
		return nil, nil, err
	}
	k := &kept{vehicle: v, on: l.on, version: version}
	if whole {
		k.report, k.size = advise.Of(l.cat, fold.State(l.on)), fold.Size()+judged
		k.peer = k.report.AsPeer()
	} else {
		k.peer = advise.PeerOf(l.cat, fold.State(l.on))
	}
	report, peer = k.report, k.peer // others may let go of what is kept as soon as it is
	l.w.keep(l.cat, k)
	return report, peer, nil
}

func (l *AsItStands) known(v *fleet.Vehicle, whole bool) *kept {
	w, version := l.w, l.w.Folds.Version(v.ID)
	w.mu.Lock()
	defer w.mu.Unlock()
	k := w.kept[v.ID]
	if k == nil || k.vehicle != v || k.on != l.on || k.version != version || whole && k.report == nil {
		return nil
	}
	w.clock++
	k.used = w.clock
	out := *k
	return &out
}

// keep keeps what was worked out.
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
	w.shrink(k)
}

// shrink lets go of the reports that were not asked for longest, but never of one.
func (w *Worked) shrink(k *kept) {
	most := mostWorked
	if len(w.sample) > 0 {
		most = mostOfLarge
	}
	for w.size > most {
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
		oldest.report, oldest.size = nil, 0
		if len(w.sample) > 0 && !slices.Contains(w.sample, oldest.vehicle.ID) {
			delete(w.kept, oldest.vehicle.ID) // nobody learns from it
		}
	}
}
