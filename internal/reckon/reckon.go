package reckon

import (
	"cmp"
	"context"
	"runtime"
	"slices"
	"sync"

	"golang.org/x/sync/errgroup"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/howfar"
)

// Subject is a vehicle with all that was ever recorded about it.
type Subject struct {
	Vehicle *fleet.Vehicle
	Entries []*fleet.Entry
}

// Most is how many vehicles are reckoned together at the most.
const Most = 12

// Period is the days a reckoning is about, both among them, and the day on which it is
// known what happened.
type Period struct{ From, To, On civil.Date }

// LastYear is the last calendar year that is full on a day.
func LastYear(on civil.Date) Period {
	y := on.Year - 1
	return Period{From: civil.Date{Year: y, Month: 1, Day: 1}, To: civil.Date{Year: y, Month: 12, Day: 31}, On: on}
}

// Trial is a chance that was said of a part, and what became of it.
type Trial struct {
	Vehicle, Position, Kind string
	On                      civil.Date // the day it was said
	Said                    float64    // chance of failing by the end of the quarter, as said
	Until                   civil.Date // the next look, the end of the quarter, or the day it came off sound
	Chance                  float64    // of failing by then
	Failed                  bool
}

// Reckoning is what was forecast for the parts of some vehicles and what happened.
type Reckoning struct {
	Period
	Vehicles   []*fleet.Vehicle
	Trials     []Trial // by day, vehicle and position
	All        Bin
	Bins       []Bin // those in which something was said
	Brier, Log float64
	Figures    Bands  // the next figure measured, in the band of 8 in 10 said before it
	Dates      Bands  // the day a limit was met, likewise
	Looks      []Look // by day, vehicle and position
	Offs       []Off  // parts that came off, likewise
	Overdue    []Part // past a deadline at the end, and still there
}

// Part names a part where it is told of.
type Part struct{ Vehicle, VehicleName, Position, Name, Kind string }

func partOf(v *fleet.Vehicle, p *fleet.Position) Part {
	return Part{v.ID, v.Name, p.ID, p.Name, p.Kind}
}

// Of reckons a period of some vehicles, up to Most of them. It works for as long as
// that takes and stops with the context. What it learns is kept in a memory, which may be nil.
func Of(ctx context.Context, cat *catalogue.Catalogue, all []Subject, p Period,
	memory advise.Memory) (*Reckoning, error) {
	r := &Reckoning{Period: p}
	yards := make([]*past, 0, len(all))
	for _, s := range all[:min(len(all), Most)] {
		yards = append(yards, newPast(cat, s, p))
		r.Vehicles = append(r.Vehicles, s.Vehicle)
	}
	quarters := 0
	for from := p.From; !from.After(p.To); from = nextQuarter(from) {
		quarters++
	}
	done := howfar.Begin(ctx, "vehicles' quarters gone through", quarters*len(yards))
	for from := p.From; !from.After(p.To); from = nextQuarter(from) {
		to := nextQuarter(from)
		if last := p.To.AddDays(1); last.Before(to) {
			to = last
		}
		if err := quarter(ctx, yards, from, to, memory, done); err != nil {
			return nil, err
		}
	}
	for _, y := range yards {
		y.close()
		r.take(y)
	}
	r.sum()
	return r, nil
}

// quarter works out one quarter of all vehicles, side by side: what each learns from
// the others is taken at its beginning.
func quarter(ctx context.Context, yards []*past, from, to civil.Date, memory advise.Memory, done func()) error {
	reports := make([]*advise.Report, len(yards))
	side(len(yards), func(i int) { reports[i] = yards[i].asOf(from) })
	advise.Gather(reports).Remembering(memory)
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i, y := range yards {
		group.Go(func() error {
			defer done()
			return y.quarter(ctx, reports[i], to)
		})
	}
	return group.Wait()
}

