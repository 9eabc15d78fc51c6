package drive

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
)

// everyRoute is the slow way: lay every order and siding and ask Check.
func everyRoute(r *Run, turn float64, orders bool) []string {
	var out []string
	var s Solver
	n, driver := len(r.Pulleys), r.driver()
	var rest []int
	for i := 1; i < n; i++ {
		rest = append(rest, (driver+i)%n)
	}
	lay := func(order []int) {
		for bits := range 1 << n {
			if Side(bits>>driver&1) != r.Pulleys[driver].Side {
				continue
			}
			cs, key := make([]Circle, n), ""
			for i, k := range order {
				p := r.Pulleys[k]
				p.Side = Side(bits >> k & 1)
				cs[i] = circle(&p, &r.Belt.Section, turn)
				key += fmt.Sprint(p.Name, p.Side, " ")
			}
			if f := try(&s, cs, turn); f.OK() {
				out = append(out, key)
			}
		}
	}
	if !orders {
		lay(append([]int{driver}, rest...))
		return out
	}
	permute(rest, 0, func(p []int) { lay(append([]int{driver}, p...)) })
	return out
}

func permute(p []int, at int, do func([]int)) {
	if at == len(p) {
		do(p)
		return
	}
	for i := at; i < len(p); i++ {
		p[at], p[i] = p[i], p[at]
		permute(p, at+1, do)
		p[at], p[i] = p[i], p[at]
	}
}

func walked(r *Run, turn float64, o SearchOptions) []string {
	s := &search{r: r, o: o, t: newSpanTable(r, turn), driver: r.driver(), mover: -1}
	w := s.newWalk(-1)
	w.start()
	var out []string
	for _, c := range w.found {
		key := ""
		for i := range len(w.seq) {
			k := int(c.order[i])
			key += fmt.Sprint(r.Pulleys[k].Name, Side(c.sides>>k&1), " ")
		}
		out = append(out, key)
	}
	return out
}

func TestSearchFindsExactlyTheRoutesThatClose(t *testing.T) {
	src, total := rand.New(rand.NewPCG(3, 4)), 0
	for i := range 120 {
		r := drawRun(seeded{src})
		if len(r.Pulleys) > 6 || overlap(circles(&r, 1)).Reason != NoFault {
			continue
		}
		for _, orders := range []bool{false, true} {
			for _, turn := range []float64{1, -1} {
				want, got := everyRoute(&r, turn, orders), walked(&r, turn, SearchOptions{Orders: orders})
				slices.Sort(want)
				slices.Sort(got)
				if !slices.Equal(want, got) {
					t.Fatalf("run %d, orders %v: search finds %d routes, laying all finds %d\n%v\n%v", i, orders,
						len(got), len(want), got, want)
				}
				total += len(want)
			}
		}
	}
	if total < 300 {
		t.Errorf("only %d routes in all: the comparison hardly tests anything", total)
	}
}

// nine is a run of nine pulleys with a sprung arm, four loads and two idlers.
func nine() Run {
	return Run{
		Pulleys: []Pulley{
			{Name: "crank", Centre: Point{0, 0}, DiameterMM: 150, Driver: true},
			{Name: "tensioner", Centre: Point{-100, 150}, DiameterMM: 76, Measured: Plain, Side: BackSide},
			{Name: "alternator", Centre: Point{-240, 240}, DiameterMM: 56, Alternator: true,
				Load: Load{Kind: PowerLoad, Value: 1200}},
			{Name: "upper idler", Centre: Point{-110, 330}, DiameterMM: 70},
			{Name: "water pump", Centre: Point{-20, 230}, DiameterMM: 110, Measured: Plain, Side: BackSide,
				Load: Load{Kind: TorqueLoad, Value: 2}},
			{Name: "steering pump", Centre: Point{110, 340}, DiameterMM: 130, Load: Load{Kind: TorqueLoad, Value: 4}},
			{Name: "fan", Centre: Point{250, 260}, DiameterMM: 110, Load: Load{Kind: TorqueLoad, Value: 3}},
			{Name: "lower idler", Centre: Point{150, 130}, DiameterMM: 76, Measured: Plain, Side: BackSide},
			{Name: "compressor", Centre: Point{230, -10}, DiameterMM: 115, Load: Load{Kind: TorqueLoad, Value: 9}},
		},
		Belt: Belt{Section: PK(), Ribs: 6, KgPerM: 0.12},
		Tensioner: Tensioner{Kind: SpringArm, Pulley: "tensioner", Pivot: Point{-160, 210}, Low: -20,
			High: 20, Spring: 25},
		DriverTurns: Clockwise,
	}
}

