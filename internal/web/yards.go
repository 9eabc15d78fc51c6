package web

import (
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"undertray/civil"
	"undertray/internal/advise"
	"undertray/internal/fleet"
	"undertray/internal/record"
	"undertray/internal/yard"
)

// yardCache reads the yard's files again only when one of them has changed.
type yardCache struct {
	dir string

	mu    sync.Mutex
	stamp string
	good  *yard.Yard // as last read without a fault
	err   error      // of the last reading
}

// open returns the yard as its files are now.
func (c *yardCache) open() (*yard.Yard, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	stamp := c.look()
	if stamp == c.stamp && (c.good != nil || c.err != nil) {
		return c.good, c.err
	}
	y, err := yard.Open(c.dir)
	c.stamp, c.err = stamp, err
	if err != nil {
		return nil, err
	}
	c.good = y
	y.KeepGood()
	return y, nil
}

// last returns the yard as it was last read without a fault, or nil.
func (c *yardCache) last() *yard.Yard {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.good
}

// look describes the yard's files by name, size and time.
func (c *yardCache) look() string {
	var b strings.Builder
	for _, pattern := range []string{"yard.yaml", "vehicles/*.yaml", "catalogue/*.yaml"} {
		names, err := filepath.Glob(filepath.Join(c.dir, filepath.FromSlash(pattern)))
		if err != nil {
			continue // only a pattern can be at fault, and these are fixed
		}
		for _, name := range names {
			if info, err := os.Stat(name); err == nil {
				fmt.Fprintf(&b, "%s %d %d\n", name, info.Size(), info.ModTime().UnixNano())
			}
		}
	}
	return b.String()
}

// desk is what a request about one vehicle works with.
type desk struct {
	yard    *yard.Yard
	vehicle *fleet.Vehicle
	entries []*fleet.Entry // all of the vehicle's, by id
	known   int            // entries of the whole journal
	report  *advise.Report
	reports []*advise.Report // of all vehicles
}

// desk lays out the vehicle that the address names, as of the day asked for.
func (s *Server) desk(r *http.Request) (*desk, error) {
	y, err := s.yards.open()
	if err != nil {
		return nil, err
	}
	v, err := y.Vehicle(r.PathValue("id"))
	if err != nil {
		return nil, err
	}
	reports, of, known, err := s.workOut(r, y)
	if err != nil {
		return nil, err
	}
	return &desk{yard: y, vehicle: v, entries: of[v.ID], known: known, report: reports[slices.Index(y.Vehicles, v)], reports: reports}, nil
}

// posted reads a form that was sent and lays out the vehicle it is about.
func (s *Server) posted(r *http.Request) (*desk, error) {
	if err := form(r); err != nil {
		return nil, err
	}
	return s.desk(r)
}

// day returns the day ?on= asks about, or today.
func (s *Server) day(r *http.Request) (civil.Date, error) {
	typed := r.URL.Query().Get("on")
	if typed == "" {
		return s.today(), nil
	}
	return parseDay("on", typed)
}

func parseDay(field, typed string) (civil.Date, error) {
	d, err := civil.Parse(strings.TrimSpace(typed))
	if err != nil || d.IsZero() {
		return d, &fleet.Error{Kind: fleet.Invalid, Where: field, Msg: fmt.Sprintf("%q is not a date", typed), Hint: "write it as 2026-11-25", Err: err}
	}
	return d, nil
}

// reports works out every vehicle of the yard from one reading of the journal.
func (s *Server) reports(r *http.Request) (*yard.Yard, []*advise.Report, error) {
	y, reports, _, err := s.everything(r)
	return y, reports, err
}

// everything is the yard with its vehicles worked out, and how many entries of
// the journal that rests on.
func (s *Server) everything(r *http.Request) (*yard.Yard, []*advise.Report, int, error) {
	y, err := s.yards.open()
	if err != nil {
		return nil, nil, 0, err
	}
	reports, _, known, err := s.workOut(r, y)
	return y, reports, known, err
}

// workOut reads the journal once and works out every vehicle, so that each
// profits from what the others have seen. It returns the entries too, by
// vehicle, and how many they are.
func (s *Server) workOut(r *http.Request, y *yard.Yard) ([]*advise.Report, map[string][]*fleet.Entry, int, error) {
	on, err := s.day(r)
	if err != nil {
		return nil, nil, 0, err
	}
	of, known, err := s.opt.Journal.ByVehicle(r.Context())
	if err != nil {
		return nil, nil, 0, err
	}
	return advise.In(y.Settings.Units, s.worked.YardOf(y.Catalogue, y.Vehicles, of, on)), of, known, nil
}

// page fills in what every page about a vehicle has.
func (s *Server) page(r *http.Request, d *desk, here, title string) Page {
	p := s.base(r, title)
	p.Vehicle, p.Here, p.On, p.Stands = d.vehicle, here, d.report.On, d.report.StandsWords()
	return p
}

func (s *Server) recorder(y *yard.Yard) *record.Recorder {
	return &record.Recorder{Journal: s.opt.Journal, Catalogue: y.Catalogue, Now: s.opt.Now, NewID: s.opt.NewID}
}
