package web

import (
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/internal/sheet/ask"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/units"
)

// newPage asks what a new vehicle is, a few questions at a time.
type newPage struct {
	Page
	Step       ask.Step // the step shown; the last, of its name, has no questions
	Number, Of int
	Questions  []askedNow
	Belts      []beltRow // of the step that asks for them
	Kinds      []ask.BeltKind
	Machines   []ask.Machine
	Kept       []hidden // what other steps answered
	Before     string   // id of the step before; empty: this is the first
	After      string
	Name       bool // the last step
	Positions  int
	Typed      url.Values
	Unit       string
	Faults     []fault
}

// askedNow is a question with the answer that stands.
type askedNow struct {
	ask.Question
	Answer string
}

// beltRow is one belt as the form asks for it.
type beltRow struct {
	Number int
	Kind   string
	Turns  []string // as many as there is room for, empty where nothing is
}

type hidden struct{ Name, Value string }

const (
	lastStep  = "name"
	beltRoom  = 8 // pulleys that the form has room for
	beltStep  = "belts"
	stepField = "step"
)

// idPattern is what a vehicle's id looks like in addresses and file names.
var idPattern = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

func (s *Server) newPage(w http.ResponseWriter, r *http.Request) error {
	page, err := s.layNew(r, r.URL.Query())
	if err != nil {
		return err
	}
	return s.answer(w, r, "new", page, map[string]any{"step": page.Step, "questions": page.Questions,
		"positions": page.Positions})
}

// layNew lays out one step with what was answered so far.
func (s *Server) layNew(r *http.Request, typed url.Values) (*newPage, error) {
	y, err := s.yards.open()
	if err != nil {
		return nil, err
	}
	page := &newPage{Page: s.base(r, "A new vehicle"), Typed: typed, Kinds: ask.BeltKinds(),
		Unit: y.Settings.Units.Preferred(units.Distance), Machines: ask.Machines()}
	answers := ask.Mend(ask.Answers{Say: newAnswers(typed)})
	usual, err := ask.Resolve(answers)
	if err != nil {
		return nil, err
	}
	res := usual
	inColumns(typed)
	answers.Belts = beltsOf(typed)
	if slices.EqualFunc(answers.Belts, usual.Belts, sameBelt) {
		answers.Belts = nil
	}
	if answers.Belts != nil {
		if res, err = ask.Resolve(answers); err != nil {
			page.Faults = faults(err)
			res, typed = usual, url.Values{stepField: {beltStep}}
		}
	}
	if page.Positions, err = ask.Positions(ask.Answers{Say: answers.Say, Belts: res.Belts}); err != nil {
		return nil, err
	}
	if res.Counts() == fleet.ByHours {
		page.Unit = "h"
	}
	page.step(typed.Get(stepField), res)
	page.keep(answers, res)
	return page, nil
}

// newAnswers are the answers among what was sent.
func newAnswers(typed url.Values) map[string]string {
	out := map[string]string{}
	for _, id := range ask.QuestionIDs() {
		if v := typed.Get(id); v != "" {
			out[id] = v
		}
	}
	return out
}

// beltsOf reads the belts that were sent, nil where none were.
func beltsOf(typed url.Values) []ask.Belt {
	if !typed.Has("belt1") {
		return nil
	}
	out := []ask.Belt{}
	for n := 1; n <= ask.MaxBelts; n++ {
		b := ask.Belt{Kind: typed.Get(fmt.Sprintf("belt%d", n))}
		for _, m := range typed[fmt.Sprintf("turns%d", n)] {
			if m != "" {
				b.Turns = append(b.Turns, m)
			}
		}
		if b.Kind != "" {
			out = append(out, b)
		}
	}
	return out
}

func sameBelt(a, b ask.Belt) bool { return a.Kind == b.Kind && slices.Equal(a.Turns, b.Turns) }