func TestLeaveOutGivesRunsThatWork(t *testing.T) {
	r := nine()
	mustNew(t, r)
	all, err := r.LeaveOneOut(SearchOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != 7 {
		t.Fatalf("%d pulleys left out in turn, want 7 (all but driver and tensioner)", len(all))
	}
	for _, res := range all {
		if len(res.Found) == 0 {
			t.Errorf("no route without the %s", res.LeftOut)
		}
		for i, rt := range res.Found {
			d, err := New(rt.Run)
			if err != nil {
				t.Fatalf("without the %s: %v", res.LeftOut, err)
			}
			if rt.Run.Index(res.LeftOut) >= 0 {
				t.Errorf("the %s is still there", res.LeftOut)
			}
			l := d.Drawn()
			w := l.Pulleys[rt.Run.Index(rt.Weakest)]
			checkRows(t, []row{
				{"route", "length", rt.LengthMM, l.EffectiveMM, 1e-9, "laid again"},
				{"route", "wrap", rt.WeakestWrap, w.WrapDeg, 1e-9, "laid again"},
			})
			if i > 0 && len(rt.Reversed) < len(res.Found[i-1].Reversed) {
				t.Errorf("without the %s: a route that reverses fewer ranks lower", res.LeftOut)
			}
		}
	}
}

func TestLeaveOutPrefersTheSidesAsTheyAre(t *testing.T) {
	r := nine()
	res, err := r.LeaveOut("lower idler", SearchOptions{})
	if err != nil {
		t.Fatal(err)
	}
	best := res.Found[0]
	if len(best.Reversed) != 0 || best.Reordered {
		t.Errorf("best route %+v", best)
	}
	kept, err := r.LeaveOut("lower idler", SearchOptions{KeepSides: true})
	if err != nil || len(kept.Found) != 1 || len(kept.Found[0].SidesMoved) != 0 {
		t.Errorf("keeping sides leaves one route: %+v, %v", kept, err)
	}
}

func TestRoutesUseTheBeltsToBeHad(t *testing.T) {
	r := nine()
	d := mustNew(t, r)
	l, _ := d.Lengths()
	near := l.DrawnMM + 4
	res, err := r.Routes(SearchOptions{KeepSides: true, Belts: []float64{near, l.LongestMM + 50, l.DrawnMM + 6}})
	if err != nil || len(res.Found) != 1 || res.Found[0].BeltMM != near || res.Found[0].PresentBelt {
		t.Fatalf("%+v, %v", res, err)
	}
	r.Belt.LengthMM = near
	res, _ = r.Routes(SearchOptions{KeepSides: true})
	f, err := mustNew(t, r).Fit(near)
	if err != nil {
		t.Fatal(err)
	}
	if !res.Found[0].PresentBelt {
		t.Error("the present belt fits")
	}
	checkRows(t, []row{{"route", "share", res.Found[0].Share, f.Share, 1e-9, "Fit"}})
}

func TestInsertAnIdler(t *testing.T) {
	r := slackSide()
	res, err := r.Insert(Pulley{Name: "idler", Centre: Point{130, 265}, DiameterMM: 70,
		Measured: Plain}, SearchOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if len(res.Found) == 0 {
		t.Fatal("no place for the idler")
	}
	for _, rt := range res.Found {
		if _, err := New(rt.Run); err != nil {
			t.Error(err)
		}
	}
	if got := res.Found[0]; !slices.Contains(got.Order, "idler") {
		t.Errorf("%v", got.Order)
	}
}

func TestSearchStopsAtItsSteps(t *testing.T) {
	res, err := nine().Routes(SearchOptions{Orders: true, Steps: 50})
	if err != nil || !res.Partial {
		t.Errorf("partial %v, %v", res.Partial, err)
	}
}

func TestOrdersAreSearchedInReasonableTime(t *testing.T) {
	res, err := nine().LeaveOut("fan", SearchOptions{Orders: true})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("all orders: %d steps, %d routes close", res.Steps, res.Closing)
	if res.Partial {
		t.Errorf("eight pulleys in every order ran out of %d steps", res.Steps)
	}
}

func TestChangesLeaveTheRunAlone(t *testing.T) {
	r := reference()
	before := r.clone()
	a, err := r.WithDiameter("pump", 150)
	if err != nil {
		t.Fatal(err)
	}
	b, _ := r.WithCentre("pump", Point{5, 310})
	c, _ := r.Without("tensioner")
	e, _ := r.WithPulley(Pulley{Name: "idler", Centre: Point{300, 120}, DiameterMM: 60}, "compressor")
	if fmt.Sprint(r) != fmt.Sprint(before) {
		t.Error("the run was changed")
	}
	if a.Pulleys[4].DiameterMM != 150 || b.Pulleys[4].Centre.Y != 310 || len(c.Pulleys) != 4 ||
		c.Tensioner.Kind != NoTensioner || e.Pulleys[2].Name != "idler" {
		t.Error("a change is missing")
	}
	for _, name := range []string{"crank", "nobody"} {
		if _, err := r.Without(name); reason(err) != BadInput {
			t.Errorf("without %s: %v", name, err)
		}
	}
}

func TestCompare(t *testing.T) {
	r := reference()
	r.Belt.LengthMM = 1680
	changed, _ := r.WithDiameter("alternator", 62)
	c, err := Compare(mustNew(t, r), mustNew(t, changed))
	if err != nil {
		t.Fatal(err)
	}
	p := c.Pulleys[2]
	checkRows(t, []row{
		{"compare", "ratio before", p.RatioWas, 164.0 / 60, 1e-9, "pitch diameters"},
		{"compare", "ratio after", p.Ratio, 164.0 / 66, 1e-9, "pitch diameters"},
		{"compare", "length grows by the wrap", c.LengthMM - c.LengthWas, 3 * rad(p.WrapWas), 0.1,
			"dL/dR = wrap, first order"},
	})
	if !c.BeltFits || c.Fit == nil || c.NoFit != nil {
		t.Errorf("belt: %v %v %v", c.BeltFits, c.Fit, c.NoFit)
	}
	without, _ := r.Without("compressor")
	c, err = Compare(mustNew(t, r), mustNew(t, without))
	if err != nil || c.BeltFits || c.Pulleys[1].WrapDeg != 0 || c.Pulleys[1].WrapWas == 0 {
		t.Errorf("without the compressor: %+v, %v", c, err)
	}
}
