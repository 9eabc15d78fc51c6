package ahead_test

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/condition"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/reckon"
	"undertray.example/undertray/units"
)

// A made-up kind whose one check says what stage it is in as a look of that sort does;
// no look is blind on a part, which the forecast takes as it is and does not learn.
const madeUp = `
kinds:
- kind: made-up
  name: Made-up part
  system: drive
  about: A part made up for a simulation.
  life: {lets_down: it stops, strands: true, source: common-practice}
  checks:
  - id: seen
    sense: look
    question: How is it?
    how: Look at it.
    answer: choice
    answers: [{id: sound, say: Sound}, {id: small, say: Small, symptom: age}, {id: large, say: Large, symptom: age}, {id: worst, say: Worst, symptom: age}]
    limits:
    - {is: small, verdict: watch, authority: common practice, source: common-practice, says: Look again., again: {distance: 5000 km, time: 3 months}}
    - {is: large, verdict: put right, do: change, by: 1000 km or 1 month, authority: common practice, source: common-practice, says: Change it.}
    - {is: worst, verdict: park, do: change, authority: common practice, source: common-practice, says: Stop.}
  intervals:
  - {do: inspect, each_oil_change: true, authority: common practice, source: common-practice, says: At each oil change.}
  - {do: replace, distance: 20000 km, time: 16 months, authority: common practice, source: common-practice, says: Every 20 000 km.}
looks:
  blind: [{sorts: [glance], share: 0.0001, says: Hardly any.}]
  leads:
  - {kinds: [made-up], distance: 12000 km, time: 9 months, by_distance: 0.5, spread: 0.5, authority: common practice, source: common-practice}
`

const kmPerDay = 41.0

// world is one yard's truth: what its parts are like, drawn from what is believed.
type world struct {
	random *rand.Rand
	kind   condition.Kind
	ages   []condition.Age
	says   [][]float64
	cat    *catalogue.Catalogue
	heeded float64 // share of the bad looks after which the part is changed the same day
}

// rate is how many mean stays of a stage a day uses up.
func (w *world) rate(stage int) float64 {
	sum := 0.0
	for e, use := range []float64{kmPerDay, 1} {
		if m := w.kind.Stages[stage].Mean[e]; m > 0 {
			sum += use / m
		}
	}
	return sum
}

// life draws the days at which a new part leaves each stage; the last is its failure.
func (w *world) life() []float64 {
	for {
		begun := 0.0 // days that it is older than it is
		if u, a := w.random.Float64(), w.ages[len(w.ages)-1]; u < a.Weight {
			begun = (a.At[0]/w.kind.Stages[0].Mean[0] + a.At[1]/w.kind.Stages[0].Mean[1]) / w.rate(0)
		}
		var out []float64
		day := -begun
		for i := range w.kind.Stages {
			shape := w.kind.Stages[i].Shape
			day += distuv.Gamma{Alpha: shape, Beta: shape, Src: w.random}.Rand() / w.rate(i)
			out = append(out, day)
		}
		if day > 0 {
			return out
		}
	}
}

// answer draws what a look says of a part that leaves its stages so, at an age.
func (w *world) answer(life []float64, age float64) string {
	stage := 0
	for stage < len(life)-1 && life[stage] <= age {
		stage++
	}
	u := w.random.Float64()
	for g, p := range w.says[stage] {
		if u -= p; u < 0 {
			return []string{"sound", "small", "large", "worst"}[g]
		}
	}
	return "worst"
}

// drawn makes a world from what is believed of the kind; leads are taken times a factor.
func drawn(t *testing.T, cat *catalogue.Catalogue, seed uint64, lead, heeded float64) *world {
	t.Helper()
	v := &fleet.Vehicle{ID: "wren", Built: today.AddMonths(-2),
		Positions: []fleet.Position{{ID: "it", Name: "It", Kind: "made-up", From: fleet.Above}}}
	at := units.MustParse("0 km")
	r := advise.Vehicle(cat, v, []*fleet.Entry{{ID: "a", Vehicle: "wren", Date: today, Odometer: &at,
		Fitted: &fleet.Fitted{Position: "it"}}}, today)
	c, ok := ahead.ChanceOf(r, r.Judgement("it"))
	if !ok {
		t.Fatal("no chance is reckoned of the made-up part")
	}
	w := &world{random: rand.New(rand.NewPCG(seed, 20261129)), cat: cat, heeded: heeded}
	prior, ages, err := c.Believed()
	if err != nil {
		t.Fatal(err)
	}
	w.ages = ages
	w.kind = prior.Kind
	normal := func(sd float64) float64 { return math.Exp(sd * w.random.NormFloat64()) }
	onset, shape := normal(prior.First), w.kind.Stages[0].Shape*normal(prior.Shapes[0])
	if w.random.Float64() < prior.Else.Weight {
		shape = prior.Else.Shape
	}
	for i := range w.kind.Stages {
		s := &w.kind.Stages[i]
		by := lead
		if i == 0 {
			by, s.Shape = onset, shape
		}
		s.Mean = []float64{s.Mean[0] * by, s.Mean[1] * by}
	}
	_, strength := cat.Looks().Strength(cat.Heirs("made-up"), cat.Kind("made-up").Check("seen"), false)
	for _, s := range catalogue.Strengths() {
		if s <= strength+1e-9 {
			w.says = cat.Looks().Table(s)
		}
	}
	return w
}

