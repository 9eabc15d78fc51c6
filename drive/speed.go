package drive

import (
	"math"
)

// Limits on speed that are not a property of the section.
const (
	AlternatorMaxRPM  = 18000 // typical modern alternator; from memory
	AlternatorIdleRPM = 2400  // below this the output of high-output units falls; a supplier's guide
)

// PulleySpeed is how one pulley turns.
type PulleySpeed struct {
	Name     string
	RPM      float64 // never negative; see Turns
	Turns    int     // Clockwise or Anticlockwise
	Ratio    float64 // to the driver
	OtherRPM float64 // with the section's other line differential; equal to RPM if it has none
	EffRatio float64 // ratio of effective diameters, the common mistake, for comparison
}

// Speeds is the run at one driver speed.
type Speeds struct {
	DriverRPM float64
	BeltMS    float64 // belt speed at the cord, m/s
	PassHz    float64 // how often one place on the belt comes round
	Pulleys   []PulleySpeed
	Warnings  []Warning
}

// Speeds is how every pulley turns at a driver speed in rpm, without slip, on
// pitch diameters: n2/n1 = dp1/dp2. A place on the belt comes round every pitch
// length, at the position the belt's length gives.
func (d *Drive) Speeds(driverRPM float64) (Speeds, error) {
	if !within(driverRPM, 0, 1e6) {
		return Speeds{}, badInput("driver speed to a million", figure("speed", driverRPM, "rpm"))
	}
	ps := d.newPose()
	_, length, err := d.settled(ps, 0)
	if err != nil {
		return Speeds{}, err
	}
	s := &d.run.Belt.Section
	out := Speeds{DriverRPM: driverRPM, BeltMS: BeltSpeedMS(2*d.pitch[d.driver], driverRPM)}
	out.PassHz = out.BeltMS * 1000 / (length + 2*math.Pi*s.LineMM)
	dr := d.pitch[d.driver]
	for i := range d.cs {
		ratio := dr / d.pitch[i]
		out.Pulleys = append(out.Pulleys, PulleySpeed{
			Name: d.run.Pulleys[i].Name, RPM: driverRPM * ratio, Turns: int(d.cs[i].Turn), Ratio: ratio,
			OtherRPM: driverRPM * d.otherPitch(d.driver) / d.otherPitch(i),
			EffRatio: d.cs[d.driver].R / d.cs[i].R,
		})
	}
	out.Warnings = d.speedWarnings(&out)
	return out, nil
}

// otherPitch is a pulley's pitch radius, mm, with the section's other line
// differential.
func (d *Drive) otherPitch(i int) float64 {
	return d.run.Pulleys[i].otherPitch(&d.run.Belt.Section, d.pitch[i])
}

func (d *Drive) speedWarnings(s *Speeds) (ws []Warning) {
	sec := &d.run.Belt.Section
	if sec.MaxSpeed > 0 && s.BeltMS > sec.MaxSpeed {
		ws = append(ws, Warning{FastBelt, "", s.BeltMS, sec.MaxSpeed, sec.source("belt speed")})
	}
	for i, p := range s.Pulleys {
		pulley := &d.run.Pulleys[i]
		if pulley.MaxRPM > 0 && p.RPM > pulley.MaxRPM {
			ws = append(ws, Warning{FastPulley, p.Name, p.RPM, pulley.MaxRPM, "set by the caller"})
		}
		if !pulley.Alternator {
			continue
		}
		if pulley.MaxRPM == 0 && p.RPM > AlternatorMaxRPM {
			ws = append(ws, Warning{FastAlternator, p.Name, p.RPM, AlternatorMaxRPM, "typical, from memory"})
		}
		if p.RPM > 0 && p.RPM < AlternatorIdleRPM {
			ws = append(ws, Warning{SlowAlternator, p.Name, p.RPM, AlternatorIdleRPM,
				"a supplier's guide, for high-output units"})
		}
	}
	return ws
}

// BeltSpeedMS is the speed of the cord, m/s, over a pulley of pitch diameter in
// mm at rpm: pi d n / 60.
func BeltSpeedMS(pitchMM, rpm float64) float64 { return math.Pi * pitchMM * rpm / 60000 }

// RPMAtBeltSpeed is the inverse of BeltSpeedMS.
func RPMAtBeltSpeed(pitchMM, beltMS float64) float64 { return beltMS * 60000 / (math.Pi * pitchMM) }

// SpeedWithSlip is the speed of a driven pulley, rpm, when a share of the belt's
// speed is lost: n1 d1/d2 (1 - slip), slip 0.02 for 2 %. Any diameter on one
// line will do. Textbook formula (theory of machines), check F6.
func SpeedWithSlip(rpm, driverMM, drivenMM, slip float64) float64 {
	return rpm * driverMM / drivenMM * (1 - slip)
}

// SpeedWithCreep is the speed of a driven pulley, rpm, with elastic creep: the
// belt is longer where it is tight, so the slack side runs slower:
// n1 d1/d2 (E + slack)/(E + tight), stresses and modulus in one unit. Some
// textbooks print square roots of the stresses here, which is dimensionally odd
// and understates creep a thousandfold; belts.md check F7.
func SpeedWithCreep(rpm, driverMM, drivenMM, tight, slack, modulus float64) float64 {
	return rpm * driverMM / drivenMM * (modulus + slack) / (modulus + tight)
}

// Slip is the share of speed lost between two measured shafts:
// 1 - n2 d2/(n1 d1), pitch diameters. Zero speeds or diameters are refused.
func Slip(driverRPM, driverMM, drivenRPM, drivenMM float64) (float64, error) {
	if !within(driverRPM, 1e-9, 1e9) || !within(driverMM, 1e-9, 1e9) || !within(drivenRPM, 0, 1e9) ||
		!within(drivenMM, 0, 1e9) {
		return 0, badInput("slip between shafts", figure("driver speed", driverRPM, "rpm"),
			figure("driver diameter", driverMM, "mm"),
			figure("driven speed", drivenRPM, "rpm"), figure("driven diameter", drivenMM, "mm"))
	}
	return 1 - drivenRPM*drivenMM/(driverRPM*driverMM), nil
}
