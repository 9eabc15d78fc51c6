package web

import (
	"cmp"
	"context"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/record"
	"undertray.example/undertray/internal/together"
	"undertray.example/undertray/internal/yard"
)

// yardCache reads the yard's settings and catalogue again only when one of them
// has changed, and lists its sheets when their folder has.
type yardCache struct {
	dir string

	mu     sync.Mutex
	stamp  string
	folder time.Time  // of the sheets, when they were listed
	good   *yard.Yard // as last read without a fault
	err    error      // of the last reading
}

// open returns the yard as its files are now.
func (c *yardCache) open() (*yard.Yard, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	stamp, folder := c.look(), c.sheets()
	var y *yard.Yard
	switch {
	case stamp != c.stamp || c.good == nil && c.err == nil:
		y, c.err = yard.Open(c.dir)
	case c.err == nil && !folder.Equal(c.folder):
		y, c.err = c.good.Listed()
	}
	c.stamp, c.folder = stamp, folder
	if c.err != nil {
		return nil, c.err
	}
	if y != nil {
		c.good = y
		y.KeepGood()
		y.KeepQuick(journal.Program())
	}
	return c.good, nil
}

// sheets is when a sheet was last added, taken away or renamed.
func (c *yardCache) sheets() time.Time {
	info, err := os.Stat(filepath.Join(c.dir, "vehicles"))
	if err != nil {
		return time.Time{}
	}
	return info.ModTime()
}

// last returns the yard as it was last read without a fault, or nil.
func (c *yardCache) last() *yard.Yard {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.good
}

// look describes the yard's files but for the sheets.
func (c *yardCache) look() string { return yard.Files(c.dir) }

// files describes the files that an answer about some vehicles rests on: settings,
// catalogue, and the sheets of these vehicles and of those that they learn from.
func (s *Server) files(ids ...string) string {
	var b strings.Builder
	b.WriteString(s.yards.look())
	if y := s.yards.last(); y != nil {
		for _, id := range append(ids, s.worked.Sample(y.IDs())...) {
			fmt.Fprintln(&b, id, y.SheetStamp(id))
		}
	}
	return b.String()
}

// desk is what a request about one vehicle works with.
type desk struct {
	yard    *yard.Yard
	vehicle *fleet.Vehicle
	known   int // entries of the whole journal
	look    *together.AsItStands
	report  *advise.Report
	entries []*fleet.Entry // all of the vehicle's, by id; of a whole desk only
	plates  *plateStore
	in      *message.Language // that the page is set in
}

// bare lays out the vehicle that the address names, without its report: enough
// to record something.
func (s *Server) bare(r *http.Request) (*desk, error) {
	y, err := s.yards.open()
	if err != nil {
		return nil, err
	}
	v, err := y.Vehicle(r.PathValue("id"))
	return &desk{yard: y, vehicle: v, plates: &s.plates, in: s.inLanguage(r)}, err
}

// desk lays out the vehicle that the address names, as of the day asked for, unless
// the request brings it along.
func (s *Server) desk(r *http.Request) (*desk, error) {
	if laid, ok := r.Context().Value(deskKey).(desk); ok {
		return &laid, nil
	}
	d, err := s.bare(r)
	if err != nil {
		return nil, err
	}
	y, v := d.yard, d.vehicle
	on, err := s.day(r)
	if err != nil {
		return nil, err
	}
	head, err := s.opt.Journal.Head(r.Context())
	if err != nil {
		return nil, err
	}
	if d.look, err = s.worked.Look(r.Context(), y.Catalogue, y, on); err != nil {
		return nil, err
	}
	if d.report, err = d.look.Among(r.Context(), v); err != nil {
		return nil, err
	}
	d.known = int(head.Entries)
	return d, nil
}

