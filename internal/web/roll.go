package web

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/together"
	"undertray.example/undertray/internal/yard"
)

// rollPart is what the yard page of a large yard has beside its rows.
type rollPart struct {
	Place, Waiting message.Text
	Before, After  string // addresses of the neighbouring parts, "" for none
}

// callRoll looks what has changed since the roll was called last.
func (s *Server) callRoll(ctx context.Context, y *yard.Yard) error {
	return s.roll.Call(ctx, together.RollFrom{Day: s.today(), Files: s.yards.look(),
		Catalogue: y.Catalogue, Sheets: y, Row: together.RowOf})
}

// largeYardPage shows a part of the roll.
func (s *Server) largeYardPage(w http.ResponseWriter, r *http.Request, y *yard.Yard) error {
	q := r.URL.Query()
	if q.Get("on") != "" {
		return &fleet.Error{Kind: fleet.Invalid, Where: "on",
			Msg:  message.Of("all %d vehicles are worked out for today only", len(y.IDs())),
			Hint: "ask one vehicle about another day: /v/NAME?on=2026-11-25"}
	}
	from := 1
	if typed := q.Get("from"); typed != "" {
		var err error
		if from, err = strconv.Atoi(typed); err != nil || from < 1 || from > len(y.IDs()) {
			return &fleet.Error{Kind: fleet.Invalid, Where: "from",
				Msg:  message.Of("%q is no place on the list", typed),
				Hint: message.Of("write a number from 1 to %d", len(y.IDs())), Err: err}
		}
	}
	if err := s.callRoll(r.Context(), y); err != nil {
		return err
	}
	enough, cancel := context.WithTimeout(r.Context(), rollPatience)
	defer cancel()
	part, err := s.roll.Stretch(r.Context(), enough, from-1, together.Few)
	if err != nil {
		return err
	}
	if wantsJSON(r) {
		return s.writeJSON(w, r, http.StatusOK, part.View())
	}
	words := part.Told()
	page := yardPage{Page: s.base(r, "The yard"), Headline: told.Head(words), More: told.Rest(words)}
	page.Roll = &rollPart{Place: part.PlaceWords(), Waiting: part.WaitingWords()}
	if from > 1 {
		page.Roll.Before = fmt.Sprintf("/?from=%d", max(1, from-together.Few))
	}
	if part.Next > 0 {
		page.Roll.After = fmt.Sprintf("/?from=%d", part.Next+1)
	}
	if s.opt.Remind != nil {
		page.Remind = s.opt.Remind(r.Context())
	}
	for i := range part.Rows {
		page.call(y, &part.Rows[i])
	}
	return s.render(w, r, http.StatusOK, "yard", page)
}

// call adds a row of the roll to a page.
func (p *yardPage) call(y *yard.Yard, row *together.Row) {
	if row.Rank == together.Shut {
		if _, err := y.Vehicle(row.Vehicle); err != nil {
			p.Shut = append(p.Shut, shutRow{ID: row.Vehicle, Name: row.Name, Faults: faults(err)})
		}
		return
	}
	out := yardRow{ID: row.Vehicle, Name: row.Name, About: row.About, Headline: told.Head(row.Told),
		Rest: told.Rest(row.Told), Basis: row.Basis, Reading: row.Reading, More: row.More}
	for _, part := range row.Worst {
		out.Worst = append(out.Worst, rowOfPart(part))
	}
	p.Rows = append(p.Rows, out)
}

func rowOfPart(p together.RowPart) row { return row{ID: p.ID, Name: p.Name, Verdict: p.Verdict} }

// rollPatience is how long a page has vehicles looked at that it could show.
const rollPatience = 3 * time.Second

// rollRest is how long the background waits where nothing is to be looked at, and
// sheetsEvery how often it looks whether sheets were edited that nobody looks at.
const (
	rollRest    = 5 * time.Second
	sheetsEvery = 30 * time.Second
)

// keepRoll looks at the vehicles of a large yard one by one, in the background. It
// takes half a core at the most.
func (s *Server) keepRoll(ctx context.Context) {
	var called, sheets time.Time
	for ctx.Err() == nil {
		begun, more := time.Now(), false
		y, err := s.yards.open()
		if err == nil && together.Large(y) {
			if begun.Sub(called) > rollRest {
				called, err = begun, s.callRoll(ctx, y)
			}
			if err == nil && begun.Sub(sheets) > sheetsEvery {
				s.roll.Recheck()
				sheets = begun
			}
			if err == nil {
				more, err = s.roll.Step(ctx)
			}
		}
		wait := time.Since(begun)
		if !more || err != nil {
			wait = rollRest
		}
		select {
		case <-ctx.Done():
		case <-time.After(wait):
		}
	}
}

// chosen are the vehicles that an address names, with commas between.
func chosen(r *http.Request) []string {
	var out []string
	for _, typed := range r.URL.Query()["vehicles"] {
		out = append(out, strings.FieldsFunc(typed, func(c rune) bool { return c == ',' || c == ' ' })...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// only is what carries the vehicles chosen on to another address, "" for none.
func only(r *http.Request) string {
	if ids := chosen(r); len(ids) > 0 {
		return "?vehicles=" + url.QueryEscape(strings.Join(ids, ","))
	}
	return ""
}
