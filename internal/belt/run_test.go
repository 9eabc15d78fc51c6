package belt

import (
	"bytes"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/units"
)

const sevenPulleys = `
name: Main drive belt
belt: 6PK1874
turns: clockwise
mass: 233 g
idle: 700 rpm
usual: 2200 rpm
maximum: 5800 rpm
tensioner:
  kind: spring arm
  pulley: Tensioner
  pivot_x: -122 mm
  pivot_y: 96 mm
  low: -11°
  high: 13°
  spring: 62 N·m
  rise: 0.4 N·m
  marks: [{name: worn, at: -8°}, {name: new, at: 2°}]
pulleys:
  - {name: Crank pulley, x: 0 mm, y: 0 mm, diameter: 160 mm, side: ribs, driver: true}
  - {name: Steering pump, x: -215 mm, y: 85 mm, diameter: 132 mm, side: ribs, torque: 5 N·m}
  - {name: Tensioner, x: -116 mm, y: 168 mm, diameter: 80 mm, side: back}
  - {name: Alternator, x: -212 mm, y: 318 mm, diameter: 56 mm, side: ribs, power: 1.5 kW, alternator: true}
  - {name: Upper idler, x: -72 mm, y: 262 mm, diameter: 76 mm, side: back}
  - {name: Water pump, x: 48 mm, y: 300 mm, diameter: 138 mm, side: ribs, torque: 6 N·m}
  - {name: Lower idler, x: 62 mm, y: 140 mm, diameter: 72 mm, side: back}
`