// ofBatch is desk with the entries of some batches and the vehicle's corrections.
func (s *Server) ofBatch(r *http.Request, batches ...string) (*desk, error) {
	d, err := s.desk(r)
	if err != nil {
		return nil, err
	}
	wanted := []journal.Filter{{Vehicle: d.vehicle.ID, Type: fleet.TypeCorrection}}
	for _, id := range batches {
		if id != "" { // an entry without a batch is one by itself
			wanted = append(wanted, journal.Filter{Vehicle: d.vehicle.ID, Batch: id},
				journal.Filter{Vehicle: d.vehicle.ID, IDs: []string{id}})
		}
	}
	for _, f := range wanted {
		entries, err := s.opt.Journal.Entries(r.Context(), f)
		if err != nil {
			return nil, err
		}
		d.entries = append(d.entries, entries...)
	}
	slices.SortFunc(d.entries, func(a, b *fleet.Entry) int { return cmp.Compare(a.ID, b.ID) })
	d.entries = slices.CompactFunc(d.entries, func(a, b *fleet.Entry) bool { return a.ID == b.ID })
	return d, nil
}

// whole is desk with all that is recorded about the vehicle, for pages about the
// past: it costs as much as there is.
func (s *Server) whole(r *http.Request) (*desk, error) {
	d, err := s.desk(r)
	if err != nil {
		return nil, err
	}
	return d, s.readAll(r.Context(), d)
}

func (s *Server) readAll(ctx context.Context, d *desk) (err error) {
	if d.entries, err = s.opt.Journal.OfVehicle(ctx, d.vehicle.ID); err == nil {
		d.report = d.report.WithRecord(d.vehicle, d.entries, d.report.On)
	}
	return err
}

// posted reads a form that was sent and lays out the vehicle it is about.
func (s *Server) posted(r *http.Request) (*desk, error) {
	if err := form(r); err != nil {
		return nil, err
	}
	return s.desk(r)
}

// postedWhole is posted for forms about what is recorded.
func (s *Server) postedWhole(r *http.Request) (*desk, error) {
	if err := form(r); err != nil {
		return nil, err
	}
	return s.whole(r)
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
		return d, &fleet.Error{Kind: fleet.Invalid, Where: field, Msg: message.Of("%q is not a date", typed),
			Hint: "write it as 2026-11-25", Err: err}
	}
	return d, nil
}

// reports works out every vehicle of the yard.
func (s *Server) reports(r *http.Request) (*yard.Yard, []*advise.Report, error) {
	y, reports, _, err := s.everything(r)
	return y, reports, err
}

// everything is the yard with its vehicles worked out, of a large yard those that
// the address names, and how many entries the journal has.
func (s *Server) everything(r *http.Request) (*yard.Yard, []*advise.Report, int, error) {
	y, err := s.yards.open()
	if err != nil {
		return nil, nil, 0, err
	}
	on, err := s.day(r)
	if err != nil {
		return nil, nil, 0, err
	}
	head, err := s.opt.Journal.Head(r.Context())
	if err != nil {
		return nil, nil, 0, err
	}
	look, err := s.worked.Look(r.Context(), y.Catalogue, y, on)
	if err != nil {
		return nil, nil, 0, err
	}
	if !together.Large(y) {
		reports, err := look.Yard(r.Context())
		return y, reports, int(head.Entries), err
	}
	reports, err := look.Named(r.Context(), chosen(r), "vehicles", r.URL.Path+"?vehicles=")
	return y, reports, int(head.Entries), err
}

// told takes it that a headline says what half-done work forbids, where it does.
func (p *Page) told(headline message.Text) {
	p.Told = strings.Contains(strings.ToLower(headline.String()), strings.ToLower(p.Stands.String()))
}

// page fills in what every page about a vehicle has; its title is a format of what else it is about, and the vehicle.
func (s *Server) page(r *http.Request, d *desk, here string, title message.Text, of ...any) Page {
	p := s.base(r, title.With(append(of, d.vehicle.Name)...))
	p.Vehicle, p.Here, p.On, p.Stands = d.vehicle, here, d.report.On, d.report.StandsWords()
	if together.Large(d.yard) {
		p.Vehicles = []*fleet.Vehicle{d.vehicle}
	}
	return p
}

func (s *Server) recorder(y *yard.Yard) *record.Recorder {
	run := func(v *fleet.Vehicle, entries []*fleet.Entry, at string) string {
		return belt.Stands(y.Catalogue, v, entries, s.today(), at)
	}
	return &record.Recorder{Journal: s.opt.Journal, Catalogue: y.Catalogue, Now: s.opt.Now,
		NewID: s.opt.NewID, Run: run}
}
