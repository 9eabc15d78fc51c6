package measured

import (
	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// View is a placed run in JSON; lengths in mm.
type View struct {
	Headline  message.Text   `json:"headline"`
	LengthMM  float64        `json:"effective_mm"`
	FromMM    float64        `json:"from_mm"` // nine times in ten
	ToMM      float64        `json:"to_mm"`
	Caution   message.Text   `json:"caution"`
	Next      message.Text   `json:"measure_next,omitempty"`
	Mirrors   []message.Text `json:"mirrors,omitempty"`
	Pulleys   []PlaceView    `json:"pulleys"`
	Measures  []FitView      `json:"measures"`
	Without   []WithoutView  `json:"without,omitempty"`
	TiltDeg   float64        `json:"tilt_deg,omitempty"`
	AwayMM    float64        `json:"away_mm,omitempty"`
	Run       *fleet.Run     `json:"run"` // as a sheet keeps it
	WorkedOut belt.RunView   `json:"worked_out"`
}

// PlaceView is a pulley with its standard errors.
type PlaceView struct {
	Pulley     string  `json:"pulley"`
	XSD        float64 `json:"x_sd_mm"`
	YSD        float64 `json:"y_sd_mm"`
	DiameterSD float64 `json:"diameter_sd_mm"`
	Edges      bool    `json:"edge_found,omitempty"`
}

// FitView is a measure with its misfit.
type FitView struct {
	fleet.Measure
	MisfitMM float64 `json:"misfit_mm"`
	Odd      bool    `json:"likely_slip,omitempty"`
	Checked  bool    `json:"checked"`
}

// WithoutView is the length with one pulley left out.
type WithoutView struct {
	Pulley   string  `json:"pulley"`
	LengthMM float64 `json:"effective_mm"`
	SDMM     float64 `json:"sd_mm"`
}

// View returns the run in JSON's form.
func (p *Placed) View() View {
	v := View{Headline: p.Headline(), LengthMM: p.LengthMM(), Caution: belt.Caution, Next: p.Next(),
		Mirrors: p.Mirrors(), TiltDeg: p.found.Camera.TiltDeg, AwayMM: p.found.Camera.AwayMM, Run: p.Keep(),
		WorkedOut: p.As.View()}
	v.FromMM, v.ToMM = p.Band()
	for i, s := range p.found.Pulleys {
		at := PlaceView{Pulley: p.As.Run.Pulleys[i].Name, XSD: s.XSD, YSD: s.YSD, DiameterSD: s.DiameterSD}
		if i < len(p.found.Rims) {
			at.Edges = p.found.Rims[i].Edges
		}
		v.Pulleys = append(v.Pulleys, at)
	}
	for _, f := range p.Fits() {
		v.Measures = append(v.Measures, FitView{f.Measure, f.MisfitMM, f.Odd, !f.Unchecked})
	}
	for _, w := range p.Without {
		v.Without = append(v.Without, WithoutView(w))
	}
	return v
}
