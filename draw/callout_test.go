package draw

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Steps are 1, 2 or 5 times a power of ten, ticks lie inside, evenly, two at
// least and not many more than wanted, and none could be added at either end.
func TestTicksLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lo := rapid.Float64Range(-1e6, 1e6).Draw(t, "lo")
		size := math.Pow(10, rapid.Float64Range(-4, 7).Draw(t, "log size"))
		want := rapid.IntRange(2, 12).Draw(t, "want")
		hi := lo + size
		if size < 1e-7*math.Abs(lo) {
			t.Skip("too close together for float64 arithmetic of the test itself")
		}
		ticks, decimals, err := Ticks(lo, hi, want)
		if err != nil {
			t.Fatal(err)
		}
		if len(ticks) < 2 || len(ticks) > 2*want+3 {
			t.Fatalf("%d ticks, %d wanted", len(ticks), want)
		}
		step := (ticks[len(ticks)-1] - ticks[0]) / float64(len(ticks)-1)
		m := step / math.Pow(10, math.Floor(math.Log10(step*(1+1e-9))))
		if math.Min(math.Abs(m-1), math.Min(math.Abs(m-2), math.Abs(m-5))) > 1e-3 {
			t.Fatalf("step %g", step)
		}
		slack := step * 1e-6
		if ticks[0] < lo-slack || ticks[len(ticks)-1] > hi+slack {
			t.Fatalf("ticks %v outside %g..%g", ticks, lo, hi)
		}
		if ticks[0]-step >= lo+slack || ticks[len(ticks)-1]+step <= hi-slack {
			t.Fatalf("ticks %v leave room in %g..%g", ticks, lo, hi)
		}
		for i := 1; i < len(ticks); i++ {
			if figure(ticks[i], decimals) == figure(ticks[i-1], decimals) {
				t.Fatalf("two ticks read %s", figure(ticks[i], decimals))
			}
		}
	})
}

// Heckbert, "Nice numbers for graph labels", Graphics Gems (1990), p. 62: for
// 105 to 543 and 5 labels the loose ones run from 100 to 600 by 100; the ticks
// inside the data are those from 200 to 500.
func TestTicksExample(t *testing.T) {
	ticks, decimals, err := Ticks(105, 543, 5)
	if err != nil || decimals != 0 || !slices.Equal(ticks, []float64{200, 300, 400, 500}) {
		t.Errorf("got %v, %d decimals, %v", ticks, decimals, err)
	}
	for _, bad := range [][2]float64{{1, 1}, {2, 1}, {math.NaN(), 1}, {0, math.Inf(1)}, {1e9, 1e9 + 1e-7}} {
		if _, _, err := Ticks(bad[0], bad[1], 5); err == nil {
			t.Errorf("ticks from %g to %g", bad[0], bad[1])
		}
	}
}

// Slots keep order, gap and limits, and no single slot can move nearer to its
// wish alone.
func TestSlotsLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 25).Draw(t, "n")
		want := rapid.SliceOfN(rapid.Float64Range(0, 400), n, n).Draw(t, "want")
		slices.Sort(want)
		const gap, top, bottom = 14, 5, 395
		got := slots(want, gap, top, bottom)
		room := float64(gap)
		if float64(n-1)*gap > bottom-top {
			room = (bottom - top) / float64(n-1)
		}
		for i := range got {
			if got[i] < top-1e-6 || got[i] > bottom+1e-6 || (i > 0 && got[i]-got[i-1] < room-1e-6) {
				t.Fatalf("slots %v", got)
			}
			wish := math.Max(top, math.Min(bottom, want[i]))
			free := func(d float64) bool {
				v := got[i] + d
				return v >= top && v <= bottom && (i == 0 || v-got[i-1] >= room) && (i == n-1 || got[i+1]-v >= room)
			}
			if d := math.Copysign(.5, wish-got[i]); math.Abs(wish-got[i]) > 1 && free(d) {
				t.Fatalf("slot %d stands at %g, wished %g, and could move: %v", i, got[i], wish, got)
			}
		}
	})
}

