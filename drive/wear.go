package drive

import (
	"math"
)

// SinkMM is how deep a ribbed belt sinks into its grooves when flankMM has worn
// off each flank: flank / sin(angle/2), 2.92 times at 40 degrees. Derived in
// belts.md section 6, check R1.
func SinkMM(flankMM, grooveDeg float64) float64 { return flankMM * WedgeFactor(grooveDeg) }

// RibModel is the shape of one rib for turning material lost into sink. The
// zero value means 2.2 mm high and 1.78 mm wide at half height, an assumption
// for PK (belts.md section 6).
type RibModel struct{ HeightMM, MeanWidthMM float64 }

// FlankMM is the wear of each flank when a share (0.05 for 5 %) of the rib's
// section is gone: share * area / (2 * flank length); check R3.
func (m RibModel) FlankMM(share, grooveDeg float64) float64 {
	m = m.filled()
	return share * m.HeightMM * m.MeanWidthMM / (2 * m.HeightMM / math.Cos(rad(grooveDeg)/2))
}

// Share is the inverse of FlankMM.
func (m RibModel) Share(flankMM, grooveDeg float64) float64 {
	m = m.filled()
	return flankMM * 2 / math.Cos(rad(grooveDeg)/2) / m.MeanWidthMM
}

func (m RibModel) filled() RibModel {
	if m.HeightMM <= 0 {
		m.HeightMM = 2.2
	}
	if m.MeanWidthMM <= 0 {
		m.MeanWidthMM = 1.78
	}
	return m
}

// Wear relates rib wear to the tensioner.
type Wear struct {
	SinkMM  float64 // belt lower in the grooves by
	FlankMM float64 // off each flank
	Share   float64 // of a PK rib's section, by RibModel; 0.05 is 5 %
	SlackMM float64 // belt length set free: sink times wrap on the ribs
	Moved   float64 // tensioner, degrees or mm towards its take-up stop
	Left    float64 // degrees or mm left to the take-up stop
	From    float64 // position with the belt new
	To      float64 // position with the belt so worn
	LowSink float64 // lower end of the sink, mm; WearFrom only
	TopSink float64 // upper end of the sink, mm; WearFrom only
}

// WearMoves says how far the tensioner moves when the ribs have worn by flankMM
// on each flank, for a belt of an effective length (0: the run's own, or as
// drawn if that is unknown too). The run is laid again with every ribbed pulley
// smaller by the sink, so no linear approximation is made.
func (d *Drive) WearMoves(flankMM, lengthMM float64) (Wear, error) {
	if err := d.mayWear(); err != nil {
		return Wear{}, err
	}
	if !within(flankMM, 0, 2) {
		return Wear{}, badInput("flank wear", figure("flank", flankMM, "mm"))
	}
	ps := d.newPose()
	q0, length, err := d.settled(ps, lengthMM)
	if err != nil {
		return Wear{}, err
	}
	d.move(ps, q0)
	slack := d.ribWrap(ps.path)
	w := d.newWear(SinkMM(flankMM, d.run.Belt.Section.GrooveDeg))
	w.SlackMM = slack * w.SinkMM
	q, err := d.sunk(ps, w.SinkMM, length)
	if err != nil {
		return Wear{}, err
	}
	d.moved(&w, q0, q)
	return w, nil
}

// WearFrom estimates rib wear from where the tensioner stood with the belt new
// and where it stands now, both positions in degrees or mm from as drawn and
// both read cold with the engine off. errMove is the reading error of each. It
// takes all movement for rib wear: cord stretch, a wrong belt or a worn arm
// bush look the same.
func (d *Drive) WearFrom(whenNew, now, errMove float64) (Wear, error) {
	if err := d.mayWear(); err != nil {
		return Wear{}, err
	}
	if !within(errMove, 0, 90) || !finite(whenNew, now) {
		return Wear{}, badInput("positions read", figure("new", whenNew, ""), figure("now", now, ""),
			figure("error", errMove, ""))
	}
	q0, q1, e := whenNew*d.mv.unit, now*d.mv.unit, errMove*d.mv.unit
	for _, q := range [...]float64{q0, q1} {
		if q < d.sweep.lo-1e-12 || q > d.sweep.hi+1e-12 {
			return Wear{}, &Refusal{Reason: OutsideTravel,
				Code: "read outside travel",
				Args: []Arg{d.stand("at", q), d.stand("from", d.sweep.lo), d.stand("to", d.sweep.hi)}}
		}
	}
	ps := d.newPose()
	d.move(ps, q0)
	length := ps.path.LengthMM
	slack := d.ribWrap(ps.path)
	sink := d.sinkFor(ps, q1, length)
	w := d.newWear(math.Max(0, sink))
	w.SlackMM = slack * w.SinkMM
	d.moved(&w, q0, q1)
	rate0, _ := d.move(ps, q0)
	band := math.Abs(rate0) * e * 2 / slack
	w.LowSink, w.TopSink = math.Max(0, sink-band), math.Max(0, sink+band)
	return w, nil
}

