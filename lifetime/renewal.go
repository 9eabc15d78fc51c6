package lifetime

// renewalSteps is the finer of the two grids the renewal function is worked out on.
const renewalSteps = 1600

// Renewals is the expected number of failures by an age at a position whose part is replaced by a
// new one each time it fails: the renewal function M(t) = F(t) + ∫ M(t-x) dF(x). Solved by the
// Riemann-Stieltjes scheme of Xie (1989) on two grids and extrapolated to none (error falls with
// the square of the step); about six digits for a life that wears out and less where the
// failure rate is infinite at the start (shape below 1).
func Renewals(life Law, age float64) (float64, error) {
	if err := positive("age", age); err != nil {
		return 0, err
	}
	path := renewalPath(life, age, renewalSteps)
	return path[len(path)-1], nil
}

// renewalPath returns M at steps/2+1 ages from 0 to age.
func renewalPath(life Law, age float64, steps int) []float64 {
	fine := xie(life, age, steps)
	coarse := xie(life, age, steps/2)
	for i := range coarse {
		coarse[i] = (4*fine[2*i] - coarse[i]) / 3
	}
	return coarse
}

func xie(life Law, age float64, steps int) []float64 {
	step := age / float64(steps)
	failed := make([]float64, 2*steps+1) // F at half steps
	for i := range failed {
		failed[i] = 1 - life.Survival(float64(i)*step/2)
	}
	m := make([]float64, steps+1)
	rise := make([]float64, steps+1) // m[j] - m[j-1]
	for i := 1; i <= steps; i++ {
		sum := failed[2*i] - failed[1]*m[i-1]
		for j := 1; j < i; j++ {
			sum += failed[2*(i-j)+1] * rise[j]
		}
		m[i] = sum / (1 - failed[1])
		rise[i] = m[i] - m[i-1]
	}
	return m
}

// BlockReplacement finds the fixed interval at which to replace a part whatever its age, failures
// in between being replaced as they come: least (planned + failure·M(T))/T (Barlow and Hunter
// 1960). It never beats [AgeReplacement], but needs no record of ages.
func BlockReplacement(life Law, planned, failure float64) (Replacement, error) {
	if err := checkCosts(planned, failure, 1); err != nil {
		return Replacement{}, err
	}
	mean := life.Mean()
	never := Replacement{Cost: failure / mean, RunToFailure: failure / mean}
	if failure <= planned {
		never.Why = NotDearer
		return never, nil
	}
	horizon := 3 * mean
	path := renewalPath(life, horizon, renewalSteps)
	step := horizon / float64(len(path)-1)
	best, cost := 0, never.Cost
	for i := 1; i < len(path); i++ {
		if c := (planned + failure*path[i]) / (float64(i) * step); c < cost {
			best, cost = i, c
		}
	}
	if best == 0 || cost > never.Cost*(1-leastSaving) {
		never.Why = notWorthIt(life, mean)
		return never, nil
	}
	at := func(t float64) float64 {
		x := t / step
		return (planned + failure*quadratic(path, x)) / t
	}
	age := lowest(at, float64(max(best-1, 1))*step, float64(best+1)*step)
	return Replacement{Age: age, Cost: at(age), RunToFailure: never.Cost, Survival: life.Survival(age)}, nil
}

// quadratic interpolates through the three values around x.
func quadratic(v []float64, x float64) float64 {
	i := min(max(int(x+0.5), 1), len(v)-2)
	d := x - float64(i)
	return v[i] + d*(v[i+1]-v[i-1])/2 + d*d*(v[i+1]-2*v[i]+v[i-1])/2
}
