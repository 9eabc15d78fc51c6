package print

import (
	"fmt"
	"io"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/handover"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/plan/buying"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// The sheets the tests set are made by hand, so that a change in what the
// catalogue knows does not change them. They hold what is awkward to set:
// signs beyond ASCII, long words, long lists, empty fields.

var sampleDay = civil.MustParse("2026-11-25")

func sampleVehicle() *fleet.Vehicle {
	v := &fleet.Vehicle{ID: "teal", Name: "Teal, the ferry van", Make: "Oddvar & Sønn", Model: "Fjære 2·4",
		VIN: "TEA1FERRY2VAN0017"}
	v.Openings = []fleet.Opening{
		{ID: "cover", Name: "Take the engine cover off", Undo: "Press the engine cover back on",
			Minutes: 3, UndoMinutes: 2},
		{ID: "stands", Name: "Raise the front and set it on stands", Minutes: 12, UndoMinutes: 8, Raises: true,
			Cautions: []string{"Never go under a vehicle that only a jack holds; follow the maker's lifting points."}},
	}
	for i, name := range []string{"Main drive belt", "Upper radiator hose", "Thermostat housing", "Engine oil"} {
		v.Positions = append(v.Positions,
			fleet.Position{ID: fmt.Sprintf("p%d", i), Name: name, Where: "left of the radiator, Ø 38 mm stub"})
	}
	return v
}

func quantity(s string) *units.Quantity {
	q := units.MustParse(s)
	return &q
}

// sampleRound has n stops in three stages.
func sampleRound(n int) *visit.Round {
	v := sampleVehicle()
	r := &visit.Round{Vehicle: v, On: sampleDay, Open: []*fleet.Opening{&v.Openings[0]}, Minutes: 5}
	checks := []*catalogue.Check{
		{ID: "cracks", Sense: "look", Question: "How many cracks are there in 75 mm of one rib?",
			How:     "Turn the belt over with a lamp; ribs face the pulleys.",
			Caution: "Key out of the ignition before a hand goes near belts or fan.", Type: catalogue.Count,
			Unit: "per 75 mm"},
		{ID: "ends", Sense: "feel", Question: "How do the ends feel against the middle?",
			How:  "Squeeze, cold; 20 °C ± 5 °C is best.",
			Type: catalogue.Choice, Answers: []catalogue.Answer{{ID: "alike", Say: "Alike"}, {ID: "soft", Say: "Soft"},
				{ID: "hard", Say: "Hard or brittle"},
				{ID: "channels", Say: "Channels along the cover and a gap within 50 mm of the clip that a " +
					"fingernail finds without looking for it"}}},
	}
	for k, kind := range []visit.StageKind{visit.StageAbove, visit.StageRunning, visit.StageBelow} {
		st := visit.Stage{Kind: kind, Cautions: []string{"Caution before stage " + string(kind)}}
		if k == 0 {
			st.Open = []visit.Opened{{Opening: r.Open[0], Cautions: r.Open[0].Cautions}}
		}
		for i := range n {
			stop := visit.Stop{N: k*n + i + 1, Position: &v.Positions[i%len(v.Positions)], Kind: &catalogue.Kind{},
				Judgement: &judge.Judgement{Place: &fleet.Place{}}}
			for m, c := range checks {
				stop.Checks = append(stop.Checks, visit.CheckItem{Check: c, Last: lastFinding(c), Caution: c.Caution,
					Letter: string(rune('a' + m)), Detail: i%2 == 0})
			}
			st.Stops = append(st.Stops, stop)
		}
		st.SayOnce()
		r.Stages = append(r.Stages, st)
	}
	r.Hidden = []visit.Reveal{{Opening: &v.Openings[1],
		Positions: []*fleet.Position{&v.Positions[2], &v.Positions[3]}, Minutes: 20}}
	return r
}

func lastFinding(c *catalogue.Check) *fleet.Finding {
	found := &fleet.Found{Check: c.ID, Answer: "alike"}
	if c.Measured() {
		found = &fleet.Found{Check: c.ID, Value: quantity("2 per 75 mm")}
	}
	return &fleet.Finding{Found: found, Moment: fleet.Moment{Date: civil.MustParse("2026-05-02")}}
}

// sampleJob has n steps behind the same two cautions and one of its own each.
func sampleJob(n int) *visit.Job {
	v := sampleVehicle()
	j := &visit.Job{Vehicle: v, On: sampleDay, Minutes: 140, Changes: 2,
		Tools: []string{"10 mm socket", "long bar", "torque wrench", "lamp"},
		Bear:  []string{"New clips, as the old ones have taken a set."}}
	for i, do := range []string{fleet.DoReplace, fleet.DoReplace, fleet.DoInspect} {
		j.Tasks = append(j.Tasks, visit.Task{Judgement: &judge.Judgement{Position: &v.Positions[i]}, Do: do,
			Reason: said("passed at 160 000 km (vehicle maker)")})
	}
	j.Elsewhere = []visit.Task{{Judgement: &judge.Judgement{Position: &v.Positions[3]}, Do: fleet.DoReplace,
		Reason: said("refrigerant")}}
	torque := visit.Torque{Where: "Main drive belt", Fastener: fleet.Fastener{What: "tensioner bolt", Size: "M8",
		Count: 2, Torque: quantity("25 N·m"), New: true, Note: "then 90°"}}
	for i := range n {
		s := visit.Step{N: i + 1, Kind: visit.StepChange,
			Do:   fmt.Sprintf("Step text %d of the job, with a word-that-cannot-be-broken-anywhere.", i+1),
			From: fleet.Above, Minutes: 12, Cautions: []string{"Shared caution, the same at every step.",
				fmt.Sprintf("Caution before step %d.", i+1)}}
		switch i % 4 {
		case 1:
			s.Kind, s.From, s.Do = visit.StepLook, fleet.Below, fmt.Sprintf("Look text %d", i+1)
		case 2:
			s.Torques = []visit.Torque{torque}
			j.Torques = append(j.Torques, torque)
		}
		j.Steps = append(j.Steps, s)
	}
	j.Parts = []visit.PartLine{
		{Position: &v.Positions[0], Spec: fleet.PartSpec{Name: "ribbed belt, EPDM", Number: "6PK-2415",
			Cost: quantity("34 EUR")}},
		{Position: &v.Positions[1], Spec: fleet.PartSpec{Name: "moulded hose, 38–42 mm²", Quantity: "2",
			Cost: quantity("22.50 EUR"), Supplier: "the motor factor in town"}}}
	j.Consumables = []fleet.Consumable{{What: "coolant", Amount: quantity("5.2 l"), Cost: quantity("18.40 EUR")},
		{What: "rag"}}
	return j
}

// sampleHandover sets a hand-over made by hand, with n lines for each of three parts.
func (p Paper) sampleHandover(w io.Writer, n int) error {
	v := sampleVehicle()
	h := &handover.Handover{For: handover.Buyer, Report: &advise.Report{Vehicle: v, On: sampleDay,
		State: &fleet.State{Record: []*fleet.Entry{{Done: &fleet.Done{Cost: quantity("61 EUR")}}}}}}
	view := handover.View{Headline: "2 of 4 parts have a known date; two open, one not fully known.",
		Basis: []message.Text{"Recorded since 2 May 2019.", "Left out: names."}}
	for _, title := range []message.Text{"Fitted when", "Due", "Open, and by when", "Not known"} {
		sec := handover.Section{Title: title, None: "Nothing."}
		for i := range n * len(view.Sections) {
			r := handover.Row{Name: message.Of("%d March 2024, %d km", i+1, 180000-i),
				Words: "Upper radiator hose, Ø 38 mm."}
			if i%3 == 1 {
				r.When = "within 300 km or 1 week of 3 May 2026"
			}
			sec.Rows = append(sec.Rows, r)
		}
		view.Sections = append(view.Sections, sec)
	}
	for _, pos := range v.Positions[:3] {
		part := handover.PartView{Name: message.Name(pos.Name)}
		for i := range n {
			l := handover.LineView{When: told.Short(sampleDay.AddDays(-100 * i)), Far: fmt.Sprintf("%d km",
				200000-2400*i),
				Words: "Moulded hose, EPDM; the one before: worn. Nested in by a wren; left alone until June."}
			if l.Found = i%2 == 1; !l.Found {
				l.Cost = quantity("22.50 EUR")
			}
			part.Lines = append(part.Lines, l)
		}
		view.Parts = append(view.Parts, part)
	}
	s := p.sheet("Hand-over", v, sampleDay)
	s.handover(h, view)
	return s.writeTo(w)
}

// samplePlan has n visits with tasks of every kind.
func samplePlan(n int) *plan.Plan {
	v := sampleVehicle()
	p := &plan.Plan{Vehicle: v, On: sampleDay, End: sampleDay.AddMonths(24), Currency: "EUR", Score: 1000, Bound: 1000,
		Minutes: 960, Money: 410,
		Gives: []why.Give{{Code: why.GiveParkedNow}}}
	for i := range n {
		day := sampleDay.AddMonths(5*i + 1)
		visit := plan.Visit{N: i + 1, Period: 5*i + 2, Date: day, Month: told.MonthYear(day), OilChange: i%2 == 0,
			Round: true, RoundSees: make([]*fleet.Position, 40+i), Minutes: 240, Money: 100, BuyBy: day.AddDays(-14)}
		if i == 1 {
			visit.Instead = day.AddMonths(1)
		}
		for k := range v.Positions {
			t := plan.Task{Judgement: &judge.Judgement{Position: &v.Positions[k]},
				Positions: []*fleet.Position{&v.Positions[k]}, Do: fleet.DoReplace,
				Reason: why.Reason{
					Cause: why.Cause{Code: why.DueAgain, By: day, Life: 20 + k},
					Stand: why.Stand{Code: why.StandLate, Early: -i - 2}}}
			if k == 2 {
				t.Do, t.First = fleet.DoInspect, []string{"put this right"}
			}
			visit.Tasks = append(visit.Tasks, t)
		}
		visit.Buy = sampleJob(1).Parts
		p.Visits = append(p.Visits, visit)
	}
	p.Small = []plan.Small{{By: sampleDay.AddMonths(3), Task: p.Visits[0].Tasks[0]}}
	return p
}

// sampleShopping has n lots.
func sampleShopping(n int) *buying.Shopping {
	s := &buying.Shopping{Vehicle: sampleVehicle(), On: sampleDay, End: sampleDay.AddMonths(24)}
	for i := range n {
		day := sampleDay.AddMonths(4 * i)
		s.Lots = append(s.Lots, buying.Lot{Vehicle: s.Vehicle, By: day, For: day.AddDays(14), Visit: i + 1,
			Job: sampleJob(1)})
	}
	return s
}

// sample is a reason that says itself.
type sample string

// Words is what it says.
func (s sample) Words() message.Text { return message.Text(s) }

// View is the same.
func (s sample) View() any { return string(s) }

func said(words string) visit.Reason {
	return visit.Reason{Code: visit.Planned, Planned: sample(words)}
}