// step chooses the step that is shown: the one named, or the first.
func (p *newPage) step(id string, r *ask.Resolved) {
	var steps []ask.Step
	for _, st := range ask.Steps() {
		if len(ofStep(st.ID, r)) > 0 || st.ID == beltStep && len(r.Belts) > 0 {
			steps = append(steps, st)
		}
	}
	steps = append(steps, ask.Step{ID: lastStep, Say: "Its name"})
	at := max(0, slices.IndexFunc(steps, func(st ask.Step) bool { return st.ID == id }))
	p.Step, p.Number, p.Of, p.Name = steps[at], at+1, len(steps), at == len(steps)-1
	if at > 0 {
		p.Before = steps[at-1].ID
	}
	if !p.Name {
		p.After = steps[at+1].ID
	}
	p.Questions = ofStep(p.Step.ID, r)
	if p.Step.ID == beltStep {
		for n := range ask.MaxBelts {
			row := beltRow{Number: n + 1, Turns: make([]string, beltRoom)}
			if n < len(r.Belts) {
				row.Kind = r.Belts[n].Kind
				row.Turns = append(r.Belts[n].Turns, row.Turns[min(beltRoom, len(r.Belts[n].Turns)):]...)
			}
			p.Belts = append(p.Belts, row)
		}
	}
}

// ofStep are the questions of a step that leave a choice.
func ofStep(id string, r *ask.Resolved) []askedNow {
	var out []askedNow
	for _, q := range r.Asked {
		if q.Step == id && len(q.Choices) > 1 {
			now := askedNow{q, r.Answer[q.ID]}
			if slices.ContainsFunc(r.Taken, func(t ask.Taken) bool { return t.Question == q.ID }) {
				now.Answer = ask.DontKnow
			}
			out = append(out, now)
		}
	}
	return out
}

// keep remembers in the form what other steps answered.
func (p *newPage) keep(a ask.Answers, r *ask.Resolved) {
	for _, id := range ask.QuestionIDs() {
		here := slices.ContainsFunc(p.Questions, func(q askedNow) bool { return q.ID == id })
		if a.Say[id] != "" && !here {
			p.Kept = append(p.Kept, hidden{id, a.Say[id]})
		}
	}
	if a.Belts == nil || p.Step.ID == beltStep {
		return
	}
	if len(r.Belts) == 0 {
		p.Kept = append(p.Kept, hidden{"belt1", ""})
	}
	for i, b := range r.Belts {
		p.Kept = append(p.Kept, hidden{fmt.Sprintf("belt%d", i+1), b.Kind})
		for j, m := range b.Turns {
			p.Kept = append(p.Kept, hidden{fmt.Sprintf("turns%d-%d", i+1, j), m})
		}
	}
}

func (s *Server) newKeep(w http.ResponseWriter, r *http.Request) error {
	if err := form(r); err != nil {
		return err
	}
	r.PostForm.Set(stepField, lastStep)
	page, err := s.layNew(r, r.PostForm)
	if err != nil {
		return err
	}
	if err = s.startSheet(r.PostForm); err == nil {
		http.Redirect(w, r, "/v/"+r.PostForm.Get("vehicle")+"/sheet", http.StatusSeeOther)
		return nil
	}
	if fleet.KindOf(err) == fleet.Internal || wantsJSON(r) {
		return err
	}
	page.Faults = faults(err)
	return s.render(w, r, status(err), "new", page)
}

func (s *Server) startSheet(f url.Values) error {
	y, err := s.yards.open()
	if err != nil {
		return err
	}
	fill := ask.Filling{Vehicle: f.Get("vehicle"), Name: f.Get("name"), VIN: f.Get("vin")}
	if !idPattern.MatchString(fill.Vehicle) || len(fill.Vehicle) > 40 {
		return &fleet.Error{Kind: fleet.Invalid, Where: "short name",
			Msg:  "it is what stands in addresses and in the file's name",
			Hint: "lower-case letters, digits and hyphens, at most 40: for example wren"}
	}
	if strings.TrimSpace(fill.Name) == "" {
		return &fleet.Error{Kind: fleet.Invalid, Where: "what you call it", Msg: "it has no name",
			Hint: "write the name you know it by"}
	}
	if typed := f.Get("built"); typed != "" {
		if fill.Built, err = parseDay("first used", typed); err != nil {
			return err
		}
	}
	answers := ask.Mend(ask.Answers{Say: newAnswers(f)})
	answers.Belts = beltsOf(f)
	res, err := ask.Resolve(answers)
	if err != nil {
		return err
	}
	reads := y.Settings.Units
	reads.Counts = res.Counts().Dimension()
	if fill.Yearly, err = distance("in a year", f.Get("yearly"), reads); err != nil {
		return err
	}
	src, err := ask.Build(answers, fill)
	if err != nil {
		return err
	}
	if _, err := sheet.Read("new sheet", src, y.Catalogue); err != nil {
		return err
	}
	return yard.NewSheet(y.Dir, fill.Vehicle, src)
}
