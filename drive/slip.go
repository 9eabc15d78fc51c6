package drive

import "math"

// SlipPoint is where a run first slips.
type SlipPoint struct {
	Pulley     string  // that slips first; empty when none does
	DriverRPM  float64 // at
	LoadFactor float64 // at; 1 means the loads as given
	Never      bool    // nothing slips within the range searched
}

// loadSearch is the largest factor tried on the loads.
const loadSearch = 1000

// FirstSlip raises all loads together at a driver speed until a pulley slips
// and says which and at how many times the loads given: below 1 it slips
// already.
func (d *Drive) FirstSlip(driverRPM float64) (SlipPoint, error) {
	if !within(driverRPM, 1e-3, 1e6) {
		return SlipPoint{}, badInput("driver speed", figure("speed", driverRPM, "rpm"))
	}
	worst, err := d.worst()
	if err != nil {
		return SlipPoint{}, err
	}
	lo, hi := 0.0, 0.02
	for ; hi <= loadSearch; lo, hi = hi, hi*1.25 {
		if used, _ := worst(driverRPM, hi); used >= 1 {
			break
		}
	}
	if hi > loadSearch {
		return SlipPoint{DriverRPM: driverRPM, LoadFactor: loadSearch, Never: true}, nil
	}
	for range 50 {
		mid := (lo + hi) / 2
		if used, _ := worst(driverRPM, mid); used >= 1 {
			hi = mid
		} else {
			lo = mid
		}
	}
	_, i := worst(driverRPM, hi)
	return SlipPoint{Pulley: d.run.Pulleys[i].Name, DriverRPM: driverRPM, LoadFactor: hi}, nil
}

// SlipSpeed searches a range of driver speeds, in 200 steps and then by halving,
// for the lowest at which a pulley slips with the loads as given.
func (d *Drive) SlipSpeed(fromRPM, toRPM float64) (SlipPoint, error) {
	if !within(fromRPM, 1e-3, 1e6) || !within(toRPM, fromRPM, 1e6) {
		return SlipPoint{}, badInput("range of speeds", figure("from", fromRPM, "rpm"), figure("to", toRPM, "rpm"))
	}
	worst, err := d.worst()
	if err != nil {
		return SlipPoint{}, err
	}
	lo, hi, found := fromRPM, fromRPM, false
	for i := range 201 {
		lo, hi = hi, fromRPM+(toRPM-fromRPM)*float64(i)/200
		if used, _ := worst(hi, 1); used >= 1 {
			found = true
			break
		}
	}
	if !found {
		return SlipPoint{DriverRPM: toRPM, LoadFactor: 1, Never: true}, nil
	}
	for range 50 {
		mid := (lo + hi) / 2
		if used, _ := worst(mid, 1); used >= 1 {
			hi = mid
		} else {
			lo = mid
		}
	}
	_, i := worst(hi, 1)
	return SlipPoint{Pulley: d.run.Pulleys[i].Name, DriverRPM: hi, LoadFactor: 1}, nil
}

// worst returns a function for the largest share of grip in use and the pulley.
// A state the tensioner can't hold counts as slipping.
func (d *Drive) worst() (func(rpm, factor float64) (float64, int), error) {
	ps := d.newPose()
	if _, err := d.steady(ps, 0, 0); err != nil {
		return nil, err
	}
	return func(rpm, factor float64) (float64, int) {
		st, err := d.steady(ps, rpm, factor)
		if err != nil {
			return math.Inf(1), d.driver
		}
		most, at := 0.0, d.driver
		for i := range d.cs {
			if g := d.grip(ps.path, &st, i); g.used > most {
				most, at = g.used, i
			}
		}
		return most, at
	}, nil
}
