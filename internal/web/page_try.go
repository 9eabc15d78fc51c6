package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// tryPart is a little experiment after a first recording that does not tell:
// the odds as they stand, what was tried, what is to be tried next.
type tryPart struct {
	Headline message.Text // "" before anything was tried
	Sure     bool         // nothing need be tried
	Chosen   bool         // Next was chosen and is not only proposed
	Rows     []tryRow
	Steps    []message.Text
	Next     *belt.Trial
	Others   []tryOther
	Basis    message.Text

	Action, Base, Query, Worklet string
	RPM                          bool // the second speed is asked for
	Most                         int  // bytes of a file
}

// tryRow is a bar of the odds, and a line across it where it was; of 100.
type tryRow struct {
	Name, Words message.Text
	Width, Was  string
}

type tryOther struct {
	Name message.Text
	Href string
}

// try is an experiment in an address: what.hash.ear.rpm.
type try struct {
	what      belt.Code
	hash, rpm string
	ear       belt.Code
}

// mostTries bounds what one page works out.
const mostTries = 6

func triesOf(q url.Values) []try {
	var out []try
	for _, word := range q["try"] {
		p := strings.SplitN(word, ".", 4)
		if len(p) == 4 && len(out) < mostTries {
			out = append(out, try{belt.Code(p[0]), p[1], p[3], belt.Code(p[2])})
		}
	}
	return out
}

func (t try) String() string {
	return strings.Join([]string{string(t.what), t.hash, string(t.ear), t.rpm}, ".")
}

// switched is what an experiment switches on, as it is asked about.
func switched(what belt.Code) []string {
	switch what {
	case belt.TryLamps:
		return told.InEnglish(belt.Switches[:2])
	case belt.TryAir:
		return told.InEnglish(belt.Switches[2:3])
	}
	return nil
}

// experiment hears what was tried after a recording and weighs it.
func (s *Server) experiment(r *http.Request, d *desk, h *belt.Heard) (*belt.Experiment, error) {
	var tried []belt.Tried
	for _, t := range triesOf(r.URL.Query()) {
		done := belt.Tried{What: t.what, Ear: t.ear}
		if t.hash != "" {
			rec, err := s.recording(r, t.hash)
			if err != nil {
				return nil, err
			}
			q, err := listenQuestion(r.URL.Query())
			if err != nil {
				return nil, err
			}
			for _, name := range switched(t.what) {
				if !slices.Contains(q.On, name) {
					q.On = append(q.On, name)
				}
			}
			if t.rpm != "" {
				rpm, err := quantity("engine speed", t.rpm, units.Speed, "rpm")
				if err != nil {
					return nil, err
				}
				q.RPM = rpm.Base()
			}
			if done.Second, err = belt.Listen(d.report, rec, q); err != nil {
				return nil, err
			}
		}
		tried = append(tried, done)
	}
	return h.Experiment(tried...)
}

// leastShown is the probability below which a bar is left out, unless it is
// among the first.
const leastShown, fewBars, mostBars = 0.03, 2, 5

// try lays the experiment out, folded where the first answer is sure.
func (page *heardPage) try(r *http.Request, d *desk, x *belt.Experiment) {
	here := r.URL.Query()
	next := here.Get("next")
	here.Del("next")
	p := &tryPart{Basis: belt.OddsBasis, Sure: x.Sure(), Chosen: next != "",
		Action: "/v/" + d.vehicle.ID + "/listen", Base: r.PathValue("hash"), Query: here.Encode(), Most: maxSound}
	for i, row := range x.Rows() {
		if i < mostBars && (i < fewBars || row.P >= leastShown) {
			bar := tryRow{Name: row.Name, Words: row.Words, Width: fmt.Sprintf("%.1f", 100*row.P)}
			if len(x.Steps) > 0 {
				bar.Was = fmt.Sprintf("%.1f", 100*row.Before)
			}
			p.Rows = append(p.Rows, bar)
		}
	}
	for i := range x.Steps {
		p.Steps = append(p.Steps, x.Steps[i].Words())
	}
	trials := x.Trials()
	at := max(slices.IndexFunc(trials, func(t belt.Trial) bool { return string(t.What) == next }), 0)
	for i := range trials {
		if i == at {
			p.Next, p.RPM = &trials[i], trials[i].What == belt.TryFaster
			continue
		}
		other := r.URL.Query()
		other.Set("next", string(trials[i].What))
		p.Others = append(p.Others, tryOther{trials[i].Name, r.URL.Path + "?" + other.Encode() + "#try"})
	}
	if len(x.Steps) > 0 {
		p.Headline = message.Joined(told.Sentences(page.Headline, page.Rest), " ")
		page.Headline, page.Rest = x.Headline(), ""
	}
	page.Try = p
}

// tryTake takes the second recording of an experiment in, or what was heard by
// ear, and leads back to the first with it.
func (s *Server) tryTake(w http.ResponseWriter, r *http.Request, d *desk, src []byte, err error) error {
	t := try{what: belt.Code(r.PostForm.Get("what")), ear: belt.Code(r.PostForm.Get("ear")),
		rpm: strings.TrimSpace(r.PostForm.Get("rpm"))}
	if strings.Contains(t.rpm, ".") {
		t.rpm, _, _ = strings.Cut(t.rpm, ".")
	}
	byEar := err != nil && t.ear != "" && t.what != belt.TryFaster
	if !byEar && err == nil {
		if src, err = asWAV(r.Context(), src); err == nil {
			t.hash = journal.ContentHash(src)
			s.sounds.put(t.hash, src)
		}
	}
	if err != nil && !byEar {
		if wantsJSON(r) {
			return err
		}
		return s.render(w, r, status(err), "listen", s.layListen(d, r, r.PostForm, faults(err)))
	}
	base := r.PostForm.Get("base")
	back, err := url.ParseQuery(r.PostForm.Get("back"))
	if err != nil || len(base) != 64 || strings.Trim(base, "0123456789abcdef") != "" {
		return &fleet.Error{Kind: fleet.Invalid, Where: "try", Msg: "the first recording is not named",
			Hint: "begin with a recording of the noise as it is"}
	}
	q := url.Values{}
	for _, key := range []string{"rpm", "run", "other", "with", "try"} {
		q[key] = back[key]
	}
	q.Add("try", t.String())
	http.Redirect(w, r, "/v/"+d.vehicle.ID+"/listen/"+base+"?"+q.Encode(), http.StatusSeeOther)
	return nil
}