// side does n things side by side.
func side(n int, do func(int)) {
	var group sync.WaitGroup
	for i := range n {
		group.Go(func() { do(i) })
	}
	group.Wait()
}

func nextQuarter(d civil.Date) civil.Date {
	return civil.Date{Year: d.Year, Month: (d.Month-1)/3*3 + 1, Day: 1}.AddMonths(3)
}

func (r *Reckoning) take(y *past) {
	r.Trials = append(r.Trials, y.trials...)
	r.Looks = append(r.Looks, y.looks...)
	r.Offs = append(r.Offs, y.offs...)
	r.Overdue = append(r.Overdue, y.overdue...)
	r.Figures.add(y.figures)
	r.Dates.add(y.dates)
}

// sum puts what was gathered in order and compares it.
func (r *Reckoning) sum() {
	slices.SortFunc(r.Trials, func(a, b Trial) int {
		return cmp.Or(a.On.Compare(b.On), cmp.Compare(a.Vehicle, b.Vehicle), cmp.Compare(a.Position, b.Position))
	})
	slices.SortFunc(r.Looks, func(a, b Look) int {
		return cmp.Or(a.On.Compare(b.On), cmp.Compare(a.Vehicle, b.Vehicle), cmp.Compare(a.Position, b.Position))
	})
	slices.SortFunc(r.Offs, func(a, b Off) int {
		return cmp.Or(a.On.Compare(b.On), cmp.Compare(a.Vehicle, b.Vehicle), cmp.Compare(a.Position, b.Position))
	})
	r.All = binOf(r.Trials, edges[0], edges[len(edges)-1], allLevel)
	for i := range edges[1:] {
		b := binOf(r.Trials, edges[i], edges[i+1], binLevel)
		if b.About = about[i]; b.Said > 0 {
			r.Bins = append(r.Bins, b)
		}
	}
	r.Brier, r.Log = scores(r.Trials)
	r.Figures.tell()
	r.Dates.tell()
}

// Surprises are the parts that failed while nothing was to be put right or watched.
func (r *Reckoning) Surprises() []Off {
	return r.off(func(o *Off) bool { return o.Fate == Failed && o.Stood < fleet.Watch })
}

// Foretold are the parts that failed while they stood at watch or worse.
func (r *Reckoning) Foretold() []Off {
	return r.off(func(o *Off) bool { return o.Fate == Failed && o.Stood >= fleet.Watch })
}

// Sound are the parts that came off for what was seen of them and were sound in the
// hand.
func (r *Reckoning) Sound() []Off {
	return r.off(func(o *Off) bool { return o.Fate == WasSound && o.forLooks() })
}

// Confirmed are those that were as bad as was seen.
func (r *Reckoning) Confirmed() []Off {
	return r.off(func(o *Off) bool { return o.Fate == WasBad && o.forLooks() })
}

// Questions are the parts that came off, of which nobody has told what they were.
func (r *Reckoning) Questions() []Off {
	return r.off(func(o *Off) bool { return o.Asked && o.Fate == Untold })
}

func (r *Reckoning) off(is func(*Off) bool) []Off {
	var out []Off
	for i := range r.Offs {
		if is(&r.Offs[i]) {
			out = append(out, r.Offs[i])
		}
	}
	return out
}

// Entries are all that is recorded about a vehicle.
type Entries = []*fleet.Entry

// Gather reads the vehicles to reckon, up to Most of them, each once. A vehicle whose
// sheet cannot be read is an error.
func Gather(ids []string, sheet func(string) (*fleet.Vehicle, error),
	entries func(string) (Entries, error)) ([]Subject, error) {
	var out []Subject
	for _, id := range ids[:min(len(ids), Most)] {
		v, err := sheet(id)
		if err != nil {
			return nil, err
		}
		recorded, err := entries(v.ID)
		if err != nil {
			return nil, err
		}
		out = append(out, Subject{v, recorded})
	}
	return out, nil
}