// sinkFor finds the sink at which the run at q has a length: Newton on a nearly
// linear function, its slope being the wrap on the ribs.
func (d *Drive) sinkFor(ps *pose, q, length float64) float64 {
	sink := 0.0
	for range 30 {
		d.sink(ps, sink)
		if _, f := d.move(ps, q); !f.OK() {
			break
		}
		step := (ps.path.LengthMM - length) / d.ribWrap(ps.path)
		sink += step
		if math.Abs(step) < 1e-12 {
			break
		}
	}
	d.sink(ps, 0)
	return sink
}

func (d *Drive) newWear(sink float64) Wear {
	g := d.run.Belt.Section.GrooveDeg
	flank := sink / WedgeFactor(g)
	return Wear{SinkMM: sink, FlankMM: flank, Share: RibModel{}.Share(flank, g)}
}

func (d *Drive) moved(w *Wear, q0, q float64) {
	_, takeQ, _, _ := d.sweep.ends()
	w.From, w.To = q0/d.mv.unit, q/d.mv.unit
	w.Moved = (q - q0) * d.sweep.sense / d.mv.unit
	w.Left = (takeQ - q) * d.sweep.sense / d.mv.unit
}

// sunk finds the tensioner for a belt sunk into the ribs. What the sink sets
// free has to be taken up: the same as a longer belt to first order, which
// starts the search.
func (d *Drive) sunk(ps *pose, sink, length float64) (float64, error) {
	_, takeQ, _, _ := d.sweep.ends()
	d.sink(ps, sink)
	defer d.sink(ps, 0)
	d.move(ps, takeQ)
	if ps.path.LengthMM < length {
		return 0, &Refusal{Reason: BeltTooLong, MM: length - ps.path.LengthMM,
			Code: "worn beyond take-up", Args: []Arg{d.stand("stop", takeQ)}}
	}
	q, _ := d.seek(ps, length)
	return q, nil
}

// ribWrap is the wrap on the pulleys gripped by the ribs, rad.
func (d *Drive) ribWrap(p *Path) float64 {
	sum := 0.0
	for i, w := range p.WrapRad {
		if d.ribbed[i] {
			sum += w
		}
	}
	return sum
}

func (d *Drive) mayWear() error {
	if d.run.Belt.Section.Family != Ribbed {
		return badInput("wear without ribs")
	}
	if d.mv.idx < 0 {
		return &Refusal{Reason: NothingMoves, Code: "nothing moves with wear"}
	}
	ps := d.newPose()
	d.move(ps, 0)
	if d.ribWrap(ps.path) < 0.1 {
		return badInput("no grooved pulley")
	}
	return nil
}

// settled is q and length for a belt: the length given, else the run's own,
// else as drawn.
func (d *Drive) settled(ps *pose, lengthMM float64) (q, length float64, err error) {
	if lengthMM == 0 {
		lengthMM = d.run.Belt.LengthMM
	}
	if lengthMM == 0 || d.mv.idx < 0 {
		_, f := d.move(ps, 0)
		if !f.OK() {
			return 0, 0, refuse(f, d.run.Pulleys)
		}
		return 0, ps.path.LengthMM, nil
	}
	if !within(lengthMM, 50, tooBig) {
		return 0, 0, badInput("belt length", figure("length", lengthMM, "mm"))
	}
	q, _, err = d.place(ps, lengthMM)
	return q, lengthMM, err
}

// FittingLengthMM is the shortest nominal belt that can be fitted over flanges:
// 1.003*L1 + L2 + fitting + 2*pi*h, with L1 the path at the fitting stop, L2
// twice the negative length tolerance, h the flange height, fitting the fixed
// slack: 0.77 in = 19.558 mm. SAE J1596 (cancelled), seen in a summary; for the
// K section with pulleys on the ribs. All mm.
func FittingLengthMM(pathMM, twiceToleranceMM, flangeMM float64) float64 {
	return 1.003*pathMM + twiceToleranceMM + 0.77*25.4 + 6.28*flangeMM
}
