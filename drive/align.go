package drive

import (
	"math"

	"undertray.example/undertray/internal/message"
)

// Axial is where a pulley's plane lies. The belt's plane is drawn in x and y;
// z points towards the viewer.
type Axial struct {
	OffsetMM float64 // of the pulley's plane at its centre, along z
	TiltXDeg float64 // turned about the x axis
	TiltYDeg float64 // turned about the y axis
}

// AlignmentLimit is a published limit on the angle at which a belt meets a
// pulley's plane.
type AlignmentLimit struct {
	Name     string
	Deg      float64
	Family   Family
	Standing Standing
	Source   message.Text
}

// AlignmentLimits are the limits that apply to a family of sections, strictest
// first. They disagree, so all are returned. None was found for flat belts.
func AlignmentLimits(f Family) []AlignmentLimit {
	var out []AlignmentLimit
	for _, l := range [...]AlignmentLimit{
		{"1/16 inch per foot", AngleDeg(1.0/16, 12), Ribbed, Published,
			"installers' checklist, industrial ribbed belts"},
		{"0.33 degrees", 0.33, Ribbed, Published, "SAE paper 1999-01-1709, accessory drives; chirp is possible below"},
		{"0.58 mm per 100 mm", AngleDeg(0.58, 100), Ribbed, SecondHand, "SAE J1596 (cancelled), summary"},
		{"1/10 inch per foot", AngleDeg(0.1, 12), Vee, Published, "installers' checklist, industrial V-belts"},
		{"0.5 degrees", 0.5, Vee, Published, "installers' checklist and an alignment-tool page, industrial V-belts"},
	} {
		if l.Family == f {
			out = append(out, l)
		}
	}
	return out
}

// AngleDeg is the angle of an offset over a span, degrees: atan(e/S).
func AngleDeg(offsetMM, spanMM float64) float64 { return deg(math.Atan(offsetMM / spanMM)) }

// OffsetMM is the offset that a limit allows over a span: S tan(limit).
func OffsetMM(limitDeg, spanMM float64) float64 { return spanMM * math.Tan(rad(limitDeg)) }

// Entry is how the belt meets one pulley at one end of a span.
type Entry struct {
	Pulley   string
	Span     [2]string // from, to
	Arriving bool      // false: leaving
	SpanMM   float64
	AngleDeg float64 // between belt and pulley plane; the sign tells the side
	OffsetMM float64 // what parallel offset would give that angle
	Limits   []LimitResult
}

// LimitResult is one limit judged.
type LimitResult struct {
	AlignmentLimit
	AllowedMM float64 // parallel offset allowed over this span
	Passed    bool    // within the limit
}

// Alignment judges every entry and exit of the run as it stands: the slope of
// the span, from the groove it leaves to the groove it enters, less the slope of
// the pulley's own plane in the direction of travel. An offset alone gives
// atan(offset/span); belts.md section 5.
func (d *Drive) Alignment() ([]Entry, error) {
	ps := d.newPose()
	q, _, err := d.settled(ps, 0)
	if err != nil {
		return nil, err
	}
	d.move(ps, q)
	limits := AlignmentLimits(d.run.Belt.Section.Family)
	var out []Entry
	for i, n := 0, len(d.cs); i < n; i++ {
		j := (i + 1) % n
		sp := &ps.path.Spans[i]
		a, b := planeOf(&d.run.Pulleys[i], &ps.cs[i]), planeOf(&d.run.Pulleys[j], &ps.cs[j])
		slope := (b.z(sp.To) - a.z(sp.From)) / sp.LengthMM
		leg := [2]string{d.run.Pulleys[i].Name, d.run.Pulleys[j].Name}
		out = append(out,
			entry(leg[0], leg, false, sp, slope, a, limits),
			entry(leg[1], leg, true, sp, slope, b, limits))
	}
	return out, nil
}

func entry(name string, leg [2]string, arriving bool, sp *Span, slope float64, p plane, limits []AlignmentLimit) Entry {
	angle := deg(math.Atan(slope) - math.Atan(p.slope(sp.Dir)))
	e := Entry{Pulley: name, Span: leg, Arriving: arriving, SpanMM: sp.LengthMM, AngleDeg: angle,
		OffsetMM: OffsetMM(angle, sp.LengthMM)}
	for _, l := range limits {
		e.Limits = append(e.Limits, LimitResult{l, OffsetMM(l.Deg, sp.LengthMM), math.Abs(angle) <= l.Deg})
	}
	return e
}

// plane is a pulley's middle plane, z = z0 + gx (x-x0) + gy (y-y0).
type plane struct{ x0, y0, z0, gx, gy float64 }

// planeOf turns the plane z = 0 about the x axis, then about the y axis: its
// normal is (sin y cos x, -sin x, cos y cos x).
func planeOf(p *Pulley, c *Circle) plane {
	sx, cx := math.Sincos(rad(p.Axial.TiltXDeg))
	sy, cy := math.Sincos(rad(p.Axial.TiltYDeg))
	nx, ny, nz := sy*cx, -sx, cy*cx
	return plane{c.X, c.Y, p.Axial.OffsetMM, -nx / nz, -ny / nz}
}

func (p plane) z(at Point) float64 { return p.z0 + p.gx*(at.X-p.x0) + p.gy*(at.Y-p.y0) }

func (p plane) slope(dir Point) float64 { return p.gx*dir.X + p.gy*dir.Y }
