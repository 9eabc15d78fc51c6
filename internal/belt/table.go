package belt

import (
	"math"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/sheet"
)

// PulleyRow is one pulley in order of travel.
type PulleyRow struct {
	N        int
	Name     string // inside a sentence
	Position string // of the part, or ""
	Back     bool   // it runs on the back of the belt
	Turns    int    // drive.Clockwise or drive.Anticlockwise
	WrapDeg  float64
	SpanMM   float64   // of the span that leaves it
	Ratio    float64   // turns per turn of the driver; 0 where no speed is worked out
	RPM      []float64 // at each of the States
	Bears    *Load     // where slip is nearest (Hardest); nil where no slip is known
}

// Load is what a pulley bears at one speed.
type Load struct {
	Idles    bool    // it takes no torque: TorqueNm, Used and Friction mean nothing
	TorqueNm float64 // as the pulley takes it from the belt
	Used     float64 // share of the grip, 0 to 1 and beyond where it slips
	Friction float64 // coefficient needed
	HubN     float64
	Life     *Life // nil where the bearing's figures are not known
}

// Life is the L10 of a pulley's bearing at one speed.
type Life struct {
	Hours    float64
	TooHeavy bool // the load is too heavy for the formula
}

// SpanRow is one span in order of travel.
type SpanRow struct {
	From, To string
	LengthMM float64
	Rest     *SpanLoad // at rest; nil where no tension is known
	At       []float64 // N at each of Tensions
}

// SpanLoad is a span's tension and its lowest tone.
type SpanLoad struct{ N, Hz float64 }

// Pulleys lists the pulleys of a run as they stand.
func (w *Work) Pulleys(run *fleet.Run) []PulleyRow {
	var out []PulleyRow
	hardest := w.Hardest()
	for i, p := range w.Layout.Pulleys {
		row := PulleyRow{N: i + 1, Name: p.Name, Position: positionOf(run, p.Name),
			Back: p.Side == drive.BackSide, Turns: p.Turns,
			WrapDeg: p.WrapDeg, SpanMM: w.Layout.Spans[i].LengthMM}
		for s := range w.States {
			at := &w.States[s].Speeds.Pulleys[i]
			row.RPM, row.Ratio = append(row.RPM, at.RPM), at.Ratio
		}
		if hardest != nil {
			row.Bears = loadOf(&hardest.Forces.Pulleys[i])
		}
		out = append(out, row)
	}
	return out
}

// positionOf is the position of a pulley by its name inside a sentence, "" for
// none.
func positionOf(run *fleet.Run, name string) string {
	for i := range run.Pulleys {
		if sheet.PulleyName(run.Pulleys[i].Name) == name {
			return run.Pulleys[i].Position
		}
	}
	return ""
}

// leastTorque is the torque in N·m below which a pulley only guides the belt.
const leastTorque = 1e-9

func loadOf(f *drive.PulleyForce) *Load {
	l := &Load{Idles: math.Abs(f.TorqueNm) < leastTorque, TorqueNm: f.TorqueNm, Used: f.Used,
		Friction: f.MuNeeded, HubN: f.HubN}
	if f.Life != nil {
		l.Life = &Life{Hours: f.Life.Hours, TooHeavy: f.Life.TooHeavy}
	}
	return l
}

// Tensions are the states whose tensions are known.
func (w *Work) Tensions() []*State {
	var out []*State
	for i := range w.States {
		if w.States[i].Forces != nil {
			out = append(out, &w.States[i])
		}
	}
	return out
}

// Spans lists the spans of a run as they stand.
func (w *Work) Spans() []SpanRow {
	var out []SpanRow
	for i, s := range w.Layout.Spans {
		row := SpanRow{From: s.Leaves, To: s.Reaches, LengthMM: s.LengthMM}
		if w.Installed != nil {
			row.Rest = &SpanLoad{N: w.Installed.Spans[i].TensionN, Hz: w.Installed.Spans[i].StillHz}
		}
		for _, st := range w.Tensions() {
			row.At = append(row.At, st.Forces.Spans[i].TensionN)
		}
		out = append(out, row)
	}
	return out
}

// Lived is a pulley with the life of its bearing.
type Lived struct {
	Pulley string
	Life
}

// Lives lists the bearings whose life is known, at the usual speed.
func (w *Work) Lives() []Lived {
	st := w.Usual()
	if st == nil || st.Forces == nil {
		return nil
	}
	var out []Lived
	for i := range st.Forces.Pulleys {
		p := &st.Forces.Pulleys[i]
		if l := loadOf(p); l.Life != nil {
			out = append(out, Lived{p.Name, *l.Life})
		}
	}
	return out
}
