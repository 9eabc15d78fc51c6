package lifetime

import "math"

// Physical constants, exact or rounded from the 2019 SI (CODATA 2018).
const (
	GasConstant = 8.314462618    // J/(mol K)
	BoltzmannEV = 8.617333262e-5 // eV/K
	zeroCelsius = 273.15         // K
)

// DefaultActivationEnergy is a working value for rubber in kJ/mol where nothing better is known; 65
// to 95 is its honest range (published values for EPDM, NBR, CR and butyl rubber between 50 and 92;
// see the package comment). It is an assumption to be shown.
const DefaultActivationEnergy = 80.0

// ArrheniusCovariate is 1/(kT) in 1/eV at a temperature in °C: in [Regress] its coefficient is the
// activation energy in eV. NaN below absolute zero, which Regress refuses.
func ArrheniusCovariate(celsius float64) float64 {
	if celsius <= -zeroCelsius {
		return math.NaN()
	}
	return 1 / (BoltzmannEV * (celsius + zeroCelsius))
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
