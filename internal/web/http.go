package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/door"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/next"
	"undertray.example/undertray/internal/together"
	"undertray.example/undertray/internal/trip"
	"undertray.example/undertray/internal/visit"
)

// httpAt begins the addresses for programs (docs/http.md). Questions are answered there by the pages' own handlers, in
// the JSON that those and the commands give; facts are told as entries.
const httpAt = "/api/1/"

// address is a question that a program asks.
type address struct {
	path, id, what string
	takes          []param
	page           func(*Server, http.ResponseWriter, *http.Request) error
	gives          []any // values of the types that it is answered by
}

// param is what an address takes behind its question mark.
type param struct {
	name, what, example string
	form                string // "date", "integer", "number", "boolean", or words with | between them; "": a text
	must, list          bool
}

// questions lists the addresses at which programs ask.
func questions() []address {
	on := param{name: "on", what: "the day it is asked of, in place of today", example: "2026-11-25", form: "date"}
	rules := []param{on, {name: "months", what: "how many months are planned", example: "12", form: "integer"},
		{name: "hours", what: "hours of work that fit in one visit", example: "6", form: "number"},
		{name: "money", what: "money there is for one visit", example: "200 EUR"},
		{name: "skip", what: "months without a visit, with commas between", example: "August"},
		{name: "stance", what: "which authority is followed", example: "strictest"}}
	return []address{
		{"vehicles", "vehicles", "What needs doing, on every vehicle; of a large yard, a stretch of its list",
			[]param{on, {name: "from", what: "place that a large yard's stretch begins with", example: "1",
				form: "integer"}},
			(*Server).yardPage, []any{advise.YardView{}, together.RollView{}}},
		{"plan", "yard-plan", "What to do at which visit of which vehicle", append(slices.Clone(rules),
			param{name: "month-hours", what: "hours of work there are in a month", example: "20", form: "number"},
			param{name: "vehicles", what: "of a large yard: those planned together, with commas between"}),
			(*Server).yardPlanPage, []any{plan.YardView{}}},
		{"vehicles/{id}", "vehicle", "What state each part is in, what is due, and the next visit", []param{on},
			(*Server).vehiclePage, []any{next.StateView{}}},
		{"vehicles/{id}/positions/{pos}", "position", "All that is known of one position, every authority side by side",
			[]param{on}, (*Server).positionPage, []any{advise.PositionView{}}},
		{"vehicles/{id}/trip", "trip", "Whether it gets through a trip, what to do before it and what to carry",
			[]param{on, {name: "distance", what: "how far, or how many hours it works", example: "2400 km", must: true},
				{name: "start", what: "the first day", example: "2026-12-01", form: "date"},
				{name: "days", what: "how many days it takes", example: "5", form: "integer"},
				{name: "under", what: "how many trips may pass for one breakdown", example: "50", form: "number"},
				{name: "load", what: "heavily laden, or towing", example: "true", form: "boolean"},
				{name: "heat", what: "in great heat", example: "true", form: "boolean"}},
			(*Server).tripPage, []any{trip.View{}}},
		{"vehicles/{id}/plan", "plan", "What to do at which visit, with what", rules,
			(*Server).planPage, []any{plan.View{}}},
		{"vehicles/{id}/record", "record", "What was done, found and fitted, when and at what distance",
			[]param{{name: "position", what: "of one position alone", example: "main-belt"},
				{name: "what", what: "facts of one type alone", example: "fitted",
					form: "fitted|done|found|note|odometer"},
				{name: "since", what: "the first day", example: "2025-01-01", form: "date"},
				{name: "until", what: "the last day", example: "2026-11-25", form: "date"},
				{name: "text", what: "words that stand in it", example: "belt"}},
			(*Server).recordPage, []any{[]advise.HistoryLine{}}},
		{"vehicles/{id}/round", "round", "What to look at, in the order one meets it, with every question and answer",
			[]param{on, {name: "open", what: "an opening that is made", example: "undertray", list: true},
				{name: "by", what: "the order", example: "system", form: "walk|system"},
				{name: "minutes", what: "the time there is", example: "20", form: "number"}},
			(*Server).roundPage, []any{visit.RoundView{}}},
		{"vehicles/{id}/entries/{entry}", "entry", "One entry of the journal", nil, (*Server).entryAlone,
			[]any{fleet.Entry{}}},
	}
}

// httpRoutes are the addresses for programs.
func (s *Server) httpRoutes() []route {
	out := []route{{"GET " + httpAt + "openapi.json", s.ask(address{page: (*Server).openAPI})},
		{"POST " + httpAt + "vehicles/{id}/entries", s.ask(address{page: (*Server).entriesKeep})}}
	for _, a := range questions() {
		out = append(out, route{"GET " + httpAt + a.path, s.ask(a)})
	}
	return out
}

// ask has a page answer a question that is asked as it may be.
func (s *Server) ask(a address) handler {
	return func(w http.ResponseWriter, r *http.Request) error {
		q, err := a.read(r.URL.RawQuery)
		if err != nil {
			return err
		}
		r.URL.RawQuery = q.Encode()
		return a.page(s, w, r)
	}
}

