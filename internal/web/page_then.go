package web

import (
	"bytes"
	"fmt"
	"image/jpeg"
	"net/http"
	"net/url"
	"slices"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/tally"
	"undertray.example/undertray/internal/tally/onbelt"
)

// thenPage lays two kept counts of one part over each other.
type thenPage struct {
	Page
	*tally.Then
	Place *tally.Place
	Two   [2]thenSide // the earlier and the later
	All   []thenSide  // to choose from, where there are more than two
	Form  string
	View  string // of the drawing, as SVG writes it
	Lower float64
}

// thenSide is one of the counts.
type thenSide struct {
	Hash  string       `json:"picture"`
	Day   message.Text `json:"day"`
	Count message.Text `json:"count"`
	Strip string       `json:"strip"` // address of its belt squared up
	Open  string       `json:"open"`  // address of the count
}

// thenView is the page's twin.
type thenView struct {
	Position string `json:"position"`
	Check    string `json:"check"`
	*tally.Then
	Two [2]thenSide `json:"two"`
}

// thenPage shows the count that is asked for, or the newest, over one before it.
func (s *Server) thenPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	asked := r.URL.Query()
	at, err := tally.PlaceOf(d.report, asked.Get("position"), asked.Get("check"), "")
	if err != nil {
		return err
	}
	series := tally.Series(d.report, at.Judgement, at.Check.ID)
	before, after, err := twoCounts(series, asked.Get("a"), asked.Get("b"))
	if err != nil {
		return err
	}
	page := &thenPage{Page: s.page(r, d, "position", "Then and now, %s, %s", at.Judgement.Position.Name),
		Then: tally.Compare(before, after), Place: at, Two: [2]thenSide{d.thenSide(before, at), d.thenSide(after, at)},
		Form: "/v/" + d.vehicle.ID + "/count/then"}
	if len(series) > 2 {
		for _, o := range slices.Backward(series) {
			page.All = append(page.All, d.thenSide(o, at))
		}
	}
	page.View = fmt.Sprintf("0 %.2f %.2f %.2f", page.Top, 2*page.Wide+page.Gap, page.Tall)
	page.Lower = page.Top + page.Tall
	return s.answer(w, r, "then", page, thenView{at.Judgement.Position.ID, at.Check.ID, page.Then, page.Two})
}

// Proven says what counting was tried on.
func (thenPage) Proven() message.Text { return onbelt.Proven }

// Right is where the later strip begins, mm.
func (p thenPage) Right() float64 { return p.Wide + p.Gap }

// Whole is how wide the drawing is, mm.
func (p thenPage) Whole() float64 { return 2*p.Wide + p.Gap }

// Above and Below are the stretches before and beyond what both pictures show, mm.
func (p thenPage) Above() float64 { return max(0, p.From-p.Top) }
func (p thenPage) Below() float64 { return max(0, p.Lower-p.To) }

// twoCounts are the two that are asked for by their pictures, in their order: the newest, and the one before it.
func twoCounts(series []tally.Once, a, b string) (before, after tally.Once, err error) {
	if len(series) < 2 {
		return before, after, &fleet.Error{Kind: fleet.NotFound, Where: "position",
			Msg:  "there are no two counts on photographs of the part that is fitted",
			Hint: "count on another picture later"}
	}
	find := func(hash string, or int) int {
		if i := slices.IndexFunc(series, func(o tally.Once) bool { return o.Picture() == hash }); i >= 0 {
			return i
		}
		return or
	}
	later := find(b, len(series)-1)
	earlier := find(a, max(later-1, 0))
	if earlier == later {
		later, earlier = max(later, 1), max(later, 1)-1
	}
	return series[min(earlier, later)], series[max(earlier, later)], nil
}

func (d *desk) thenSide(o tally.Once, at *tally.Place) thenSide {
	return thenSide{o.Picture(), told.Short(o.Found.Date), tally.OnceWords(o),
		"/v/" + d.vehicle.ID + "/picture/" + o.Picture() + "/strip",
		d.countHref(at.Judgement.Position.ID, at.Check.ID) + "&hash=" + o.Picture()}
}

// thenHref is where a count is laid over the one before it, or "".
func (d *desk) thenHref(series []tally.Once, position, check, hash string) string {
	i := slices.IndexFunc(series, func(o tally.Once) bool { return o.Picture() == hash })
	if i < 1 {
		return ""
	}
	q := url.Values{"position": {position}, "check": {check}, "a": {series[i-1].Picture()}, "b": {hash}}
	return "/v/" + d.vehicle.ID + "/count/then?" + q.Encode()
}

// stripFile sends the belt of a picture that was counted on, squared up.
func (s *Server) stripFile(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	hash := r.PathValue("hash")
	once := d.counted(hash)
	if once == nil {
		return &fleet.Error{Kind: fleet.NotFound, Msg: message.Of("%s has no such count", d.vehicle.Name),
			Hint: "look in the vehicle's journal"}
	}
	key := "strip " + once.Found.Entry
	src := s.smalls.get(key)
	if src == nil {
		grey, _, err := s.grey(r.Context(), hash)
		if err != nil {
			return err
		}
		strip, err := once.Strip(grey)
		if err != nil {
			return err
		}
		var b bytes.Buffer
		if err := jpeg.Encode(&b, strip, &jpeg.Options{Quality: 82}); err != nil {
			return err
		}
		src = b.Bytes()
		s.smalls.put(key, src)
	}
	return sendJPEG(w, r, src, once.Found.Entry+"strip")
}

// counted is the count on a picture on a part that is fitted, or nil.
func (d *desk) counted(hash string) *tally.Once {
	for i := range d.report.Judgements {
		j := &d.report.Judgements[i]
		if j.Kind == nil || tally.Countable(j.Kind, "") == nil {
			continue
		}
		for k := range j.Kind.Checks {
			for _, o := range tally.Series(d.report, j, j.Kind.Checks[k].ID) {
				if o.Picture() == hash {
					return &o
				}
			}
		}
	}
	return nil
}
