package listen

import (
	"fmt"
	"math"

	"undertray.example/undertray/internal/message"
)

// Bearing is the geometry of a rolling bearing. Ball and Pitch may be in any one unit.
type Bearing struct {
	Name       string
	Balls      int     // balls or rollers in one row
	Ball       float64 // ball diameter
	Pitch      float64 // diameter of the circle of ball centres
	Contact    float64 // contact angle [degrees]
	OuterTurns bool    // the outer ring turns on a fixed inner ring, as in most idler and tensioner pulleys
}

// Rates are the rates of a bearing's parts in turns or passes per turn of its shaft (orders).
type Rates struct {
	Cage  float64 // turns of the cage against the fixed ring
	Outer float64 // balls passing a point of the outer ring
	Inner float64 // balls passing a point of the inner ring
	Spin  float64 // turns of a ball about itself; a flaw on it strikes twice per turn
}

// Rates of the bearing without slip (T. A. Harris, Rolling Bearing Analysis; the formulas are in every text on
// bearing vibration): with g = Ball/Pitch cos(Contact), Outer = n (1-g)/2, Inner = n (1+g)/2, Spin = (1-g^2)
// Pitch/(2 Ball), Cage = (1-g)/2, or (1+g)/2 when the outer ring turns. Real bearings slip and differ by up to 1 or
// 2 %.
func (b Bearing) Rates() (Rates, error) {
	if b.Balls < 3 || b.Balls > 200 || !(b.Ball > 0) || !(b.Pitch > b.Ball) || math.IsInf(b.Pitch, 0) ||
		!(b.Contact >= 0 && b.Contact < 90) {
		return Rates{}, wrap(ErrInput, "bearing figures", called("bearing", b.Name),
			figure("balls", float64(b.Balls), ""), figure("ball", b.Ball, ""), figure("pitch", b.Pitch, ""),
			figure("angle", b.Contact, "degrees"))
	}
	if float64(b.Balls)*b.Ball > math.Pi*b.Pitch*1.001 {
		return Rates{}, wrap(ErrInput, "balls do not fit", called("bearing", b.Name),
			figure("balls", float64(b.Balls), ""), figure("ball", b.Ball, ""), figure("pitch", b.Pitch, ""))
	}
	g := b.Ball / b.Pitch * math.Cos(b.Contact*math.Pi/180)
	n := float64(b.Balls)
	r := Rates{Cage: (1 - g) / 2, Outer: n * (1 - g) / 2, Inner: n * (1 + g) / 2,
		Spin: b.Pitch / (2 * b.Ball) * (1 - g*g)}
	if b.OuterTurns {
		r.Cage = (1 + g) / 2
	}
	return r, nil
}

// Element of a bearing.
type Element int

// The elements. A flaw on a ball often shows only as a modulation at the cage rate, so the two are one answer.
const (
	NoElement Element = iota
	OuterRing
	InnerRing
	RollingOrCage
)

// String is the element in the words of the trade.
func (e Element) String() string { return e.Message().String() }

// Message is String as a text.
func (e Element) Message() message.Text {
	switch e {
	case OuterRing:
		return "outer ring"
	case InnerRing:
		return "inner ring"
	case RollingOrCage:
		return "rolling element or cage"
	}
	return "none"
}

// family is a set of lines by which one element shows: multiples of base, side lines by side.
type family struct {
	bearing int
	element Element
	cage    bool    // the cage's own comb, and not that of the balls
	base    float64 // order
	side    float64 // order of the modulation, 0 for none
	rate    float64 // cage rate, order
	balls   float64
}

// families of one bearing. A flaw on the turning ring goes in and out of the load and has side lines at the shaft
// rate; on the fixed ring it stays where it is.
func families(i int, b Bearing) ([]family, error) {
	r, err := b.Rates()
	if err != nil {
		return nil, err
	}
	n := float64(b.Balls)
	outer := family{bearing: i, element: OuterRing, base: r.Outer, rate: r.Cage, balls: n}
	inner := family{bearing: i, element: InnerRing, base: r.Inner, rate: r.Cage, balls: n}
	if b.OuterTurns {
		outer.side = 1
	} else {
		inner.side = 1
	}
	return []family{outer, inner,
		{bearing: i, element: RollingOrCage, base: 2 * r.Spin, side: r.Cage, rate: r.Cage, balls: n},
		{bearing: i, element: RollingOrCage, cage: true, base: r.Cage, rate: r.Cage, balls: n},
	}, nil
}

func allFamilies(bs []Bearing) ([]family, error) {
	if len(bs) == 0 {
		return nil, wrap(ErrInput, "no bearing")
	}
	var out []family
	for i, b := range bs {
		f, err := families(i, b)
		if err != nil {
			return nil, fmt.Errorf("bearing %d: %w", i+1, err)
		}
		out = append(out, f...)
	}
	return out, nil
}
