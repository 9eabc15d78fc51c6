package advise

import (
	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// ForecastView is a forecast in JSON.
type ForecastView struct {
	Vehicle    string       `json:"vehicle"`
	On         civil.Date   `json:"on"`
	ExpectedKm *float64     `json:"expected_km,omitempty"`
	LowKm      *float64     `json:"low_km,omitempty"`
	HighKm     *float64     `json:"high_km,omitempty"`
	ExpectedH  *float64     `json:"expected_hours,omitempty"` // where hours are counted
	LowH       *float64     `json:"low_hours,omitempty"`
	HighH      *float64     `json:"high_hours,omitempty"`
	Known      bool         `json:"known"`
	Basis      message.Text `json:"basis"`
}

// ForecastView returns what the forecast says of a day, in JSON's form.
func (r *Report) ForecastView(day civil.Date, p units.Preferences) ForecastView {
	d, ok := r.Forecast.At(day)
	v := ForecastView{Vehicle: r.Vehicle.ID, On: day, Known: ok, Basis: r.Forecast.Basis(p)}
	split := r.Vehicle.Counts.Split
	v.ExpectedKm, v.ExpectedH = split(d.Expected)
	v.LowKm, v.LowH = split(d.Low)
	v.HighKm, v.HighH = split(d.High)
	return v
}

// MeaningView is a meaning in JSON.
type MeaningView struct {
	Kind     string        `json:"kind"`
	Headline message.Text  `json:"headline"`
	More     message.Text  `json:"more,omitempty"`
	Verdict  string        `json:"verdict"`
	Opinions []OpinionView `json:"opinions"`
	Causes   []string      `json:"causes,omitempty"`
	First    []string      `json:"first,omitempty"`
	With     []string      `json:"with,omitempty"`
}

// View returns the meaning in JSON's form.
func (m *Meaning) View(p units.Preferences) MeaningView {
	v := MeaningView{Kind: m.Kind.ID, Headline: m.Headline(p), More: told.Rest(m.Told(p)),
		Verdict: m.Judgement.Verdict.String()}
	for _, o := range m.Judgement.Reasons {
		if o.Finding != nil {
			v.Opinions = append(v.Opinions, opinionView(o))
		}
	}
	for _, c := range m.Judgement.Causes {
		v.Causes = append(v.Causes, c.Likely...)
	}
	for _, f := range m.Judgement.First {
		v.First = append(v.First, f.Do)
	}
	for _, w := range m.With {
		v.With = append(v.With, w.Say)
	}
	return v
}
