package ahead

import (
	"math"

	"undertray.example/undertray/condition"
	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
)

// pictureMonths is how far a picture of a chance looks ahead, and back.
const pictureMonths = 24

// monthDays is a month in days, on average.
const monthDays = 365.2425 / 12

// Picture is the chance of a part failing over the months ahead, by the vehicle's
// usual use, and the looks that were made of it.
type Picture struct {
	Without []draw.Band // by months from today: nobody looks at it
	// looked at every Gap months, and changed when something is found; empty where no look at rest tells
	With  []draw.Point
	Gap   float64
	Past  []draw.PastLook
	Older int // looks further back than the picture goes
	Next  *float64

	chance *Chance
}

// PictureOf works out the picture, or returns false where no chance is reckoned.
func PictureOf(r *advise.Report, j *judge.Judgement, o Outlook) (Picture, bool) {
	c := o.Chance
	if c == nil || c.part == nil {
		return Picture{}, false
	}
	p := Picture{chance: c}
	per := r.PerDay()
	for m := range pictureMonths + 1 {
		days := float64(m) * monthDays
		b := draw.Band{X: float64(m)}
		if f, err := c.part.FailWithin([]float64{days * per, days}); err == nil && m > 0 {
			wear := c.byWear(days*per, days)
			b.Lo, b.Mid, b.Hi = max(f.Low, wear), max(f.Mean, wear), max(f.High, f.Mean, wear)
			b.Lo = min(b.Lo, b.Mid)
		}
		p.Without = append(p.Without, b)
	}
	for _, s := range looksAt(r.Catalogue, j.Place, j.Place.Fitted, j.Kind) {
		at := -float64(r.On.Sub(s.Date)) / monthDays
		if at < -pictureMonths {
			p.Older++
			continue
		}
		p.Past = append(p.Past, draw.PastLook{At: at, Bad: verdictOf(s.grade) > fleet.Keep})
	}
	p.looking(r, j, o)
	return p, true
}

// looking works out the chance where the part is looked at from the next look on
// as often as until then, a month apart at the least.
func (p *Picture) looking(r *advise.Report, j *judge.Judgement, o Outlook) {
	_, senses := atRest(r, j)
	if rung(senses.all()) < 0 || o.Next == nil {
		return
	}
	next := max(0, float64(o.Next.On.Sub(r.On))/monthDays)
	p.Next, p.Gap = &next, max(1, math.Round(next))
	w := watching{c: o.Chance, part: o.Chance.part, per: r.PerDay(), sorts: senses.rungs(r.Catalogue.Looks()), still: 1}
	for m := range pictureMonths + 1 {
		at := float64(m)
		for w.from+p.Gap <= at {
			if !w.look(p.Gap) {
				p.With = nil
				return
			}
		}
		p.With = append(p.With, draw.Point{X: at, Y: min(w.failed(at), p.Without[m].Mid)})
	}
}

// watching follows a part that is looked at, with the parts that took its place.
type watching struct {
	c     *Chance
	part  *condition.Pool
	per   float64
	sorts []int
	from  float64   // month of the last look
	still float64   // chance that it is the same part, at work then
	gone  float64   // chance that it has failed by then
	fresh []changed // put in after a look found something
}

type changed struct{ month, chance float64 }

// failed is the chance of a failure by a month, before the next look.
func (w *watching) failed(month float64) float64 {
	days := (month - w.from) * monthDays
	sum := w.gone + w.still*fails(w.part, days*w.per, days)
	for _, f := range w.fresh {
		d := (month - f.month) * monthDays
		sum += f.chance * w.c.anew(d*w.per, d)
	}
	return min(sum, 1)
}

// look moves on to the next look: a part of which something is found is changed,
// and the other is known to have passed. It returns false where that cannot be
// reckoned.
func (w *watching) look(gap float64) bool {
	days := gap * monthDays
	f := fails(w.part, days*w.per, days)
	later, err := w.part.Later([]float64{days * w.per, days})
	if err != nil {
		return false
	}
	answers, err := later.Answers(w.sorts, []float64{0, 0})
	if err != nil || len(answers) == 0 {
		return false
	}
	good := answers[0].Chance
	seen, err := later.Seen(w.sorts, 0)
	if err != nil {
		return false
	}
	w.from += gap
	w.gone += w.still * f
	w.fresh = append(w.fresh, changed{w.from, w.still * (1 - f) * (1 - good)})
	w.still *= (1 - f) * good
	w.part = seen
	return true
}
