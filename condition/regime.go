package condition

// Regime is a plan of looks at a place where a part always is: at each look a part that is found at grade Act or
// worse is changed for a new one at once.
type Regime struct {
	Looks []Look // At and Sort of each; of a sort that says grades
	Act   int
}

// Unfailed is the chance that no part fails at a place until the given exposures, from new, under
// a regime of looks, and Changes how many are expected to be changed. With two stages and a perfect
// look this is the delay-time model of Christer (1987).
func (k Kind) Unfailed(r Regime, until []float64) (chance, changes float64, err error) {
	if err := k.Check(); err != nil {
		return 0, 0, err
	}
	tr, err := k.ready(History{Looks: r.Looks, At: until})
	if err != nil {
		return 0, 0, placed(err, "regime")
	}
	for i, l := range r.Looks {
		s := k.Looks[l.Sort]
		if err := bad(!s.measured() && r.Act > 0 && r.Act < len(s.Says[0]), "", "Act", float64(r.Act),
			"a grade other than the best"); err != nil {
			return 0, 0, placed(err, "regime, look %d", i)
		}
	}
	t := newTracker(k.compile())
	places := make([][]float64, t.speeds)
	for f := range places {
		places[f] = make([]float64, t.phases)
		t.enter(places[f], 0, t.weight[f])
	}
	for _, s := range tr.steps {
		found := 0.0
		for f, v := range places {
			t.advance(v, s.dx, t.speed[f])
			if s.look != nil {
				found += t.find(v, &Look{Sort: s.look.Sort, Grade: r.Act}, t.habit[f])
			}
		}
		changes += found
		for f, v := range places {
			t.enter(v, 0, found*t.weight[f])
		}
	}
	for _, v := range places {
		for _, x := range v {
			chance += x
		}
	}
	return chance, changes, nil
}

// find takes out of v what a look finds at its grade or worse, and returns how much that is.
func (t *tracker) find(v []float64, l *Look, habit float64) float64 {
	t.emitBad(l, habit, t.said)
	out := 0.0
	for i, j := range t.stageOf {
		out += v[i] * t.said[j]
		v[i] *= 1 - t.said[j]
	}
	return out
}
