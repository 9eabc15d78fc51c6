package reckon

import (
	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// View is a reckoning in JSON. Chances from 0 to 1.
type View struct {
	From      civil.Date     `json:"from"`
	To        civil.Date     `json:"to"`
	KnownOn   civil.Date     `json:"happened_as_known_on"`
	Words     []message.Text `json:"words"`
	Vehicles  []string       `json:"vehicles"`
	All       BinView        `json:"all"`
	Bins      []BinView      `json:"by_chance"`
	Brier     float64        `json:"brier"`
	Log       float64        `json:"log_score"`
	Figures   BandsView      `json:"next_figures"`
	Dates     BandsView      `json:"days_of_limits"`
	Looks     []LooksView    `json:"looks"`
	Offs      []OffView      `json:"came_off"`
	Overdue   []PartView     `json:"past_a_deadline"`
	Questions []OffView      `json:"not_told"`
	Forecasts []TrialView    `json:"forecasts"`
}

// BinView is some chances that were said, in JSON.
type BinView struct {
	From      float64 `json:"from"`
	To        float64 `json:"to,omitempty"` // none: no end
	Said      int     `json:"said"`
	Expected  float64 `json:"expected"`
	Low       int     `json:"expected_low"`
	High      int     `json:"expected_high"`
	Came      int     `json:"came_true"`
	ShareLow  float64 `json:"share_low"`
	ShareHigh float64 `json:"share_high"`
	Told      Told    `json:"told"`
}

// BandsView is how many bands held, in JSON.
type BandsView struct {
	Held  int  `json:"held"`
	Below int  `json:"below"`
	Above int  `json:"above"`
	Open  int  `json:"open"`
	Told  Told `json:"told"`
}

// LooksView is what the looks at parts of a kind came to, in JSON.
type LooksView struct {
	Kind      string  `json:"kind"`
	Looks     int     `json:"looks"`
	Minutes   float64 `json:"minutes"`
	Changed   int     `json:"changed"`
	Confirmed int     `json:"borne_out"`
	Misled    int     `json:"misled"`
}

// PartView names a part in JSON.
type PartView struct {
	Vehicle  string `json:"vehicle"`
	Position string `json:"position"`
}

// OffView is a part that came off, in JSON.
type OffView struct {
	PartView
	Entry string        `json:"entry"`
	On    civil.Date    `json:"on"`
	Why   fleet.Removal `json:"why,omitempty"`
	Fate  Fate          `json:"was"`
	Stood fleet.Verdict `json:"verdict_before"`
}

// TrialView is one forecast and what happened, in JSON.
type TrialView struct {
	PartView
	Kind   string     `json:"kind"`
	On     civil.Date `json:"on"`
	Said   float64    `json:"said_until_quarter"`
	Until  civil.Date `json:"until"`
	Chance float64    `json:"chance"`
	Failed bool       `json:"failed"`
}

// View returns the reckoning in JSON's form.
func (r *Reckoning) View() View {
	v := View{From: r.From, To: r.To, KnownOn: r.On, Words: append(r.Words(), r.WearWords()...), All: r.All.view(),
		Brier: r.Brier, Log: r.Log,
		Figures: r.Figures.view(), Dates: r.Dates.view(), Bins: []BinView{}, Looks: []LooksView{},
		Offs: offViews(r.Offs), Questions: offViews(r.Questions()),
		Overdue: []PartView{}, Forecasts: []TrialView{}, Vehicles: []string{}}
	for _, vehicle := range r.Vehicles {
		v.Vehicles = append(v.Vehicles, vehicle.ID)
	}
	for i := range r.Bins {
		v.Bins = append(v.Bins, r.Bins[i].view())
	}
	for _, k := range r.ByKind(func(kind string) string { return kind }) {
		v.Looks = append(v.Looks, LooksView{k.Kind, k.Looks, k.Minutes, k.Changed, k.Confirmed, k.Misled})
	}
	for _, p := range r.Overdue {
		v.Overdue = append(v.Overdue, PartView{p.Vehicle, p.Position})
	}
	for _, t := range r.Trials {
		v.Forecasts = append(v.Forecasts,
			TrialView{PartView{t.Vehicle, t.Position}, t.Kind, t.On, t.Said, t.Until, t.Chance, t.Failed})
	}
	return v
}

func (b *Bin) view() BinView {
	v := BinView{From: b.From, Said: b.Said, Expected: b.Expected, Low: b.Low, High: b.High, Came: b.Came,
		ShareLow: b.ShareLow, ShareHigh: b.ShareHigh, Told: b.Told}
	if b.To <= 1 {
		v.To = b.To
	}
	return v
}

func (b *Bands) view() BandsView { return BandsView{b.Held, b.Below, b.Above, b.Open, b.Told} }

func offViews(all []Off) []OffView {
	out := []OffView{}
	for _, o := range all {
		out = append(out, OffView{PartView{o.Vehicle, o.Position}, o.Entry, o.On, o.Why, o.Fate, o.Stood})
	}
	return out
}