func lone(t *testing.T, src string, q Question) *Run {
	t.Helper()
	rs, err := sheet.ReadRun("run.yaml", []byte(src))
	if err != nil {
		t.Fatal(err)
	}
	b, err := Alone(rs, q)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// byHand is the same run written for package drive by hand, mm and degrees, so
// that the sheet's way there is checked and not repeated.
func byHand(t *testing.T) *drive.Drive {
	t.Helper()
	belt := drive.Belt{Section: drive.PK(), Ribs: 6, LengthMM: 1874, KgPerM: 0.233 / 1.874}
	d, err := drive.New(drive.Run{
		Belt: belt, DriverTurns: drive.Clockwise,
		Tensioner: drive.Tensioner{Kind: drive.SpringArm, Pulley: "t", Pivot: drive.Point{X: -122, Y: 96}, Low: -11,
			High: 13, Spring: 62, Rate: 0.4},
		Pulleys: []drive.Pulley{
			{Name: "c", DiameterMM: 160, Driver: true},
			{Name: "s", Centre: drive.Point{X: -215, Y: 85}, DiameterMM: 132,
				Load: drive.Load{Kind: drive.TorqueLoad, Value: 5}},
			{Name: "t", Centre: drive.Point{X: -116, Y: 168}, DiameterMM: 80, Measured: drive.Plain,
				Side: drive.BackSide},
			{Name: "a", Centre: drive.Point{X: -212, Y: 318}, DiameterMM: 56, Alternator: true,
				Load: drive.Load{Kind: drive.PowerLoad, Value: 1500}},
			{Name: "u", Centre: drive.Point{X: -72, Y: 262}, DiameterMM: 76, Measured: drive.Plain,
				Side: drive.BackSide},
			{Name: "w", Centre: drive.Point{X: 48, Y: 300}, DiameterMM: 138,
				Load: drive.Load{Kind: drive.TorqueLoad, Value: 6}},
			{Name: "l", Centre: drive.Point{X: 62, Y: 140}, DiameterMM: 72, Measured: drive.Plain,
				Side: drive.BackSide},
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestRunAgainstDrive(t *testing.T) {
	b, d := lone(t, sevenPulleys, Question{RPM: rpm(3000)}), byHand(t)
	fit, err := d.Fit(1874)
	if err != nil {
		t.Fatal(err)
	}
	same := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-9*math.Max(1, math.Abs(want)) {
			t.Errorf("%s: %v, by hand %v", what, got, want)
		}
	}
	same("position", b.Fit.Position, fit.Position)
	same("to the take-up stop", b.Fit.Take.BeltMM, fit.Take.BeltMM)
	same("length as it stands", b.Layout.EffectiveMM, 1874)
	lengths, err := d.Lengths()
	if err != nil {
		t.Fatal(err)
	}
	same("shortest belt", b.Lengths.FromMM, lengths.FromMM)
	same("longest belt", b.Lengths.ToMM, lengths.ToMM)
	if len(b.States) != 4 {
		t.Fatalf("%d states, want idle, usual, highest and the one asked", len(b.States))
	}
	for i, rpm := range []float64{700, 2200, 5800, 3000} {
		forces, err := d.Forces(rpm)
		if err != nil {
			t.Fatal(err)
		}
		slip, err := d.FirstSlip(rpm)
		if err != nil {
			t.Fatal(err)
		}
		same("speed", b.States[i].RPM, rpm)
		same("slips at", b.States[i].Slip.LoadFactor, slip.LoadFactor)
		for k := range forces.Spans {
			same("tension", b.States[i].Forces.Spans[k].TensionN, forces.Spans[k].TensionN)
			same("hub load", b.States[i].Forces.Pulleys[k].HubN, forces.Pulleys[k].HubN)
		}
	}
}

// The sentence, the words and the JSON say the same figures as the engine.
func TestRunHeadline(t *testing.T) {
	for _, c := range []struct {
		name, old, new string
		q              Question
		want           string
	}{
		{"fits", "", "", Question{},
			`The 6PK1874 fits, with about 26 mm of belt left. The arm stands 11° from its take-up stop. The pointer stands between the marks "worn" and "new".`},
		{"too short", "", "", Question{Belt: "6pk 1820"}, "The 6PK1820 does not fit. The belt is 25.3 mm too short"},
		{"too long", "", "", Question{Belt: "6PK1920"}, "The 6PK1920 does not fit. The belt is 20."},
		{"near the stop", "", "", Question{Belt: "6PK1895"}, "would pass the take-up stop"},
		{"no belt", "belt: 6PK1874\n", "", Question{},
			"As drawn the run needs a belt of 1873 mm effective length. Belts from 1855 mm to 1890 mm fit"},
		{"no pivot", "  pivot_x: -122 mm\n", "", Question{},
			"The 6PK1874 fits the run as drawn. It needs 1873 mm; no pulley is drawn that moves."},
		{"stretch", "turns: clockwise", "stretch: true", Question{}, "No published rule"},
		{"overlap", "x: -72 mm, y: 262 mm", "x: -40 mm, y: 262 mm", Question{},
			"cannot be worked out. The upper idler and the water pump overlap by"},
		{"slips", "torque: 6 N·m", "torque: 300 N·m", Question{}, "slips: it would hold only"},
	} {
		t.Run(c.name, func(t *testing.T) {
			src := strings.Replace(sevenPulleys, c.old, c.new, 1)
			b := lone(t, src, c.q)
			if got := strings.Join(told.InEnglish(b.Told()), " "); !strings.Contains(got, c.want) {
				t.Errorf("got %q, want %q", got, c.want)
			}
			if v := b.View(); v.Headline != b.Headline() || (len(b.Refused) > 0) != (len(v.Refused) > 0) {
				t.Errorf("JSON says %q, %d refusals", v.Headline, len(v.Refused))
			}
		})
	}
}

// An answer as data says the same as its sentence, and no answer that says
// "fits" stands over a refusal of a part of it.
func TestRunAnswer(t *testing.T) {
	slow := 1e-7 // at which a constant power asks for a tension no belt has
	for _, c := range []struct {
		name, old, new string
		q              Question
		want           Code
		says           string
	}{
		{"fits", "", "", Question{}, Fits, "fits, with about 26 mm of belt left. The arm"},
		{"too short", "", "", Question{Belt: "6PK1820"}, TooShort, "does not fit"},
		{"too long", "", "", Question{Belt: "6PK1920"}, TooLong, "does not fit"},
		{"no belt", "belt: 6PK1874\n", "", Question{}, NeedsBelt, "needs a belt"},
		{"no pivot", "  pivot_x: -122 mm\n", "", Question{}, FitsDrawn,
			"What slips first cannot be said: nothing says how tight this belt is."},
		{"no spring", "  spring: 62 N·m\n", "", Question{}, Fits,
			"What slips first cannot be said: the tensioner has no spring figure."},
		{"stretch", "turns: clockwise", "stretch: true", Question{}, StretchFit, "No published rule"},
		{"overlap", "x: -72 mm, y: 262 mm", "x: -40 mm, y: 262 mm", Question{}, CannotBe, "cannot be worked out"},
		{"next to standstill", "", "", Question{RPM: &slow}, CannotTurn, "the 6PK1874 cannot run. The tension comes " +
			"out beyond all proportion. By its length alone it would do: the arm stands 11°"},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := lone(t, strings.Replace(sevenPulleys, c.old, c.new, 1), c.q)
			a := b.Answer()
			if a.Code != c.want || !strings.Contains(strings.Join(told.InEnglish(b.Told()), " "), c.says) {
				t.Errorf("%s, want %s: %q", a.Code, c.want, b.Headline())
			}
			refused := a.At != nil || a.Code == CannotBe
			if refused && strings.Contains(b.Headline().String(), "fits") {
				t.Errorf("a refusal under %q", b.Headline())
			}
			if v := b.View(); v.Answer.Code != a.Code || refused != (v.Answer.Refused != nil) {
				t.Errorf("JSON says %+v", v.Answer)
			}
			if (a.Untold != nil) == (a.Slips != nil) && !refused {
				t.Errorf("neither what slips nor why that is not known: %+v", a)
			}
		})
	}
}

// One speed that cannot be takes nothing away from the others.
func TestRunRefusedAtOneSpeed(t *testing.T) {
	slow := 1e-7
	b := lone(t, sevenPulleys, Question{RPM: &slow})
	whole := lone(t, sevenPulleys, Question{})
	if b.Installed == nil || len(b.Tensions()) != 3 || len(b.States) != 4 || b.States[3].Refused == nil {
		t.Fatalf("%d states with tensions of %d", len(b.Tensions()), len(b.States))
	}
	for i, st := range b.Tensions() {
		if st.Forces.Spans[0].TensionN != whole.States[i].Forces.Spans[0].TensionN {
			t.Errorf("%.0f rpm: %v N, otherwise %v", st.RPM, st.Forces.Spans[0].TensionN,
				whole.States[i].Forces.Spans[0].TensionN)
		}
	}
}

// What is asked stands first: a change that cannot be does not stand under the
// headline of a run that is well.
func TestRunHeadlineAnswersTheQuestion(t *testing.T) {
	b := lone(t, sevenPulleys, Question{Diameters: map[string]float64{"alternator": 400}})
	if a := b.Change.Answer(); a.Code != CannotBe || strings.Contains(b.Headline().String(), "fits") ||
		!strings.Contains(b.AsItIs().String(), "fits") {
		t.Errorf("%s: %q, as it is %q", a.Code, b.Headline(), b.AsItIs())
	}
	v := b.View()
	if v.Headline != b.Headline() || v.AsItIs != b.AsItIs() || v.Change.Answer.Code != CannotBe ||
		v.Change.Answer.Refused == nil {
		t.Errorf("JSON says %q, %q, %+v", v.Headline, v.AsItIs, v.Change.Answer)
	}
	if want := (Alteration{Code: Resized, Pulley: "alternator", MM: 400, Was: 56}); len(b.Change.What) != 1 ||
		b.Change.What[0] != want {
		t.Errorf("%+v, want %+v", b.Change.What, want)
	}
}

// A speed that no engine has is refused and not passed over.
func TestRunRefusesSpeeds(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -800, 30001} {
		_, err := Alone(mustRun(t, sevenPulleys), Question{RPM: &v})
		if fleet.KindOf(err) != fleet.Invalid || !strings.Contains(err.Error(), "engine speed") ||
			len(fleet.Hints(err)) == 0 {
			t.Errorf("%g rpm: %v", v, err)
		}
	}
}

// A tap that is the octave of the true tone is seen for what it is.
func TestRunTap(t *testing.T) {
	b := lone(t, sevenPulleys, Question{})
	true0 := b.Installed.Spans[0].StillHz
	for _, c := range []struct {
		hz   float64
		code Code
		want string
	}{{true0, Agrees, "which agrees"}, {2 * true0, Octave, "that would be the octave"},
		{true0 / 2, HalfTone, "that would be half the tone"}, {true0 * 1.4, Differs, "which does not agree"}} {
		got := lone(t, sevenPulleys, Question{Taps: []Tap{{From: "Crank pulley", To: "steering pump", Hz: c.hz}}})
		if w := got.Taps[0].Words(); got.Taps[0].Agrees != c.code || !strings.Contains(w.String(), c.want) {
			t.Errorf("%.0f Hz: %s, %q, want %q", c.hz, got.Taps[0].Agrees, w, c.want)
		}
	}
	// T = 4 m l^2 f^2, the formula printed on tension meters (belts.md, section 3).
	l := b.Layout.Spans[0].LengthMM / 1000
	want := 4 * 0.233 / 1.874 * l * l * true0 * true0
	got := lone(t, sevenPulleys, Question{Taps: []Tap{{From: "steering-pump", To: "crank pulley", Hz: true0}}})
	if math.Abs(got.Taps[0].Tension.TensionN-want) > 1e-6*want {
		t.Errorf("tension %v, want %v", got.Taps[0].Tension.TensionN, want)
	}
}

func TestRunChange(t *testing.T) {
	b := lone(t, sevenPulleys, Question{Diameters: map[string]float64{"alternator": 60}})
	// 4 mm more on a pulley with wrap w takes 2 w mm more belt, w in radians, and
	// a little for the wraps that change.
	grown := b.Change.Versus.LengthMM - b.Change.Versus.LengthWas
	wrap := b.Layout.Pulleys[3].WrapDeg * math.Pi / 180
	if rough := 2 * wrap; math.Abs(grown-rough) > 0.4 {
		t.Errorf("the run grew by %.2f mm, want about %.2f", grown, rough)
	}
	if got := b.Change.Headline(); b.Change.Answer().Code != StillFits ||
		!strings.HasPrefix(got.String(), "The alternator 60 mm instead of 56 mm: the belt still fits") {
		t.Errorf("headline %q", got)
	}
	out := lone(t, sevenPulleys, Question{LeaveOut: "lower idler"})
	if len(out.Change.Ways) == 0 || len(out.Change.After.Layout.Pulleys) != 6 {
		t.Errorf("leaving the lower idler out: %d ways", len(out.Change.Ways))
	}
	more := lone(t, sevenPulleys, Question{Idler: &Idler{DiameterMM: 60, At: Point{X: -130, Y: -40}}})
	if len(more.Change.After.Layout.Pulleys) != 8 || more.Change.After.Layout.EffectiveMM == more.Layout.EffectiveMM {
		t.Errorf("adding an idler: %s", more.Change.Headline())
	}
	if _, err := Alone(mustRun(t, sevenPulleys),
		Question{LeaveOut: "compressor"}); fleet.KindOf(err) != fleet.NotFound {
		t.Errorf("an unknown pulley: %v", err)
	}
}

func rpm(v float64) *float64 { return &v }

func mustRun(t *testing.T, src string) *sheet.RunSheet {
	t.Helper()
	rs, err := sheet.ReadRun("run.yaml", []byte(src))
	if err != nil {
		t.Fatal(err)
	}
	return rs
}

// Wear read from the arm is the way back from wear that moves it.
func TestRunWear(t *testing.T) {
	d := byHand(t)
	w, err := d.WearMoves(0.1, 1874)
	if err != nil {
		t.Fatal(err)
	}
	now := w.To
	b := lone(t, sevenPulleys, Question{Arm: &now})
	if math.Abs(b.Wear.Wear.SinkMM-w.SinkMM) > 1e-3 || b.Wear.Code != Worn {
		t.Errorf("sink %.3f, want %.3f: %s", b.Wear.Wear.SinkMM, w.SinkMM, b.Wear.Words())
	}
	now = b.Fit.Position + 3
	if got := lone(t, sevenPulleys, Question{Arm: &now}).Wear; got.Code != NoWear {
		t.Errorf("an arm before its place: %s, %s", got.Code, got.Words())
	}
}

// wren is a vehicle of the catalogue and a sheet.
func wren(t *testing.T) (*catalogue.Catalogue, *fleet.Vehicle) {
	t.Helper()
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	src, err := os.ReadFile("../sheet/testdata/before/v6-long-petrol.yaml")
	if err != nil {
		t.Fatal(err)
	}
	src = bytes.Replace(src, []byte("vehicle: v6-long-petrol"), []byte("vehicle: wren"), 1)
	v, err := sheet.Parse("wren.yaml", src, cat)
	if err != nil {
		t.Fatal(err)
	}
	return cat, v
}

// The belt in the journal goes before the one on the sheet, and findings at the
// run stand beside it as they were judged.
func TestRunOfVehicle(t *testing.T) {
	cat, v := wren(t)
	day := civil.Date{Year: 2026, Month: 5, Day: 2}
	offset, loss := units.MustParse("1.6 mm"), units.MustParse("6 %")
	entries := []*fleet.Entry{
		{ID: "01", Batch: "01", Type: fleet.TypeFitted, Vehicle: "wren", Date: day,
			Fitted: &fleet.Fitted{Position: "main-belt", Part: fleet.PartSpec{Name: "ribbed belt 6PK1880"}}},
		{ID: "02", Batch: "02", Type: fleet.TypeFound, Vehicle: "wren", Date: day,
			Found: &fleet.Found{Position: "main-belt", Check: "offset", Value: &offset}},
		{ID: "03", Batch: "02", Type: fleet.TypeFound, Vehicle: "wren", Date: day,
			Found: &fleet.Found{Position: "main-belt", Check: "rib-loss", Value: &loss}},
		{ID: "04", Batch: "02", Type: fleet.TypeFound, Vehicle: "wren", Date: day,
			Found: &fleet.Found{Position: "main-tensioner", Check: "mark", Answer: "at-end"}},
	}
	r := advise.Vehicle(cat, v, entries, day)
	if len(r.State.Problems) > 0 {
		t.Fatalf("%+v", r.State.Problems)
	}
	b, err := Of(r, "main-run", Question{})
	if err != nil {
		t.Fatal(err)
	}
	if b.Facts.Printed != "6PK1880" || (b.Known != Known{Code: Fitted, On: day}) {
		t.Errorf("belt %s, %+v", b.Facts.Printed, b.Known)
	}
	if len(b.Findings) != 3 {
		t.Errorf("%d findings at the run: %+v", len(b.Findings), b.Findings)
	}
	if b.Offset == nil || math.Abs(drive.AngleDeg(1.6,
		b.Offset.Short.LengthMM)-math.Atan(1.6/b.Offset.Short.LengthMM)*180/math.Pi) > 1e-12 ||
		!strings.Contains(b.Offset.Words().String(), "0.33°") {
		t.Errorf("offset %+v", b.Offset)
	}
	if b.Wear == nil || b.Wear.Code != RibsGone || b.Wear.Percent != 6 {
		t.Errorf("wear %+v", b.Wear)
	}
	if same, err := Of(r, "main-tensioner", Question{}); err != nil || same.Run != b.Run {
		t.Errorf("a position does not stand for its run: %v", err)
	}
	if _, err := Of(r, "main-rn", Question{}); fleet.KindOf(err) != fleet.NotFound ||
		!strings.Contains(fleet.Hints(err)[0].String(), "main-run") {
		t.Errorf("an unknown run: %v", err)
	}
}

// The run's arithmetic contradicts a pointer at its end where the fitted belt
// puts the arm well within its travel, and says nothing of one that is too long.
func TestStandsInTheMiddle(t *testing.T) {
	cat, v := wren(t)
	day := civil.MustParse("2026-11-25")
	with := func(name string) []*fleet.Entry {
		return []*fleet.Entry{{ID: "01", Batch: "01", Type: fleet.TypeFitted, Vehicle: "wren", Date: day,
			Fitted: &fleet.Fitted{Position: "main-belt", Part: fleet.PartSpec{Name: name}}}}
	}
	for mm, want := range map[int]string{1875: catalogue.RunMiddle, 1880: catalogue.RunMiddle, 1860: "",
		1890: "", 1900: ""} {
		if got := Stands(cat, v, with("ribbed belt 6PK"+strconv.Itoa(mm)), day, "main-tensioner"); got != want {
			t.Errorf("a belt of %d mm: %q, want %q", mm, got, want)
		}
	}
	if got := Stands(cat, v, nil, day, "battery"); got != "" {
		t.Errorf("the battery stands on no run: %q", got)
	}
}

// A run that nobody measured judges no belt and names none to buy, whatever is asked of it.
func TestATypicalRunJudgesNoBelt(t *testing.T) {
	src := "section: PK\nribs: 6" + sevenPulleys
	for _, q := range []Question{{}, {Belt: "6PK1874"}, {Belt: "6PK1500"},
		{Diameters: map[string]float64{"Alternator": 70}}} {
		measured, b := lone(t, src, q), lone(t, "typical: true\n"+src, q)
		if measured.ToBuy() == "" || b.ToBuy() != "" || len(b.FitWords()) > 0 {
			t.Errorf("%+v: to buy %q, %v", q, b.ToBuy(), b.FitWords())
		}
		if q.Diameters == nil && b.Headline() != typicalHead {
			t.Errorf("%+v: %s", q, b.Headline())
		}
		if said := strings.Join(told.InEnglish(b.Told()), " "); !strings.Contains(said, typicalHead.String()) ||
			q.Diameters == nil && strings.Contains(said, "fit") {
			t.Errorf("%+v: %s", q, said)
		}
	}
}
