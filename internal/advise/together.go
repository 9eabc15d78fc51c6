package advise

import (
	"runtime"
	"sync"

	"undertray/civil"
	"undertray/internal/catalogue"
	"undertray/internal/fleet"
)

// Yard works out the report of every vehicle on a day from all entries of the
// journal, in the order of the vehicles, and lets each profit from what the
// others have seen. Entries and vehicles are only read.
func Yard(cat *catalogue.Catalogue, vehicles []*fleet.Vehicle, entries []*fleet.Entry, on civil.Date) []*Report {
	return new(Worked).Yard(cat, vehicles, entries, on)
}

// Worked works out a yard and keeps what it found of each vehicle for the next
// time. A journal is only ever added to: where the vehicle's sheet, the day and
// the number of its entries are the same, so is the report. The zero value is
// ready; it may be used by several goroutines at once.
type Worked struct {
	mu   sync.Mutex
	cat  *catalogue.Catalogue
	kept map[string]kept // by the vehicle's id, so that a sheet read again takes the place of the one before
}

// kept is a report as last worked out, and from what.
type kept struct {
	vehicle *fleet.Vehicle
	on      civil.Date
	entries int
	report  *Report
}

// Yard is the function Yard. The entries must come from the same journal each
// time. Reports share what they hold with later ones: nobody changes it.
func (w *Worked) Yard(cat *catalogue.Catalogue, vehicles []*fleet.Vehicle, entries []*fleet.Entry, on civil.Date) []*Report {
	of := make(map[string][]*fleet.Entry, len(vehicles))
	for _, e := range entries {
		of[e.Vehicle] = append(of[e.Vehicle], e)
	}
	return w.YardOf(cat, vehicles, of, on)
}

// YardOf is Yard for entries that are sorted by vehicle already.
func (w *Worked) YardOf(cat *catalogue.Catalogue, vehicles []*fleet.Vehicle, of map[string][]*fleet.Entry, on civil.Date) []*Report {
	out := make([]*Report, len(vehicles))
	free := make(chan struct{}, runtime.GOMAXPROCS(0))
	var group sync.WaitGroup
	for i, v := range vehicles {
		free <- struct{}{}
		group.Go(func() {
			out[i] = w.vehicle(cat, v, of[v.ID], on)
			<-free
		})
	}
	group.Wait()
	Gather(out)
	return out
}

// vehicle returns a report that the caller may give an experience of its own.
func (w *Worked) vehicle(cat *catalogue.Catalogue, v *fleet.Vehicle, entries []*fleet.Entry, on civil.Date) *Report {
	w.mu.Lock()
	if w.cat != cat { // the yard's files were read again
		w.cat, w.kept = cat, map[string]kept{}
	}
	k := w.kept[v.ID]
	w.mu.Unlock()
	if k.vehicle != v || k.on != on || k.entries != len(entries) {
		k = kept{v, on, len(entries), Vehicle(cat, v, entries, on)}
		w.mu.Lock()
		if w.cat == cat {
			w.kept[v.ID] = k
		}
		w.mu.Unlock()
	}
	report := *k.report
	return &report
}
