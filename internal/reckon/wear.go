package reckon

import (
	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/fleet"
)

// bandLevel is how many of ten bands are meant to hold.
const bandLevel = 0.8

// Bands is how many forecasts with a band of 8 in 10 held.
type Bands struct {
	Held, Below, Above int // in the band, less or sooner, more or later
	Open               int // not to be told yet
	Low, High          float64
	Told               Told
}

func (b *Bands) add(o Bands) {
	b.Held, b.Below, b.Above, b.Open = b.Held+o.Held, b.Below+o.Below, b.Above+o.Above, b.Open+o.Open
}

// Of is how many forecasts can be told.
func (b *Bands) Of() int { return b.Held + b.Below + b.Above }

// tell compares the share of bands that held with what is meant. Where half of them
// holding would most likely not be told from that, there are too few.
func (b *Bands) tell() {
	n := b.Of()
	b.Low, b.High = Share(b.Held, n, allLevel)
	same := func(p float64) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = p
		}
		return Counts(out)
	}
	low, high := middle(same(bandLevel), allLevel)
	switch {
	case b.Held < low:
		b.Told = Fewer
	case b.Held > high:
		b.Told = More
	case within(same(bandLevel/2), low, high) > 0.5:
		b.Told = TooFew
	default:
		b.Told = AsSaid
	}
}

// meeting is the day on which a figure is to meet a limit, as first forecast.
type meeting struct {
	position string
	on       civil.Date
	said     *ahead.Wearout
}

// governing leaves, of the forecasts of each check, the one of the authority that the
// owner follows, or the first.
func governing(all []ahead.Wearout) []*ahead.Wearout {
	var out []*ahead.Wearout
	for i := range all {
		w := &all[i]
		n := len(out)
		switch {
		case n == 0 || out[n-1].Check != w.Check:
			out = append(out, w)
		case w.Governs && !out[n-1].Governs:
			out[n-1] = w
		}
	}
	return out
}

// foresee keeps when figures are to meet their limits: the first forecast of each part
// in the period that has a band.
func (y *past) foresee(s *stretch) {
	position, part := s.judged.Position.ID, s.judged.Place.Fitted
	for _, w := range governing(s.wear) {
		key := position + " " + part.Entry + " " + w.Check.ID
		if _, had := y.met[key]; had || w.Prior || w.Crossed || w.When.Earliest.IsZero() || w.When.Latest.IsZero() {
			continue
		}
		y.met[key] = meeting{position, s.on, w}
	}
}

// measured compares a figure found since with the band that was said for it.
func (y *past) measured(s *stretch, part *fleet.Part, seen *fleet.Place) {
	for _, w := range governing(s.wear) {
		for _, f := range seen.Findings {
			if w.Prior || f.Check != w.Check.ID || f.Value == nil || !f.Date.After(s.on) || !part.Had(f) {
				continue
			}
			if b, ok := w.FigureAt(f); ok {
				switch v := b.Found; {
				case v < b.Low:
					y.figures.Below++
				case v > b.High:
					y.figures.Above++
				default:
					y.figures.Held++
				}
			}
			break
		}
	}
}

// close says whether limits were met when they were to be, what became of parts that
// came off, and what stood past its deadline at the end.
func (y *past) close() {
	for _, m := range y.met {
		y.dates.add(m.told(y.truth.Place(m.position), y.To))
	}
	y.cameOff()
	last := y.asOf(y.To)
	for i := range last.Judgements {
		j := &last.Judgements[i]
		for _, t := range j.Todos {
			if t.Left == nil && !t.Until.IsZero() && t.Until.Passed(last.On, last.Total, last.HasTotal) {
				y.overdue = append(y.overdue, partOf(y.Vehicle, j.Position))
				break
			}
		}
	}
}

// told compares the day with the figures found until an end: the limit was met after
// the last figure within it and by the first one beyond.
func (m meeting) told(place *fleet.Place, end civil.Date) Bands {
	part := partAt(place, m.on)
	if part == nil {
		return Bands{}
	}
	within, beyond, when := m.on, civil.Date{}, m.said.When
	for _, f := range place.Findings {
		if f.Check != m.said.Check.ID || f.Value == nil || f.Date.Before(m.on) || f.Date.After(end) || !part.Had(f) {
			continue
		}
		if m.said.MetBy(f) {
			beyond = f.Date
			break
		}
		within = f.Date
	}
	switch {
	case within.After(when.Latest):
		return Bands{Above: 1}
	case beyond.IsZero():
		return Bands{Open: 1}
	case beyond.Before(when.Earliest):
		return Bands{Below: 1}
	case !within.Before(when.Earliest) && !beyond.After(when.Latest):
		return Bands{Held: 1}
	}
	return Bands{Open: 1}
}
