package web

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"undertray.example/undertray/internal/door"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/calendar"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/together"
	"undertray.example/undertray/internal/yard"
)

const calendarType = "text/calendar; charset=utf-8"

// calendar is the plan of every vehicle as an iCalendar file, to be read in by hand.
func (s *Server) calendar(w http.ResponseWriter, r *http.Request) error {
	y, events, err := s.events(r, "")
	if err != nil {
		return err
	}
	if wantsJSON(r) {
		return s.writeJSON(w, r, http.StatusOK, events)
	}
	var b bytes.Buffer
	if err := print.Calendar(&b, y.Settings.Name, events, "", y.Settings.Units); err != nil {
		return err
	}
	return s.write(w, r, http.StatusOK, calendarType, b.Bytes())
}

// calendarOf is what a calendar program that knows its address subscribes to: all of it each time, so that what was
// withdrawn is gone, or 304 where nothing has changed.
func (s *Server) calendarOf(w http.ResponseWriter, r *http.Request) error {
	of, err := door.Of(s.opt.Dir).Who(strings.TrimSuffix(r.PathValue("key"), ".ics"), s.opt.Now())
	if err != nil {
		return err
	}
	if of == nil || of.May != door.Calendar {
		return &fleet.Error{Kind: fleet.NotFound, Msg: "no calendar has this address now",
			Hint: "ask who keeps the yard for a new one"}
	}
	y, events, err := s.events(r, of.Vehicle)
	if err != nil {
		return err
	}
	var changed time.Time
	for _, e := range events {
		if changed.Before(e.Changed) {
			changed = e.Changed
		}
	}
	events = slices.DeleteFunc(events, func(e calendar.Event) bool { return e.Cancelled })
	name := y.Settings.Name
	if v, err := y.Vehicle(of.Vehicle); of.Vehicle != "" && err == nil {
		name = v.Name
	}
	var b bytes.Buffer
	if err := print.Calendar(&b, name, events, of.Alarm, y.Settings.Units); err != nil {
		return err
	}
	h := w.Header()
	h.Set("Content-Type", calendarType)
	h.Set("Cache-Control", "private, no-cache")
	h.Set("ETag", fmt.Sprintf(`"%.16x"`, sha256.Sum256(b.Bytes())))
	http.ServeContent(w, r, "", changed, bytes.NewReader(b.Bytes()))
	return nil
}

// events are those of all vehicles, or of one, with what was given out before recognised among them. What is given is
// kept where the plan is the owner's own and no trial.
func (s *Server) events(r *http.Request, vehicle string) (*yard.Yard, []calendar.Event, error) {
	y, err := s.yards.open()
	if err != nil {
		return nil, nil, err
	}
	if vehicle != "" {
		if _, err := y.Vehicle(vehicle); err != nil {
			return nil, nil, err
		}
		if together.Large(y) {
			r = r.Clone(r.Context())
			r.URL.RawQuery = "vehicles=" + vehicle
		}
	}
	y, reports, entries, err := s.everything(r)
	if err != nil {
		return nil, nil, err
	}
	opt, _, err := planOptions(r)
	if err != nil {
		return nil, nil, err
	}
	yo := plan.YardOptions{Options: opt, Rules: y.Settings.Visits}
	p, err := s.planYard(r.Context(), r, reports, entries, yo)
	if err != nil {
		return nil, nil, err
	}
	var of []string
	for _, v := range p.Plans {
		if vehicle == "" || v.Vehicle.ID == vehicle {
			of = append(of, v.Vehicle.ID)
		}
	}
	events := slices.DeleteFunc(calendar.OfYard(p), func(e calendar.Event) bool {
		return !slices.Contains(of, e.Vehicle)
	})
	err = yard.Give(s.opt.Dir, func(before []byte) (next []byte, err error) {
		events, next, err = calendar.Give(before, of, events, s.opt.Now())
		if !ownRules(yo) || r.URL.Query().Get("on") != "" {
			next = nil
		}
		return next, err
	})
	return y, events, err
}

// calendarRow is the address of a calendar that was made.
type calendarRow struct {
	ID, Name    string
	Of, Alarm   message.Text
	Since, Seen message.Text
}

// alarmWords say when a calendar reminds.
var alarmWords = []choice{{Value: "", Say: "no reminder"}, {Value: "evening", Say: "the evening before"},
	{Value: "week", Say: "a week before"}}

// calendarMake makes the address of a calendar and shows it this once.
func (s *Server) calendarMake(w http.ResponseWriter, r *http.Request) error {
	if err := form(r); err != nil {
		return err
	}
	of := door.Device{Name: r.PostForm.Get("name"), Vehicle: strings.TrimSpace(r.PostForm.Get("vehicle")),
		Alarm: r.PostForm.Get("alarm")}
	return s.showAddress(w, r, func() (string, error) {
		if !slices.ContainsFunc(alarmWords, func(c choice) bool { return c.Value == of.Alarm }) {
			return "", &fleet.Error{Kind: fleet.Invalid, Where: "alarm", Hint: "choose one of the list",
				Msg: message.Of("%.20q is no time to remind", of.Alarm)}
		}
		y, err := s.yards.open()
		if err == nil && of.Vehicle != "" {
			_, err = y.Vehicle(of.Vehicle)
		}
		if err != nil {
			return "", err
		}
		return door.Of(s.opt.Dir).Address(of, s.opt.Now())
	})
}

// calendarAnew takes an address back and shows another for the same calendar.
func (s *Server) calendarAnew(w http.ResponseWriter, r *http.Request) error {
	return s.showAddress(w, r, func() (string, error) {
		return door.Of(s.opt.Dir).Anew(r.PathValue("device"), s.opt.Now())
	})
}

func (s *Server) showAddress(w http.ResponseWriter, r *http.Request, do func() (key string, err error)) error {
	key, err := do()
	page, lay := s.layDevices(r)
	if lay != nil {
		return lay
	}
	if err != nil {
		page.Faults = faults(err)
		return s.render(w, r, status(err), "devices", page)
	}
	page.Address = strings.TrimSuffix(s.ownAddress(r), "/") + door.CalendarPath(key)
	page.Headline = "Give this address to the calendar program: it is shown this once."
	return s.render(w, r, http.StatusOK, "devices", page)
}
