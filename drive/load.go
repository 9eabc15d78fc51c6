package drive

import (
	"math"
	"sort"
)

// LoadKind says what a load's values are.
type LoadKind uint8

// Kinds of load.
const (
	Idle       LoadKind = iota // turns freely
	TorqueLoad                 // N.m
	PowerLoad                  // W
)

// LoadPoint is one row of a load table.
type LoadPoint struct {
	RPM   float64 // of the pulley itself
	Value float64 // N.m or W
}

// Load is what a pulley takes out of the belt. Without a table it is the
// constant Value; with one it is read off linearly between rows and held
// constant beyond the first and last. A negative value drives the belt, as a
// starter-generator does. A constant power asks for ever more torque as speed
// falls, so give a table where low speed matters.
type Load struct {
	Kind  LoadKind
	Value float64
	Table []LoadPoint // rising speed
}

func (l *Load) validate(name string) error {
	if l.Kind > PowerLoad {
		return badInput("load kind", called("pulley", name))
	}
	if !within(l.Value, -1e7, 1e7) {
		return badInput("load value", called("pulley", name), figure("load", l.Value, ""))
	}
	for i, p := range l.Table {
		if !within(p.RPM, 0, 1e6) || !within(p.Value, -1e7, 1e7) {
			return badInput("load row", called("pulley", name), figure("speed", p.RPM, "rpm"),
				figure("load", p.Value, ""))
		}
		if i > 0 && p.RPM <= l.Table[i-1].RPM {
			return badInput("load order", called("pulley", name), figure("from", l.Table[i-1].RPM, "rpm"),
				figure("to", p.RPM, "rpm"))
		}
	}
	return nil
}

// TorqueNm is the torque taken at a pulley speed in rpm; 0 at standstill for a
// power load.
func (l Load) TorqueNm(rpm float64) float64 {
	rpm = math.Abs(rpm)
	v := l.at(rpm)
	switch {
	case l.Kind == Idle:
		return 0
	case l.Kind == TorqueLoad:
		return v
	case rpm == 0:
		return 0
	}
	return v / (rpm * math.Pi / 30)
}

func (l *Load) at(rpm float64) float64 {
	t := l.Table
	if len(t) == 0 {
		return l.Value
	}
	i := sort.Search(len(t), func(i int) bool { return t[i].RPM >= rpm })
	switch {
	case i == 0:
		return t[0].Value
	case i == len(t):
		return t[i-1].Value
	}
	a, b := t[i-1], t[i]
	return a.Value + (b.Value-a.Value)*(rpm-a.RPM)/(b.RPM-a.RPM)
}

// idles reports whether the pulley takes nothing at any speed.
func (l *Load) idles() bool {
	if l.Kind == Idle {
		return true
	}
	for _, p := range l.Table {
		if p.Value != 0 {
			return false
		}
	}
	return len(l.Table) > 0 || l.Value == 0
}
