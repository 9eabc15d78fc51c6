package web

import (
	"fmt"
	"net/url"
	"strings"

	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/units"
)

// runQuestion reads what the form asks. Pulleys are numbered from 1 in the
// sheet's order; a figure left as it is asks nothing.
func runQuestion(run *fleet.Run, v url.Values) (belt.Question, error) {
	q := belt.Question{Belt: strings.TrimSpace(v.Get("belt")), LeaveOut: v.Get("leave"),
		Diameters: map[string]float64{}, Moves: map[string]belt.Point{}}
	rpm, err := quantity("engine speed", v.Get("rpm"), units.Speed, "rpm")
	if err != nil {
		return q, err
	}
	if rpm != nil {
		typed := rpm.Base()
		q.RPM = &typed
	}
	if run != nil {
		if err := askedPulleys(run, v, &q); err != nil {
			return q, err
		}
	}
	if err := askedIdler(v, &q); err != nil {
		return q, err
	}
	if err := askedArm(run, v, &q); err != nil {
		return q, err
	}
	return q, askedTap(v, &q)
}

// askedPulleys takes diameters and places that differ from the sheet's.
func askedPulleys(run *fleet.Run, v url.Values, q *belt.Question) error {
	for i := range run.Pulleys {
		p := &run.Pulleys[i]
		n := fmt.Sprint(i + 1)
		d, err := quantity(p.Name+", diameter", v.Get("d"+n), units.Length, "mm")
		if err != nil {
			return err
		}
		if d != nil && d.Base() != p.Diameter.Base() {
			q.Diameters[p.Name] = d.Base()
		}
		at := belt.Point{X: p.X.Base(), Y: p.Y.Base()}
		moved := false
		for _, c := range []struct {
			key string
			to  *float64
		}{{"x", &at.X}, {"y", &at.Y}} {
			to, err := quantity(p.Name+", "+c.key, v.Get(c.key+n), units.Length, "mm")
			if err != nil {
				return err
			}
			if to != nil && to.Base() != *c.to {
				*c.to, moved = to.Base(), true
			}
		}
		if moved {
			q.Moves[p.Name] = at
		}
	}
	return nil
}

func askedIdler(v url.Values, q *belt.Question) error {
	if strings.TrimSpace(v.Get("idler")) == "" {
		return nil
	}
	var got [3]float64
	for i, key := range []string{"idler", "idler-x", "idler-y"} {
		f, err := quantity("idler to be added", v.Get(key), units.Length, "mm")
		if err != nil {
			return err
		}
		if f == nil {
			return &fleet.Error{Kind: fleet.Invalid, Where: "idler to be added",
				Msg:  "it needs its diameter and its place, x and y",
				Hint: "fill in all three in mm, or leave all three empty"}
		}
		got[i] = f.Base()
	}
	q.Idler = &belt.Idler{DiameterMM: got[0], At: belt.Point{X: got[1], Y: got[2]}}
	return nil
}

func askedArm(run *fleet.Run, v url.Values, q *belt.Question) error {
	typed := strings.TrimSpace(v.Get("arm"))
	if typed == "" || run == nil {
		return nil
	}
	d, unit := belt.ArmMeasure(run)
	f, err := quantity("place of the tensioner", typed, d, unit)
	if err != nil {
		return err
	}
	at := f.Base()
	q.Arm = &at
	return nil
}

// spanBreak stands between the ends of a span in the form.
const spanBreak = " > "

func askedTap(v url.Values, q *belt.Question) error {
	f, err := quantity("tone", v.Get("hz"), units.Frequency, "Hz")
	if err != nil || f == nil {
		return err
	}
	from, to, ok := strings.Cut(v.Get("tap"), spanBreak)
	if !ok {
		return &fleet.Error{Kind: fleet.Invalid, Where: "tapped span", Msg: "no span is chosen for the tone",
			Hint: "choose the span that was tapped"}
	}
	q.Taps = []belt.Tap{{From: from, To: to, Hz: f.Base()}}
	return nil
}

// askAgain fills the form in with what was asked, or with the sheet's figures.
func askAgain(b *belt.Run, v url.Values) runAsk {
	a := runAsk{Belt: v.Get("belt"), RPM: v.Get("rpm"), Leave: v.Get("leave"), Arm: v.Get("arm"),
		Tap: v.Get("tap"), Hz: v.Get("hz"),
		Idler: [3]string{v.Get("idler"), v.Get("idler-x"), v.Get("idler-y")}, Changed: b.Change != nil}
	for i := range b.Run.Pulleys {
		p := &b.Run.Pulleys[i]
		n := fmt.Sprint(i + 1)
		a.Pulleys = append(a.Pulleys,
			askRow{N: i + 1, Name: p.Name, X: or(v.Get("x"+n), plainMM(p.X)), Y: or(v.Get("y"+n), plainMM(p.Y)),
				D: or(v.Get("d"+n), plainMM(p.Diameter)), Driver: p.Driver, Left: v.Get("leave") == p.Name})
	}
	for _, s := range b.Spans() {
		value := s.From + spanBreak + s.To
		a.Spans = append(a.Spans, spanChoice{Value: value, Name: message.Of("%s to %s, %.0f mm", say.Capital(s.From),
			s.To, s.LengthMM), Chosen: v.Get("tap") == value})
	}
	return a
}

// plainMM writes a length for a field whose unit is mm.
func plainMM(q units.Quantity) string {
	return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.2f", q.Base()), "0"), ".")
}

func or(s, other string) string {
	if s != "" {
		return s
	}
	return other
}
