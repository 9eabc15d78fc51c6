package draw

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/message"
)

// Figures used by several tests. dirt is put into every text field.

// hrefDirt leaves out what makes an address invalid; that is refused, not
// escaped.
func hrefDirt(dirt string) string {
	if dirt == "" {
		return ""
	}
	return "?q=\"><script>x</script>&y='"
}

func sampleBay(dirt string) Bay {
	b := Bay{
		Head: Head{ID: "bay", Title: message.Name("Heron from above" + dirt)}, View: Above,
		Engine: Engine{Vee: true, Cylinders: 6},
		Lines: []Line{{Hose, [][2]float64{{30, 20}, {34, 40}, {30, 70}}}, {Cable, [][2]float64{{70, 60}, {84, 90}}},
			{Pipe, [][2]float64{{20, 60}, {40, 90}}}, {Strap, [][2]float64{{44, 20}, {60, 20}}}},
	}
	shapes := []Shape{NoShape, Battery, Tank, Reservoir, Servo, AirBox, Canister, Machine, FrontHose,
		RearHose, CoolantCap}
	for i := range 33 {
		b.Spots = append(b.Spots, Spot{
			ID: fmt.Sprintf("p%d%s", i, dirt), Name: fmt.Sprintf("Position %d%s", i, dirt),
			Verdict: Verdicts()[i%5], X: float64(15 + (i*37)%70), Y: float64(6 + (i*23)%96),
			Shape: shapes[i%len(shapes)], Lit: i%6 == 0, Href: "/v/heron/p" + fmt.Sprint(i) + hrefDirt(dirt),
		})
	}
	return b
}

func sampleBelow() Bay {
	b := sampleBay("")
	b.ID, b.View, b.Engine = "under", Below, Engine{Transverse: true}
	for i := range b.Spots {
		b.Spots[i].Y *= 1.8
		b.Spots[i].Href = ""
	}
	return b
}

func sampleRun(dirt string) Run {
	return Run{
		Head: Head{ID: "run", Title: message.Name("Main drive belt" + dirt)}, Thickness: 4.3,
		Pulleys: []Pulley{
			{Number: 1, Name: "Crank pulley" + dirt, Radius: 80, Driver: true},
			{Number: 2, Name: "Steering pump" + dirt, X: -215, Y: 85, Radius: 66, Href: "#p2"},
			{Number: 3, Name: "Lower idler" + dirt, X: -112, Y: 168, Radius: 36, Back: true},
			{Number: 4, Name: "Alternator" + dirt, X: -212, Y: 318, Radius: 28},
			{Number: 5, Name: "Upper idler" + dirt, X: -72, Y: 262, Radius: 38, Back: true},
			{Number: 6, Name: "Water pump" + dirt, X: 48, Y: 300, Radius: 69},
			{Number: 7, Name: "Tensioner" + dirt, X: 62, Y: 140, Radius: 40, Back: true},
		},
		Tensioner: &Tensioner{Pulley: 7, PivotX: 140, PivotY: 110, Low: -14, High: 12,
			Marks: []TensionMark{{"new belt" + dirt, -8}, {"stop" + dirt, 12}}},
	}
}

func sampleSlide() Run {
	return Run{
		Head: Head{ID: "slide", Title: "Air-conditioning belt"},
		Pulleys: []Pulley{
			{Number: 1, Name: "Crank pulley", Radius: 76, Driver: true},
			{Number: 2, Name: "Adjuster", X: 112, Y: 118, Radius: 35, Span: 145.2, Wrap: 54.4},
			{Number: 3, Name: "Compressor", X: 236, Y: 40, Radius: 60},
		},
		Tensioner: &Tensioner{Pulley: 2, Slides: true, SlideDeg: 60, Low: -12, High: 20},
	}
}

// sampleStanding is a belt's cracks: measured six times, four limits of three authorities.
func sampleStanding(dirt string) Standing {
	m := &Measured{Y: Axis{Label: message.Name("rib wear" + dirt), Unit: "mm" + dirt},
		Points: []Point{{0, .12}, {210, .2}, {430, .26}, {650, .37}, {810, .41}, {1000, .52}},
		Limits: []LimitLine{{.6, message.Name("put right from 0.6" + dirt), message.Name("part maker" + dirt), true},
			{.5, "watch from 0.5", "common practice", false}, {.52, "watch from 0.52", "owner", false},
			{.82, "put right from 0.82", "vehicle maker", false}},
		Then: &Band{Lo: .53, Mid: .55, Hi: .58}}
	for i := range 8 {
		x := float64(i) * 60
		y, s := .52+x*.0005, .012+x*.00015
		m.Path = append(m.Path, Band{1000 + x, y, y - s, y + s})
	}
	return Standing{
		Head: Head{ID: "wear", Title: message.Name("Rib wear" + dirt)}, Today: 1010, Next: &Tick{At: 1030,
			Text: message.Name("next visit" + dirt)},
		X: Axis{Lo: -20, Hi: 1420, Ticks: []Tick{{0, message.Name("Jan 2024" + dirt), "128 000 km" + dirt},
			{365, "Jan 2025", "141 000 km"}, {730, "Jan 2026", "155 000 km"}, {1095, "Jan 2027", "168 000 km"}}},
		Measured: m,
		Shots: []Shot{{650, "/p/1/small", "/x" + hrefDirt(dirt), message.Name("Picture" + dirt)},
			{660, "/p/2/small", "/p/2", "Picture"}, {1000, "/p/3/small", "/p/3", "Picture"}},
	}
}

