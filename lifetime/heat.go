package lifetime

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Physical constants, exact or rounded from the 2019 SI (CODATA 2018).
const (
	GasConstant       = 8.314462618    // J/(mol K)
	BoltzmannEV       = 8.617333262e-5 // eV/K
	zeroCelsius       = 273.15         // K
	kilojoulesPerEV   = 96.48533212    // kJ/mol for 1 eV per molecule
	kilojoulesPerKcal = 4.184          // thermochemical calorie
)

// DefaultActivationEnergy is a working value for rubber in kJ/mol where nothing better is known; 65
// to 95 is its honest range (published values for EPDM, NBR, CR and butyl rubber between 50 and 92;
// see the package comment). It is an assumption to be shown.
const DefaultActivationEnergy = 80.0

// KilojoulesPerMole converts an activation energy from eV per molecule.
func KilojoulesPerMole(electronvolts float64) float64 { return electronvolts * kilojoulesPerEV }

// KilojoulesFromKilocalories converts an activation energy from kcal/mol.
func KilojoulesFromKilocalories(kcal float64) float64 { return kcal * kilojoulesPerKcal }

// ArrheniusCovariate is 1/(kT) in 1/eV at a temperature in °C: in [Regress] its coefficient is the
// activation energy in eV. NaN below absolute zero, which Regress refuses.
func ArrheniusCovariate(celsius float64) float64 {
	if celsius <= -zeroCelsius {
		return math.NaN()
	}
	return 1 / (BoltzmannEV * (celsius + zeroCelsius))
}

// PowerCovariate is ln(stress): in [Regress] its coefficient is the exponent of life = A·stress^b
// (inverse power law, b negative). NaN for a stress not above 0, which Regress refuses.
func PowerCovariate(stress float64) float64 {
	if stress <= 0 {
		return math.NaN()
	}
	return math.Log(stress)
}

func kelvin(field string, celsius float64) (float64, error) {
	if !finite(celsius) || celsius <= -zeroCelsius {
		return 0, parameter(field, celsius, "a temperature in °C above -273.15")
	}
	return celsius + zeroCelsius, nil
}

// Acceleration is how many times faster a part ages at one temperature than at another, both in °C,
// with an activation energy in kJ/mol: exp(Ea/R·(1/T1 - 1/T2)) (Arrhenius).
func Acceleration(energy, from, to float64) (float64, error) {
	t1, err1 := kelvin("from", from)
	t2, err2 := kelvin("to", to)
	if err := firstError(notNegative("energy", energy), err1, err2); err != nil {
		return 0, err
	}
	return boundedFactor(math.Exp(energy * 1000 / GasConstant * (1/t1 - 1/t2)))
}

func boundedFactor(f float64) (float64, error) {
	if !finite(f) {
		return 0, parameter("energy", f, "an energy and temperatures whose factor is a finite number")
	}
	return f, nil
}

// DoublingEnergy is the activation energy in kJ/mol at which ageing doubles between two
// temperatures in °C. "Doubles every 10 degrees" holds for one energy at one temperature only.
func DoublingEnergy(from, to float64) (float64, error) {
	t1, err1 := kelvin("from", from)
	t2, err2 := kelvin("to", to)
	if err := firstError(err1, err2); err != nil {
		return 0, err
	}
	if t2 <= t1 {
		return 0, parameter("to", to, "a temperature above the first")
	}
	return GasConstant * math.Ln2 * t1 * t2 / (t2 - t1) / 1000, nil
}

// Stretch is a share of time, or hours, at one temperature.
type Stretch struct {
	Celsius float64
	Time    float64 // any unit; only the proportions count
}

// MeanRate is the mean rate of ageing over a duty profile as a multiple of the rate at a reference
// temperature in °C.
func MeanRate(energy, reference float64, profile []Stretch) (float64, error) {
	var rate, total float64
	for _, s := range profile {
		if err := notNegative("Time", s.Time); err != nil {
			return 0, err
		}
		f, err := Acceleration(energy, reference, s.Celsius)
		if err != nil {
			return 0, err
		}
		rate += s.Time * f
		total += s.Time
	}
	if err := positive("total time", total); err != nil {
		return 0, err
	}
	return rate / total, nil
}

