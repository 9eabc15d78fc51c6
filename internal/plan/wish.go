package plan

import (
	"context"
	"slices"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/howfar"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan/why"
	"undertray.example/undertray/internal/say"
)

// tried is the entry under which wishes go that are not recorded.
const tried = ""

// wishes returns what the owner has settled and is still ahead, and what is
// tried besides. Of two wishes of when to change a part the later counts.
func (m *maker) gatherWishes() error {
	first := fleet.MonthOf(m.months[0].from)
	for _, e := range m.r.State.Wishes {
		if w := e.Wish; !w.Month.Before(first) && !m.changedSince(e) {
			m.addWish(why.Wish{Entry: e.ID, Position: m.r.Vehicle.Position(w.Position), Month: w.Month,
				Not: w.Not, Note: w.Note})
		}
	}
	for _, w := range m.opt.Wishes {
		pw := why.Wish{Entry: tried, Month: w.Month, Not: w.Not, Note: w.Note}
		if w.Position != "" {
			j, err := m.r.Find(w.Position)
			if err != nil {
				return err
			}
			if pw.Position = j.Position; j.Position.LookOnly {
				return advise.Fault("move", message.Of("the %s is work for a licensed workshop",
					say.LowerFirst(j.Position.Name)), "choose a part that is changed here")
			}
		}
		if n := m.period(w.Month.Last()); !w.Month.IsValid() || w.Month.Before(first) || n > len(m.months) {
			return advise.Fault("to", message.Of("the plan has no month %s", w.Month),
				message.Of("choose one from %s to %s", first, fleet.MonthOf(m.months[len(m.months)-1].to)))
		}
		m.addWish(pw)
	}
	m.wishes = slices.DeleteFunc(m.wishes, func(w why.Wish) bool { return m.period(w.Month.Last()) > len(m.months) })
	return nil
}

// addWish adds a wish in place of what it contradicts.
func (m *maker) addWish(w why.Wish) {
	m.wishes = slices.DeleteFunc(m.wishes, func(o why.Wish) bool {
		return o.Position == w.Position && (o.Month == w.Month || w.Position != nil && !o.Not && !w.Not)
	})
	w.Currency = m.money.currency
	m.wishes = append(m.wishes, w)
}

// changedSince reports whether the part that a wish is about has been changed
// since it was settled.
func (m *maker) changedSince(wish *fleet.Entry) bool {
	place := m.r.State.Place(wish.Wish.Position)
	return place != nil && place.ChangedAfter(wish)
}

// lifted reports whether a wish is left out for the moment, to find its price.
func (m *maker) lifted(i int) bool { return m.opt.lift == liftAll || m.opt.lift == i+1 }

const liftAll = -1

// wishVisits closes and holds months as the owner wishes.
func (m *maker) wishVisits() {
	m.held = make([]bool, len(m.months))
	for i, w := range m.wishes {
		n := m.period(w.Month.Last()) - 1
		if w.Position != nil || m.lifted(i) {
			continue
		}
		if !w.Not {
			m.held[n] = true
			m.openFor(w, n)
			continue
		}
		if m.months[n].from.Month != w.Month.Month && n == 0 || m.months[n].to.Month != w.Month.Month {
			continue // half of what is planned together
		}
		m.closed[n] = true
	}
}

// openFor opens a month that is left out, and says so.
func (m *maker) openFor(w why.Wish, n int) {
	if m.closed[n] {
		m.closed[n] = false
		m.gives = append(m.gives, why.Give{Code: why.GiveHeld, Month: w.Month})
	}
}

// wishTasks fixes tasks to the months the owner wishes, and makes those that
// nothing else asks for.
func (m *maker) wishTasks() {
	for i := range m.wishes {
		w := &m.wishes[i]
		if w.Position == nil {
			continue
		}
		id, n := changeID(w.Position.ID), m.period(w.Month.Last())
		it := m.item(id)
		if it == nil {
			j := m.r.Judgement(w.Position.ID)
			if j == nil || w.Not {
				continue
			}
			it = m.bare(j)
			if m.reason(it); it.by > len(m.months) {
				it.age = max(0, it.life-it.by)
			}
			m.items = append(m.items, it)
		}
		switch {
		case w.Not:
			it.not = append(it.not, n)
		case it.j.Verdict == fleet.Park && n > 1:
			w.Parked = true
			m.gives = append(m.gives, w.NoWaiting())
			continue
		default:
			it.wish = n
			if it.own {
				w.Late = max(0, n-it.by)
			}
		}
		if m.lifted(i) {
			it.wish, it.not = 0, slices.DeleteFunc(it.not, func(x int) bool { return x == n })
		} else if !w.Not {
			m.openFor(*w, n-1)
		}
		it.wished = true
	}
}

// freeWished takes tasks with a month of their own out of what others bring
// along.
func (m *maker) freeWished() {
	for _, it := range m.items {
		if it.round || it.j == nil || it.j.Kind.OilChange == catalogue.SetsOilChange {
			continue
		}
		it.with = slices.DeleteFunc(it.with, func(id string) bool {
			other := m.item(id)
			if other == nil || other.round || other.j.Kind.OilChange == catalogue.SetsOilChange {
				return false
			}
			return other.wished || it.wish > 0 && other.own && other.by < it.wish // it would be changed twice
		})
	}
}

// priceWishes works out what each wish costs: what the plan without it would.
func (p *Plan) priceWishes(ctx context.Context) error {
	m := p.m
	if len(m.wishes) == 0 || m.opt.lift != 0 || m.opt.unpriced {
		return nil
	}
	without := func(lift int) (float64, error) {
		if lift == liftAll && m.opt.Share.without(m) {
			return max(0, p.Score-m.opt.Share.plan.Score), nil
		}
		opt := m.opt
		opt.lift = lift
		base, err := Make(ctx, m.r, opt)
		if err != nil {
			return 0, err
		}
		return max(0, p.Score-base.Score), nil
	}
	var err error
	if p.WishCosts, err = without(liftAll); err != nil {
		return err
	}
	p.Wishes = slices.Clone(m.wishes)
	if len(p.Wishes) == 1 {
		p.Wishes[0].Costs = p.WishCosts
		return nil
	}
	done := howfar.Begin(ctx, "settled months priced", len(p.Wishes))
	for i := range p.Wishes {
		if p.Wishes[i].Costs, err = without(i + 1); err != nil {
			return err
		}
		done()
	}
	return nil
}

// Trying reports whether the plan follows a wish that is not recorded.
func (p *Plan) Trying() *why.Wish {
	for i := range p.Wishes {
		if p.Wishes[i].Entry == tried {
			return &p.Wishes[i]
		}
	}
	return nil
}
