package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"undertray/civil"
	"undertray/internal/advise"
	"undertray/internal/fleet"
	"undertray/internal/judge"
	"undertray/internal/say"
	"undertray/internal/visit"
)

// Also answers "I shall be in there anyway: what else?".
type Also struct {
	For    []*judge.Judgement // what one goes in for
	On     civil.Date
	Open   []*fleet.Opening
	Offers []Offer // the cheapest first
	// Looks are positions that are open to look at then and due for it.
	Looks []*judge.Judgement

	m *maker
}

// Offer is one thing to change along, and what it takes.
type Offer struct {
	Judgement *judge.Judgement
	Minutes   float64 // of work besides
	Money     float64 // to buy
	Saves     float64 // minutes of opening that need not be done again for it
	Lost      float64 // money's worth of life thrown away
	Early     int     // months before it is due, 0: due or past
	Usual     bool    // the trade changes it along with what one goes in for
	Net       float64 // cost of doing it then over doing it when it is due
	Why       string

	work  float64  // minutes without openings
	opens []string // openings besides those made anyway
}

// Offers beyond this many are not worth reading, and neither is what is due
// further ahead.
const (
	offersMost   = 10
	offersMonths = 48
)

// WhileOpen ranks what to add to the change of some positions on a day, least extra
// cost first: the work besides and the life thrown away, less the openings that
// need not be made again. It returns a *fleet.Error where a position is unknown
// or the day is past.
func WhileOpen(r *advise.Report, positions []string, on civil.Date, opt Options) (*Also, error) {
	if opt.Stance != "" && opt.Stance != r.Vehicle.Stance {
		return WhileOpen(r.UnderStance(opt.Stance), positions, on, opt)
	}
	if on.Before(r.On) {
		return nil, advise.Fault("--on-visit", fmt.Sprintf("%s is past", on.Long()), "name a day from "+r.On.String()+" on")
	}
	m, err := newMaker(r, opt)
	if err != nil {
		return nil, err
	}
	out := &Also{On: on, m: m}
	var open []string
	usual := map[*fleet.Position]bool{}
	for _, id := range positions {
		j, err := r.Find(id)
		if err != nil {
			return nil, err
		}
		out.For = append(out.For, j)
		open = append(open, slices.Concat(j.Position.Seen, j.Position.Changed)...)
		for _, c := range r.Companions(j) {
			for _, p := range c.Positions {
				usual[p] = usual[p] || !c.Inspect
			}
		}
	}
	open = r.Vehicle.Closure(open)
	for _, id := range open {
		out.Open = append(out.Open, r.Vehicle.Opening(id))
	}
	for i := range r.Judgements {
		j := &r.Judgements[i]
		if slices.Contains(out.For, j) || j.Position.LookOnly {
			continue
		}
		if o := m.offer(j, open, on, usual[j.Position]); o != nil {
			out.Offers = append(out.Offers, *o)
		}
	}
	slices.SortStableFunc(out.Offers, func(a, b Offer) int { return cmp.Compare(a.Net, b.Net) })
	out.Offers = out.Offers[:min(len(out.Offers), offersMost)]
	for _, j := range r.Walk() {
		if c := r.Vehicle.Closure(j.Position.Seen); len(c) > 0 && visit.Subset(c, open) && (j.Looked.Never || j.Looked.Next.Passed(on, 0, false)) {
			out.Looks = append(out.Looks, j)
		}
	}
	return out, nil
}

// offer weighs changing a part along, or returns nil where it shares nothing
// or is far from due.
func (m *maker) offer(j *judge.Judgement, open []string, on civil.Date, usual bool) *Offer {
	it := m.bare(j)
	own := m.reason(it)
	o := &Offer{Judgement: j, Minutes: it.minutes, Money: it.price, Usual: usual, work: it.minutes}
	for _, id := range it.openings {
		minutes := openingMinutes(m.r.Vehicle.Opening(id))
		if slices.Contains(open, id) {
			o.Saves += minutes
		} else {
			o.Minutes += minutes
			o.opens = append(o.opens, id)
		}
	}
	if it.due.After(on) {
		o.Early = 12*(it.due.Year-on.Year) + int(it.due.Month) - int(on.Month)
	}
	near := own && !it.due.IsZero() && o.Early <= offersMonths
	if o.Saves == 0 || !near && !usual {
		return nil
	}
	if it.life > 0 {
		o.Lost = it.price * min(1, float64(o.Early)/float64(it.life))
	}
	o.Net = (o.Minutes-it.minutes)/60*m.money.hour + o.Lost - o.Saves/60*m.money.hour
	if usual || j.Verdict >= fleet.PutRight { // or one comes back for it
		o.Net -= m.money.visit()
	}
	if o.Net > m.money.visit() {
		return nil
	}
	o.Why = o.words(it, m)
	return o
}

func (o *Offer) words(it *item, m *maker) string {
	parts := []string{fmt.Sprintf("%.0f min more", o.Minutes)}
	if o.Money > 0 && m.money.currency != "" {
		parts[0] += " and " + m.sum(o.Money)
	}
	switch {
	case it.why != "":
		parts = append(parts, it.why)
	case o.Usual:
		parts = append(parts, "usually changed along with it")
	}
	if o.Usual && it.why != "" {
		parts = append(parts, "usually changed along with it")
	}
	if o.Early > 0 && o.Lost >= 0.5 {
		parts = append(parts, fmt.Sprintf("%s of life thrown away, worth %s", say.Months(o.Early), m.sum(o.Lost)))
	}
	parts = append(parts, fmt.Sprintf("saves %.0f min of opening later", o.Saves))
	return strings.Join(parts, "; ")
}

// Headline answers in one sentence what is worth adding.
func (a *Also) Headline() string {
	worth := a.Worth()
	what := advise.Names(a.For)
	if len(worth) == 0 {
		return fmt.Sprintf("With the %s open on %s, nothing else is worth changing at the same time.", what, a.On.Long())
	}
	var parts []string
	for _, o := range worth {
		parts = append(parts, say.LowerFirst(o.Judgement.Position.Name))
	}
	const most = 5
	if n := len(parts); n > most {
		parts = append(parts[:most-1], say.Count(n-most+1, "other", "others"))
	}
	return fmt.Sprintf("While you are in there for the %s on %s, also change: %s.", what, a.On.Long(), say.Listing(parts))
}

// Together says what all that is worth adding takes, or "": what several of
// them open counts once.
func (a *Also) Together() string {
	worth := a.Worth()
	if len(worth) < 2 {
		return ""
	}
	var extra []string
	minutes, money := 0.0, 0.0
	for _, o := range worth {
		minutes += o.work
		money += o.Money
		for _, id := range o.opens {
			if !slices.Contains(extra, id) {
				extra = append(extra, id)
				minutes += openingMinutes(a.m.r.Vehicle.Opening(id))
			}
		}
	}
	s := fmt.Sprintf("All %d take about %s more", len(worth), say.Hours(minutes/60))
	if a.m.money.currency != "" && money > 0 {
		s += " and " + a.m.sum(money)
	}
	return s + "; each by itself costs less now than when it is due, the least dear first."
}

// Worth returns the offers that cost less then than when they are due.
func (a *Also) Worth() []Offer {
	var out []Offer
	for _, o := range a.Offers {
		if o.Net <= 0 {
			out = append(out, o)
		}
	}
	return out
}