// EquivalentTemperature is the constant temperature in °C that ages a part as fast as a duty
// profile does on the mean.
func EquivalentTemperature(energy float64, profile []Stretch) (float64, error) {
	if err := positive("energy", energy); err != nil {
		return 0, err
	}
	if len(profile) == 0 {
		return 0, parameter("profile", 0, "at least one stretch of time")
	}
	rate, err := MeanRate(energy, profile[0].Celsius, profile)
	if err != nil {
		return 0, err
	}
	inverse := 1/(profile[0].Celsius+zeroCelsius) - GasConstant*math.Log(rate)/(energy*1000)
	return 1/inverse - zeroCelsius, nil
}

// Threshold is the time a property took to reach its limit at one temperature in an oven.
type Threshold struct {
	Celsius float64
	Time    float64
}

// Ageing is an Arrhenius line through threshold times, ln t = Intercept + Slope/T, as ISO 11346
// estimates the life of rubber (its procedure from memory).
type Ageing struct {
	Slope     float64 // K
	Intercept float64 // ln time
	Energy    float64 // activation energy, kJ/mol
	Lowest    float64 // lowest test temperature, °C
	n         float64
	mean, sxx float64 // of 1/T
	residual  float64 // standard deviation of ln t
}

// FitAgeing fits threshold times at three or more temperatures by least squares.
func FitAgeing(tests []Threshold) (*Ageing, error) {
	if len(tests) < 3 {
		return nil, parameter("tests", float64(len(tests)), "at least three test temperatures")
	}
	a := &Ageing{Lowest: math.Inf(1), n: float64(len(tests))}
	var x, y []float64
	for _, test := range tests {
		t, err := kelvin("Celsius", test.Celsius)
		if err = firstError(err, positive("Time", test.Time)); err != nil {
			return nil, err
		}
		x, y = append(x, 1/t), append(y, math.Log(test.Time))
		a.Lowest = math.Min(a.Lowest, test.Celsius)
	}
	a.mean = stat.Mean(x, nil)
	a.sxx = stat.Variance(x, nil) * (a.n - 1)
	if a.sxx < 1e-18 {
		return nil, parameter("Celsius", a.Lowest, "temperatures that differ")
	}
	a.Intercept, a.Slope = stat.LinearRegression(x, y, nil, false)
	a.Energy = a.Slope * GasConstant / 1000
	sum := 0.0
	for i := range x {
		d := y[i] - a.Intercept - a.Slope*x[i]
		sum += d * d
	}
	a.residual = math.Sqrt(sum / (a.n - 2))
	return a, nil
}

// Life is the time to the threshold at a temperature in °C.
func (a *Ageing) Life(celsius float64) (float64, error) {
	t, err := kelvin("celsius", celsius)
	return math.Exp(a.Intercept + a.Slope/t), err
}

// Band is the confidence band of the mean line at a temperature in °C, by Student's t.
func (a *Ageing) Band(celsius, level float64) (Interval, error) {
	t, err := kelvin("celsius", celsius)
	if err = firstError(err, fraction("level", level)); err != nil {
		return Interval{}, err
	}
	d := 1/t - a.mean
	se := a.residual * math.Sqrt(1/a.n+d*d/a.sxx)
	q := distuv.StudentsT{Sigma: 1, Nu: a.n - 2}.Quantile((1 + level) / 2)
	at := a.Intercept + a.Slope/t
	return Interval{math.Exp(at - q*se), math.Exp(at + q*se)}, nil
}

// Beyond is how far below the lowest test temperature a temperature lies, in °C; 0 for none. The
// trade does not extrapolate more than 25 to 40 °C (from memory).
func (a *Ageing) Beyond(celsius float64) float64 { return math.Max(0, a.Lowest-celsius) }

// TemperatureFor is the constant temperature in °C at which the threshold is reached after a time.
func (a *Ageing) TemperatureFor(time float64) (float64, error) {
	if err := positive("time", time); err != nil {
		return 0, err
	}
	t := a.Slope / (math.Log(time) - a.Intercept)
	if !finite(t) || t <= 0 {
		return 0, parameter("time", time, "a time the fitted line reaches at some temperature")
	}
	return t - zeroCelsius, nil
}
