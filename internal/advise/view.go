package advise

import (
	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// The views are what --json prints and what a page's JSON twin returns: flat,
// in plain words, with every distance in km and every date as ISO 8601.

// YardView is a yard in JSON.
type YardView struct {
	Headline message.Text  `json:"headline"`
	Vehicles []VehicleView `json:"vehicles"`
}

// VehicleView is a report in JSON. Positions is left out in a yard.
type VehicleView struct {
	Vehicle   string         `json:"vehicle"`
	Name      string         `json:"name"`
	On        civil.Date     `json:"on"`
	Headline  message.Text   `json:"headline"`
	More      message.Text   `json:"more,omitempty"` // what else there is to it
	Basis     message.Text   `json:"basis"`
	TotalKm   *float64       `json:"total_km,omitempty"`
	TotalH    *float64       `json:"total_hours,omitempty"` // where hours are counted
	Verdicts  map[string]int `json:"verdicts"`
	OilChange []WhenView     `json:"oil_changes,omitempty"` // the next and the one after it
	Positions []PositionView `json:"positions,omitempty"`
	Shared    []message.Text `json:"shared_causes,omitempty"`
	LeftOut   []message.Text `json:"left_out,omitempty"`
	Stands    message.Text   `json:"stands,omitempty"` // what half-done work forbids
	Open      []OpenView     `json:"open,omitempty"`
}

// OpenView is what was opened and not closed again, in JSON.
type OpenView struct {
	Opening string           `json:"opening,omitempty"` // "": a ticked step left it
	Since   civil.Date       `json:"since"`
	Undone  []machine.Undone `json:"undone,omitempty"`
	Words   message.Text     `json:"words"`
	Entry   string           `json:"entry"`
}

// TagView is what is open on a vehicle, in JSON.
type TagView struct {
	Vehicle  string       `json:"vehicle"`
	Headline message.Text `json:"headline"`
	Open     []OpenView   `json:"open,omitempty"`
}

// TagView returns what is open on the vehicle in JSON's form.
func (r *Report) TagView() TagView {
	return TagView{Vehicle: r.Vehicle.ID, Headline: r.TagWords(), Open: r.OpenViews()}
}

// OpenViews returns what is open in JSON's form.
func (r *Report) OpenViews() []OpenView {
	var out []OpenView
	for _, h := range r.Open() {
		out = append(out, OpenView{Opening: h.Opening.ID, Since: h.Entry.Date, Undone: h.Undone,
			Words: h.Words(), Entry: h.Entry.ID})
	}
	for _, l := range r.Still() {
		out = append(out, OpenView{Since: l.Entry.Date, Undone: []machine.Undone{l.State}, Words: l.Words(),
			Entry: l.Entry.ID})
	}
	return out
}

// WhenView is a When in JSON.
type WhenView struct {
	TotalKm  *float64     `json:"total_km,omitempty"`
	TotalH   *float64     `json:"total_hours,omitempty"`
	Earliest civil.Date   `json:"earliest,omitzero"`
	Expected civil.Date   `json:"expected,omitzero"`
	Latest   civil.Date   `json:"latest,omitzero"`
	Reached  bool         `json:"reached,omitempty"`
	Words    message.Text `json:"words"`
}

// PositionView is a judgement in JSON.
type PositionView struct {
	Position string        `json:"position"`
	Name     string        `json:"name"`
	Kind     string        `json:"kind"`
	Verdict  fleet.Verdict `json:"verdict"`
	Todos    []TodoView    `json:"put_right,omitempty"`
	Why      message.Text  `json:"why"`
	Part     message.Text  `json:"part"`
	Looked   message.Text  `json:"looked"`
	Opinions []OpinionView `json:"opinions,omitempty"`
	Dues     []DueView     `json:"dues,omitempty"`
	Again    *WhenView     `json:"look_again,omitempty"`
	Ahead    *AheadView    `json:"ahead,omitempty"` // filled in by package ahead
	Symptoms []string      `json:"symptoms,omitempty"`
	Shares   []string      `json:"shares_cause,omitempty"` // symptoms that it has in common with others
	Causes   []string      `json:"causes,omitempty"`
	First    []string      `json:"first,omitempty"`
	With     []WithView    `json:"with,omitempty"`
	Cautions []string      `json:"cautions,omitempty"`
}

// AheadView is an outlook in JSON.
type AheadView struct {
	Words []message.Text `json:"words"`
	Wear  []WearoutView  `json:"wear,omitempty"`
	// Chance is the chance, 0 to 1, of failing before the next visit.
	Chance   *float64     `json:"chance_before_next_visit,omitempty"`
	RestsOn  message.Text `json:"chance_rests_on,omitempty"`
	LetsDown message.Text `json:"if_it_fails,omitempty"`
	// Look is the day by which to look again, and Unseen the chance of failing
	// before it.
	Look   civil.Date `json:"look_by,omitzero"`
	Unseen *float64   `json:"chance_unseen_by_then,omitempty"`
}

// WearoutView is a forecast of one figure against one limit, in JSON.
type WearoutView struct {
	Check        string          `json:"check"`
	Limit        units.Quantity  `json:"limit"`
	Authority    fleet.Authority `json:"authority"`
	Governs      bool            `json:"governs"`
	When         WhenView        `json:"when"`
	RestsOn      message.Text    `json:"rests_on"`
	TimesWear    float64         `json:"times_the_wear_expected,omitempty"`
	Measurements int             `json:"measurements"`
}

// TodoView is what puts a part right and by when, in JSON.
type TodoView struct {
	Do    fleet.Action   `json:"do"`
	By    fleet.Deadline `json:"by"`
	Now   bool           `json:"before_the_next_drive,omitempty"`
	Until *WhenView      `json:"until,omitempty"`
	// Left says why the owner leaves it, Entry by which entry.
	Left  string       `json:"left_because,omitempty"`
	Entry string       `json:"left_by,omitempty"`
	Words message.Text `json:"words"`
}

// OpinionView is a reason in JSON.
type OpinionView struct {
	Verdict   fleet.Verdict   `json:"verdict"`
	Authority fleet.Authority `json:"authority"`
	Source    string          `json:"source"`
	Says      string          `json:"says"`
	Governs   bool            `json:"governs"`
	Check     string          `json:"check,omitempty"`
	Answer    string          `json:"answer,omitempty"`
	Value     *units.Quantity `json:"value,omitempty"`
	Found     civil.Date      `json:"found,omitzero"`
	Entry     string          `json:"entry,omitempty"`
}

// DueView is a due in JSON.
type DueView struct {
	Authority fleet.Authority `json:"authority"`
	Interval  message.Text    `json:"interval"`
	When      *WhenView       `json:"when,omitempty"`
	Governs   bool            `json:"governs"`
	Assumed   bool            `json:"history_unknown,omitempty"`
	Rough     bool            `json:"rough,omitempty"` // When is what the renewal of the interval implies
}

// WithView is a companion in JSON.
type WithView struct {
	Positions []string `json:"positions,omitempty"`
	Inspect   bool     `json:"inspect,omitempty"`
	Say       string   `json:"say"`
}

// View returns the report in JSON's form, without its positions: those come with
// what lies ahead of them.
func (r *Report) View(p units.Preferences) VehicleView {
	v := VehicleView{Vehicle: r.Vehicle.ID, Name: r.Vehicle.Name, On: r.On, Headline: r.Headline(p), More: r.More(p),
		Basis: r.Basis(), Verdicts: map[string]int{}}
	v.Stands, v.Open = r.StandsWords(), r.OpenViews()
	if r.HasTotal {
		v.TotalKm, v.TotalH = r.Vehicle.Counts.Split(r.Total)
	}
	for verdict, n := range r.Tally() {
		v.Verdicts[verdict.String()] = n
	}
	for _, visit := range r.Visits {
		v.OilChange = append(v.OilChange, visit.When.View())
	}
	for _, s := range r.Shared {
		v.Shared = append(v.Shared, r.SharedWords(s))
	}
	for _, problem := range r.State.Problems {
		v.LeftOut = append(v.LeftOut, message.Of("%s (entry %s)", problem.Msg, problem.Entry))
	}
	return v
}

// View returns the time in JSON's form.
func (w When) View() WhenView {
	out := WhenView{Earliest: w.Earliest, Expected: w.Expected, Latest: w.Latest, Reached: w.Reached, Words: w.Words()}
	if w.HasTotal {
		out.TotalKm, out.TotalH = w.Counts.Split(w.Total)
	}
	return out
}

// PositionView returns one judgement in JSON's form, without what lies ahead.
func (r *Report) PositionView(j *judge.Judgement, p units.Preferences) PositionView {
	v := PositionView{Position: j.Position.ID, Name: j.Position.Name, Kind: j.Kind.ID, Verdict: j.Verdict,
		Why:   Why(j),
		Todos: r.todoViews(j, p), Part: PartWords(j, r.On, r.Total, r.HasTotal, p), Looked: r.LookedWords(j, p),
		Symptoms: j.Symptoms, Cautions: j.Cautions}
	for _, o := range j.Reasons {
		v.Opinions = append(v.Opinions, opinionView(o))
	}
	for i := range j.Dues {
		d := &j.Dues[i]
		dv := DueView{Authority: d.Interval.Authority, Interval: IntervalWords(d.Interval, p), Governs: d.Governs,
			Assumed: d.Assumed}
		if mark := d.Mark; !mark.IsZero() || !d.Rough.IsZero() {
			if dv.Rough = mark.IsZero(); dv.Rough {
				mark = d.Rough
			}
			w := r.When(mark).View()
			dv.When = &w
		}
		v.Dues = append(v.Dues, dv)
	}
	if j.Again != nil {
		w := r.When(j.Again.Mark).View()
		v.Again = &w
	}
	for _, s := range r.Sharing(j) {
		v.Shares = append(v.Shares, s.Symptom.ID)
	}
	for _, c := range j.Causes {
		v.Causes = append(v.Causes, c.Likely...)
	}
	for _, f := range j.First {
		v.First = append(v.First, f.Do)
	}
	for _, c := range j.With {
		wv := WithView{Inspect: c.Inspect, Say: c.Say}
		for _, pos := range c.Positions {
			wv.Positions = append(wv.Positions, pos.ID)
		}
		v.With = append(v.With, wv)
	}
	return v
}

func (r *Report) todoViews(j *judge.Judgement, p units.Preferences) []TodoView {
	var out []TodoView
	for i := range j.Todos {
		t := &j.Todos[i]
		v := TodoView{Do: t.Action, By: t.By, Now: t.Now, Words: todoLine(j, t, p)}
		if t.Left != nil {
			v.By, v.Left, v.Entry = t.Was, t.Left.Aside.Why, t.Left.ID
		}
		if !t.Until.IsZero() {
			w := r.When(t.Until).View()
			v.Until = &w
		}
		out = append(out, v)
	}
	return out
}

func opinionView(o judge.Reason) OpinionView {
	v := OpinionView{Verdict: o.Verdict, Authority: o.Authority, Source: o.Source.String(), Says: rule(o).String(),
		Governs: o.Governs}
	if o.Finding != nil {
		v.Check, v.Answer, v.Value, v.Found, v.Entry = o.Check.ID, o.Finding.Answer, o.Finding.Value,
			o.Finding.Date, o.Finding.Entry
	}
	return v
}

// GoverningView returns the opinion that governs a judgement's verdict in
// JSON's form, or nil.
func GoverningView(j *judge.Judgement) *OpinionView {
	for _, r := range j.Reasons {
		if r.Governs && r.Verdict == j.Verdict {
			v := opinionView(r)
			return &v
		}
	}
	return nil
}