// Points as crowded as a real bay's, and worse: after spreading none touch,
// and no two leaders cross.
func TestLeadersNeverCross(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 40).Draw(t, "n")
		home := make([]place, n)
		for i := range home {
			home[i] = place{rapid.Float64Range(120, 240).Draw(t, "x"), rapid.Float64Range(40, 200).Draw(t, "y")}
		}
		pts := spread(home, bayGap, place{45, 30}, place{315, 420})
		for i := range pts {
			for j := range i {
				if d := pts[i].to(pts[j]); d < bayGap-.8 {
					t.Fatalf("points %d and %d are %g apart", i, j, d)
				}
			}
		}
		l, r := callouts(pts, bayLeader, DefaultWidth-bayLeader, 14, 420, bayRow, 7)
		if len(l.ids)+len(r.ids) != n || len(l.ids)-len(r.ids) > 1 {
			t.Fatalf("%d and %d of %d", len(l.ids), len(r.ids), n)
		}
		var ends [][2]place
		for _, c := range []*column{&l, &r} {
			for k := range c.ids {
				p, q := c.leader(k, pts)
				ends = append(ends, [2]place{p, q})
			}
		}
		for i := range ends {
			for j := range i {
				if crosses(ends[i][0], ends[i][1], ends[j][0], ends[j][1]) {
					t.Fatalf("leaders %v and %v cross", ends[i], ends[j])
				}
			}
		}
	})
}

// Numbers follow from where positions lie: not from their verdicts, not from
// the width of the figure.
func TestNumbersStay(t *testing.T) {
	number := func(b Bay) map[string]int {
		f, err := BayPlan(b)
		if err != nil {
			t.Fatal(err)
		}
		m := map[string]int{}
		for i, c := range f.Legend {
			m[c.ID] = c.Number
			if c.Number != i+1 {
				t.Errorf("legend entry %d has number %d", i, c.Number)
			}
		}
		return m
	}
	base := number(sampleBay(""))
	worse, wide := sampleBay(""), sampleBay("")
	for i := range worse.Spots {
		worse.Spots[i].Verdict, worse.Spots[i].Lit = Park, true
	}
	wide.Width = 700
	for name, b := range map[string]Bay{"other verdicts": worse, "other width": wide} {
		for id, n := range number(b) {
			if base[id] != n {
				t.Errorf("%s: %s was %d, is %d", name, id, base[id], n)
			}
		}
	}
	own := sampleBay("")
	for i := range own.Spots {
		own.Spots[i].Number = 100 + i
	}
	f, err := BayPlan(own)
	if err != nil || f.Legend[0].Number != 100 {
		t.Errorf("own numbers: %v, %v", f.Legend[:1], err)
	}
}

func TestBayRefuses(t *testing.T) {
	for name, spoil := range map[string]func(*Bay){
		"id":         func(b *Bay) { b.ID = "Bay 1" },
		"title":      func(b *Bay) { b.Title = " " },
		"width":      func(b *Bay) { b.Width = 50 },
		"view":       func(b *Bay) { b.View = "aside" },
		"cylinders":  func(b *Bay) { b.Engine.Cylinders = -1 },
		"verdict":    func(b *Bay) { b.Spots[3].Verdict = "fine" },
		"place":      func(b *Bay) { b.Spots[3].X = math.NaN() },
		"far":        func(b *Bay) { b.Spots[3].Y = 400 },
		"twice":      func(b *Bay) { b.Spots[3].ID = b.Spots[2].ID },
		"no id":      func(b *Bay) { b.Spots[3].ID = "" },
		"some":       func(b *Bay) { b.Spots[3].Number = 4 },
		"shape":      func(b *Bay) { b.Spots[3].Shape = "rocket" },
		"script":     func(b *Bay) { b.Spots[3].Href = "javascript:alert(1)" },
		"line kind":  func(b *Bay) { b.Lines[0].Kind = "rope" },
		"line short": func(b *Bay) { b.Lines[0].Via = b.Lines[0].Via[:1] },
		"line NaN":   func(b *Bay) { b.Lines[0].Via[0][1] = math.Inf(1) },
	} {
		b := sampleBay("")
		spoil(&b)
		if f, err := BayPlan(b); err == nil || f.SVG != "" {
			t.Errorf("%s: no error", name)
		}
	}
}