// read refuses what an address does not take, and what it lacks: a word that is passed over unseen would be answered
// as if it had not been asked.
func (a *address) read(query string) (url.Values, error) {
	q, err := url.ParseQuery(query)
	if err != nil {
		return nil, &refused{http.StatusBadRequest, &fleet.Error{Kind: fleet.Invalid, Where: "query",
			Msg:  "what stands behind the question mark cannot be read",
			Hint: "write it as NAME=VALUE&NAME=VALUE", Err: err}}
	}
	var errs []error
	wrong := func(where string, hint, msg message.Text) {
		errs = append(errs, &refused{http.StatusBadRequest,
			&fleet.Error{Kind: fleet.Invalid, Where: where, Msg: msg, Hint: hint}})
	}
	var names []string
	for _, p := range a.takes {
		names = append(names, p.name)
		values, given := q[p.name]
		words := strings.Split(p.form, "|")
		if p.form == "boolean" {
			words = []string{"true", "false"}
		}
		switch {
		case p.must && q.Get(p.name) == "":
			wrong(p.name, message.Of("write %s: %s", p.what, p.example), "it is missing")
		case !p.list && len(values) > 1:
			wrong(p.name, "write it once", message.Of("it stands %d times", len(values)))
		case given && len(words) > 1 && !slices.Contains(words, values[0]):
			wrong(p.name, message.Of("write %s", strings.Join(words, " or ")),
				message.Of("%.60q is none of its words", values[0]))
		case p.form == "boolean" && q.Get(p.name) == "false":
			q.Del(p.name)
		}
	}
	for name := range q {
		if !slices.Contains(names, name) {
			wrong(shortened(name), fleet.Instead(name, names), "nothing is asked by that name here")
		}
	}
	return q, errors.Join(errs...)
}

func shortened(name string) string { return fmt.Sprintf("%.60s", strings.ToValidUTF8(name, "")) }

// refused is an error that is answered with a status of its own.
type refused struct {
	code int
	why  error
}

func (e *refused) Error() string { return e.why.Error() }
func (e *refused) Unwrap() error { return e.why }

// entryAlone gives an entry as it is kept.
func (s *Server) entryAlone(w http.ResponseWriter, r *http.Request) error {
	d, err := s.bare(r)
	if err != nil {
		return err
	}
	id := r.PathValue("entry")
	kept, err := s.opt.Journal.Entries(r.Context(), journal.Filter{Vehicle: d.vehicle.ID, IDs: []string{id}})
	if err != nil {
		return err
	}
	if len(kept) == 0 {
		return &fleet.Error{Kind: fleet.NotFound, Where: "entry",
			Msg:  message.Of("%s has no entry %.60q", d.vehicle.Name, id),
			Hint: "the record gives the id of each"}
	}
	return s.writeJSON(w, r, http.StatusOK, kept[0])
}

// forPrograms says that an answer at a program's address is JSON whatever happens, and answers what is at no address.
func forPrograms(mux *http.ServeMux, s *Server) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		answers := func(method string) bool {
			at := r.Clone(r.Context())
			at.Method = method
			_, pattern := mux.Handler(at)
			return pattern != "" && pattern != "GET /"
		}
		if !strings.HasPrefix(r.URL.Path, httpAt) || answers(r.Method) {
			mux.ServeHTTP(w, r)
			return
		}
		for _, other := range []string{http.MethodGet, http.MethodPost} {
			if answers(other) {
				w.Header().Set("Allow", strings.Replace(other, "GET", "GET, HEAD", 1))
				s.refuse(w, r, http.StatusMethodNotAllowed, message.Of("it is not %s that is answered here",
					shortened(r.Method)),
					message.Of("send %s", other))
				return
			}
		}
		s.fail(w, r, s.nowhere(w, r))
	})
}

// byToken lets in the program that brings a token (RFC 6750, section 2.1), at the addresses for programs alone. What is
// none waits for its answer as a wrong pass-phrase does, and is logged with where it came from alone.
func (s *Server) byToken(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		typed := r.Header.Get("Authorization")
		if typed == "" || !strings.HasPrefix(r.URL.Path, httpAt) {
			next.ServeHTTP(w, r)
			return
		}
		scheme, key, _ := strings.Cut(typed, " ")
		dev, err := door.Of(s.opt.Dir).Who(strings.TrimSpace(key), s.opt.Now())
		switch {
		case err != nil:
			s.fail(w, r, err)
		case !strings.EqualFold(scheme, "Bearer") || dev == nil || dev.May.Of() == "":
			s.opt.Log.Warn("wrong token", "request", requestID(r), "from", r.RemoteAddr)
			crowded := s.gate.refuse(r.Context())
			w.Header().Set("WWW-Authenticate", `Bearer error="invalid_token"`)
			if crowded {
				w.Header().Set("Retry-After", fmt.Sprintf("%.0f", longestTo.Seconds()))
				s.refuse(w, r, http.StatusTooManyRequests, "too many wrong tokens are being tried",
					"try again in a minute")
				return
			}
			s.refuse(w, r, http.StatusUnauthorized, "no token that holds now reads so",
				"make one with: undertray devices token NAME, and send it as: Authorization: Bearer TOKEN")
		case !reads(r) && !dev.May.Of().Includes(door.Write):
			w.Header().Set("WWW-Authenticate", `Bearer error="insufficient_scope"`)
			s.refuse(w, r, http.StatusForbidden, message.Of("this token is of a %s", dev.May.Words()),
				"make one that may tell")
		default:
			in := &visitor{may: dev.May.Of(), person: dev.Name}
			next.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), visitorKey, in)))
		}
	})
}

func reads(r *http.Request) bool { return r.Method == http.MethodGet || r.Method == http.MethodHead }