// made is a vehicle of some such parts over years: a reading each month, looks now and
// then, some parts changed at their interval or for what was seen, and all that failed.
func (w *world) made(id string, parts, years int) reckon.Subject {
	start := civil.MustParse("2020-01-02")
	v := &fleet.Vehicle{ID: id, Name: id, Built: start}
	s := reckon.Subject{Vehicle: v}
	n := 0
	add := func(day int, e fleet.Entry) {
		n++
		on := start.AddDays(day)
		e.ID, e.Vehicle, e.Date = fmt.Sprintf("%s%06d", id, n), id, on
		e.Recorded = time.Date(on.Year, time.Month(on.Month), on.Day, 18, 0, 0, 0, time.UTC)
		q := units.Must(math.Round(kmPerDay*float64(day)), "km")
		e.Odometer = &q
		s.Entries = append(s.Entries, &e)
	}
	type part struct {
		life   []float64
		fitted int
	}
	fitted := make([]part, parts)
	fit := func(i, day int, why fleet.Removal) {
		fitted[i] = part{w.life(), day}
		add(day, fleet.Entry{Type: fleet.TypeFitted, Fitted: &fleet.Fitted{Position: v.Positions[i].ID, Removed: why}})
	}
	for i := range parts {
		v.Positions = append(v.Positions,
			fleet.Position{ID: fmt.Sprint("p", i), Name: fmt.Sprint("Part ", i), Kind: "made-up", From: fleet.Above})
	}
	for i := range parts {
		fit(i, 0, "")
	}
	look := 60 + w.random.IntN(120)
	for day := 1; day < years*365; day++ {
		if day%30 == 0 {
			add(day, fleet.Entry{Type: fleet.TypeOdometer})
		}
		for i := range parts {
			if p := fitted[i]; float64(day-p.fitted) >= p.life[len(p.life)-1] {
				fit(i, day, fleet.RemovedFailed)
			}
		}
		if day < look {
			continue
		}
		look = day + 60 + w.random.IntN(120)
		for i := range parts {
			age := float64(day - fitted[i].fitted)
			if age == 0 || w.random.IntN(5) == 0 {
				continue
			}
			said := w.answer(fitted[i].life, age)
			add(day, fleet.Entry{Type: fleet.TypeFound,
				Found: &fleet.Found{Position: v.Positions[i].ID, Check: "seen", Answer: said}})
			switch bad := said == "large" || said == "worst"; {
			case bad && w.heeded > 0 && w.random.Float64() < w.heeded:
				fit(i, day, fleet.RemovedWorn)
			case !bad && age > 600 && w.random.IntN(4) == 0:
				fit(i, day, fleet.RemovedAge)
			}
		}
	}
	return s
}

// simulated reckons so many made-up yards, and returns the chances said, what came true,
// and by how many standard errors, of the yards' own scatter, they differ.
func simulated(t *testing.T, yards int, lead, heeded float64) (chances []float64, came int, off float64) {
	t.Helper()
	cat, err := catalogue.LoadWith(catalogue.File{Name: "made-up.yaml", Source: []byte(madeUp)})
	if err != nil {
		t.Fatal(err)
	}
	sum, squares := 0.0, 0.0
	for y := range yards {
		w := drawn(t, cat, uint64(y), lead, heeded)
		all := []reckon.Subject{w.made("wren", 4, 5), w.made("teal", 4, 5)}
		r, err := reckon.Of(t.Context(), cat, all, reckon.Period{From: civil.MustParse("2020-04-01"),
			To: civil.MustParse("2024-12-20"), On: civil.MustParse("2025-01-01")}, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, trial := range r.Trials {
			chances = append(chances, trial.Chance)
		}
		came += r.All.Came
		d := float64(r.All.Came) - r.All.Expected
		sum, squares = sum+d, squares+d*d
	}
	n := float64(yards)
	return chances, came, sum / math.Sqrt(cmp.Or(squares-sum*sum/n, 1e-9)*n/(n-1))
}

// The reckoning finds the forecasts of made-up yards true where the truth is drawn from
// what they believe, whether or not bad parts are changed, and not so where failures come
// twice as soon after the first sign.
func TestTheReckoningTellsTrueFromFalse(t *testing.T) {
	yards := 16
	if os.Getenv("UNDERTRAY_SOAK") != "" {
		yards = 80
	}
	for _, c := range []struct {
		what         string
		lead, heeded float64
		true         bool
	}{{"as believed", 1, 0, true}, {"as believed, four in five bad parts changed", 1, 0.8, true},
		{"lead times halved", 0.5, 0, false}} {
		chances, came, off := simulated(t, yards, c.lead, c.heeded)
		expected := 0.0
		for _, p := range chances {
			expected += p
		}
		counts := reckon.Counts(chances)
		above := 0.0 // how likely so many or more are, were all true
		for k := came; k < len(counts); k++ {
			above += counts[k]
		}
		t.Logf("%s: %d yards, %d forecasts, %.1f expected, %d came true (so many or more: %.4f), %+.1f standard "+
			"errors of the yards", c.what, yards, len(chances), expected, came, above, off)
		if c.true && (math.Abs(off) > 2.6 || above < 0.005 || above > 0.995) {
			t.Errorf("%s: found false", c.what)
		}
		if !c.true && (off < 2.6 || above > 0.001) {
			t.Errorf("%s: found true", c.what)
		}
	}
}
