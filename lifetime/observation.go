package lifetime

// Outcome says how much is known of the moment a part failed.
type Outcome int

// The four outcomes.
const (
	Failed      Outcome = iota // failed at Age
	Running                    // still good at Age (right-censored)
	FoundFailed                // found failed at Age, never seen good since Entry (left-censored)
	Between                    // seen good at Age, found failed at Upper (interval-censored)
)

// Observation is what is known of one part, or of Weight parts alike. Ages are in any unit of
// distance or time, the same one everywhere. Build one with [FailedAt], [RunningAt],
// [FoundFailedAt] or [FailedBetween] and refine it with [Observation.From], [Observation.Times]
// and [Observation.With].
type Observation struct {
	Outcome Outcome
	Age     float64 // see Outcome
	Upper   float64 // only for Between: the age at which it was found failed

	// Entry is the age at which watching began, 0 for a part watched from new. A part fitted used,
	// or found on the vehicle when the records begin, enters late (left truncation); leaving that
	// out makes lives look longer than they are.
	Entry float64

	// Weight is the number of parts alike; 0 counts as 1.
	Weight float64

	// Covariates are the part's conditions for [Regress]; see [ArrheniusCovariate].
	Covariates []float64
}

// FailedAt is a part that failed at an age.
func FailedAt(age float64) Observation { return Observation{Outcome: Failed, Age: age} }

// RunningAt is a part still good at an age, or taken out good.
func RunningAt(age float64) Observation { return Observation{Outcome: Running, Age: age} }

// FoundFailedAt is a part found failed at an age that was not looked at before.
func FoundFailedAt(age float64) Observation { return Observation{Outcome: FoundFailed, Age: age} }

// FailedBetween is a part last seen good at one age and found failed at a later one.
func FailedBetween(good, failed float64) Observation {
	return Observation{Outcome: Between, Age: good, Upper: failed}
}

// From returns the observation with the age at which watching began.
func (o Observation) From(entry float64) Observation { o.Entry = entry; return o }

// Times returns the observation standing for n parts alike.
func (o Observation) Times(n float64) Observation { o.Weight = n; return o }

// With returns the observation with covariates.
func (o Observation) With(covariates ...float64) Observation { o.Covariates = covariates; return o }

func (o Observation) weight() float64 {
	if o.Weight == 0 {
		return 1
	}
	return o.Weight
}

func (o Observation) failed() bool { return o.Outcome != Running }

// check returns a *DataError for the first thing that cannot be right.
func (o Observation) check(row int) error {
	bad := func(field string, value float64, want string) error {
		return &DataError{Row: row, Field: field, Value: value, Want: want}
	}
	if !finite(o.Entry) || o.Entry < 0 {
		return bad("Entry", o.Entry, "an age, 0 or above")
	}
	if !finite(o.Weight) || o.Weight < 0 {
		return bad("Weight", o.Weight, "a number of parts (0 counts as 1)")
	}
	for _, x := range o.Covariates {
		if !finite(x) {
			return bad("Covariates", x, "finite numbers")
		}
	}
	switch o.Outcome {
	case Failed, FoundFailed:
		if !finite(o.Age) || o.Age <= o.Entry {
			return bad("Age", o.Age, "an age above that of entry: a part fails after it is fitted and first watched")
		}
	case Running:
		if !finite(o.Age) || o.Age < o.Entry {
			return bad("Age", o.Age, "an age not below that of entry")
		}
	case Between:
		if !finite(o.Age) || o.Age < o.Entry {
			return bad("Age", o.Age, "an age not below that of entry")
		}
		if !finite(o.Upper) || o.Upper <= o.Age {
			return bad("Upper", o.Upper, "an age above the one at which the part was last seen good")
		}
	default:
		return bad("Outcome", float64(o.Outcome), "Failed, Running, FoundFailed or Between")
	}
	return nil
}

func checkAll(obs []Observation) error {
	for i, o := range obs {
		if err := o.check(i); err != nil {
			return err
		}
	}
	return nil
}