// sampleDues is a hose of which nothing is measured: three intervals, two looks.
func sampleDues(dirt string) Standing {
	s := sampleStanding(dirt)
	s.ID, s.Measured = "dues", nil
	s.Bars = []DueBar{{message.Name("part maker: 4 years" + dirt), message.Name("due in June 2026" + dirt), 0, 900, 900,
		true, false},
		{"vehicle maker: 60 000 km", "due between 2027 and 2028", 0, 1100, 1300, false, false},
		{"common practice: by condition", "", 0, 0, 0, false, true}}
	s.Looks = []SeenMark{{430, Keep}, {1000, Watch}}
	return s
}

func sampleSurvival(dirt string) Survival {
	now := 5.1
	return Survival{
		Head: Head{ID: "life", Title: message.Name("Coolant hoses" + dirt)},
		X:    Axis{Label: message.Name("age" + dirt), Unit: "years" + dirt},
		Step: true, Now: &now,
		Curve:  []Band{{0, 1, 1, 1}, {3.2, .92, .8, .98}, {5, .8, .62, .92}, {7.7, .55, .35, .76}, {10, .3, .1, .5}},
		Failed: []float64{3.2, 5, 7.7, 10}, Censored: []float64{2, 4, 8},
	}
}

func sampleSpectrum(dirt string) Spectrum {
	s := Spectrum{
		Head: Head{ID: "noise", Title: message.Name("Recording at idle" + dirt)},
		X:    Axis{Label: message.Name("frequency" + dirt), Unit: "Hz", Lo: 10, Hi: 1000, Log: true},
		Y:    Axis{Label: message.Name("level" + dirt), Unit: "dB"},
		Candidates: []Candidate{{1, message.Name("crank pulley" + dirt), []float64{13, 26}},
			{4, message.Name("alternator bearing" + dirt), []float64{141, 282, 5000}}},
	}
	for i := 20; i < 2000; i++ {
		f := float64(i) / 2
		s.Line = append(s.Line, Point{f, -40 - 12*math.Log10(f/10) + 24*math.Exp(-math.Pow((f-141)/2, 2))})
	}
	return s
}

// The numbers that a spectrum is said to show are those drawn in it: one beyond
// the axis is not.
func TestSpectrumNumbers(t *testing.T) {
	spec := sampleSpectrum("")
	spec.Candidates = append(spec.Candidates, Candidate{7, "beyond", []float64{5000}})
	f, err := SpectrumChart(spec)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(f.Numbers, []int{1, 4}) || strings.Contains(string(f.SVG), ">7<") ||
		!strings.Contains(string(f.SVG), ">4<") {
		t.Errorf("%v are said to show", f.Numbers)
	}
}

func sampleMonths(dirt string) Months {
	return Months{
		Head:  Head{ID: "ahead", Title: message.Name("The months ahead" + dirt)},
		Names: []message.Text{message.Name("March" + dirt), "April", "May", "June"},
		Visits: []Visit{
			{At: 2.2, When: message.Name("8 May" + dirt),
				Openings: []message.Text{message.Name("undertray off" + dirt), "coolant drained"},
				Tasks:    []VisitTask{{PutRight, message.Name("Upper radiator hose" + dirt), "/x" + hrefDirt(dirt)}},
				Note:     message.Name("Wait for it to cool: 60 min" + dirt)},
			{At: .6, When: "20 March, about 184 500 km", Openings: []message.Text{"engine cover off"},
				Tasks: []VisitTask{{PutRight,
					"Main drive belt with its tensioner and both idlers, same age and same opening", ""},
					{Watch, "Heater hose", ""}}},
			{At: 2.4, When: "14 May", Tasks: []VisitTask{{Unseen, "Behind the undertray", ""}, {Park, "Brake hose", ""},
				{Keep, "Oil filter", ""}}},
		},
	}
}

// all draws every kind of figure, each text field ending in dirt.
func all(dirt string) (map[string]Figure, error) {
	out := map[string]Figure{}
	var first error
	add := func(name string, f Figure, err error) {
		if err != nil && first == nil {
			first = fmt.Errorf("%s: %w", name, err)
		}
		out[name] = f
	}
	bay, err := BayPlan(sampleBay(dirt))
	add("bay", bay.Figure, err)
	under, err := BayPlan(sampleBelow())
	add("under", under.Figure, err)
	for name, e := range map[string]Engine{"line": {}, "transverse": {Transverse: true, Cylinders: 3},
		"transverse-vee": {Transverse: true, Vee: true, Cylinders: 6}} {
		f, err := BayPlan(Bay{Head: Head{ID: name, Title: message.Name(name), Width: 640}, View: Above, Engine: e})
		add(name, f.Figure, err)
	}
	long, err := BayPlan(Bay{Head: Head{ID: "long", Title: "long"}, View: Below})
	add("long-under", long.Figure, err)
	f, err := BeltRun(sampleRun(dirt))
	add("run", f, err)
	wide := sampleRun(dirt)
	wide.Width = 640
	f, err = BeltRun(wide)
	add("run-wide", f, err)
	f, err = BeltRun(sampleSlide())
	add("slide", f, err)
	f, err = StandingChart(sampleStanding(dirt))
	add("standing", f, err)
	f, err = StandingChart(sampleDues(dirt))
	add("dues", f, err)
	f, err = RisksChart(sampleRisks(dirt))
	add("risks", f, err)
	f, err = SurvivalChart(sampleSurvival(dirt))
	add("survival", f, err)
	f, err = SpectrumChart(sampleSpectrum(dirt))
	add("spectrum", f, err)
	f, err = MonthsAhead(sampleMonths(dirt))
	add("months", f, err)
	return out, first
}
