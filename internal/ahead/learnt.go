package ahead

import (
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"slices"

	"undertray.example/undertray/condition"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
)

// learnt is what the yard's parts tell of a kind. They tell by how they ended,
// how long they lasted, what they were in the hand and what had been seen of them by then, not by what
// is seen of them while they are in: a finding on one part says nothing of another.
type learnt struct {
	post  *condition.Posterior
	fresh *condition.Part // a new one of the kind
	looks *catalogue.Looks
	told  []condition.History // by each of those it is learnt from
	parts []*fleet.Part       // those
	off   []*fleet.Part       // of them those that came off

	counted int // how many they would be, were they enough
	err     error
}

// known is the same for one part.
type known struct {
	post         *condition.Posterior
	fresh        *condition.Part // a new one of the kind
	own          bool            // the part is among those learnt from
	off, running int
	counted      int // parts that would be learnt from were they enough
}

// parts follows a part by each account of what was seen; h, without that, is what of its
// history is known among the yard's parts.
func (k known) parts(h condition.History, accounts [][]condition.Look) ([]*condition.Part, error) {
	if k.own {
		return k.post.SeveralOf(h, accounts, h)
	}
	return k.post.Several(h, accounts)
}

// oneMore is how many parts that others tell of make one more that is still at work
// tell next to nothing: less than a tenth of a point in a chance.
const oneMore = 40

// posterior returns what is known of a kind that wears so, for one part of it. Where
// the vehicle adds to what the yard tells nothing, the part alone, or few beside many that are
// all still at work, that is told for all, and the part counts by its own history.
func posterior(x *advise.Experience, c course, looks *catalogue.Looks, own *fleet.Part) (known, error) {
	others, added := x.Besides(c.kind, c.counts)
	if others != nil && !slices.ContainsFunc(added, func(l advise.Lived) bool { return !l.Part.To.Date.IsZero() }) {
		k, err := posterior(others, c, looks, own)
		more := 0 // that count
		for i := range added {
			if _, counts := historyOf(&added[i], c); counts && sameMaterial(c.material, added[i].Part.Material()) {
				more++
			}
		}
		if err != nil || more == 0 || k.counted+more < leastTold {
			return k, err
		}
		if k.off+k.running >= max(leastTold, oneMore*(len(added)-1)) {
			k.running += more
			return k, nil
		}
	}
	l := x.OnceAfter(c, func(before any) any {
		was, _ := before.(*learnt)
		return learn(x, c, looks, was)
	}).(*learnt)
	k := known{post: l.post, fresh: l.fresh, own: slices.Contains(l.parts, own), off: len(l.off),
		running: len(l.parts) - len(l.off),
		counted: l.counted}
	if slices.Contains(l.off, own) {
		k.off--
	}
	return k, l.err
}

// leastTold is how many parts tell something together: one alone tells nothing that its
// own history does not.
const leastTold = 2

// learn learns a kind; was is what was learnt of it before, or nil: where the parts tell
// what they told then, that is so still.
func learn(x *advise.Experience, c course, looks *catalogue.Looks, was *learnt) *learnt {
	l := &learnt{looks: looks}
	for _, p := range x.Of(c.kind, c.counts) {
		if !sameMaterial(c.material, p.Part.Material()) {
			continue
		}
		h, ok := historyOf(&p, c)
		if !ok {
			continue
		}
		l.told, l.parts = append(l.told, h), append(l.parts, p.Part)
		if !p.Part.To.Date.IsZero() {
			l.off = append(l.off, p.Part)
		}
	}
	if l.counted = len(l.parts); l.counted < leastTold {
		l.told, l.parts = nil, nil
	}
	if was != nil && was.looks == looks && reflect.DeepEqual(was.told, l.told) {
		l.post, l.fresh, l.err = was.post, was.fresh, was.err
		return l
	}
	prior, err := c.prior(looks)
	if err == nil {
		l.post, err = learnFrom(l.told, prior, x.Memory())
	}
	if err == nil {
		l.fresh, err = l.post.Counted(condition.History{Ages: c.begun(nil)})
	}
	l.err = err
	return l
}

// learnFrom learns, from what is remembered where the same was learnt before.
func learnFrom(histories []condition.History, prior condition.Prior,
	memory advise.Memory) (*condition.Posterior, error) {
	opt := condition.Options{Nodes: kindNodes}
	if memory == nil || len(histories) == 0 { // which takes no search
		return prior.Learn(histories, opt)
	}
	from := fmt.Sprint("kind ", kindNodes, prior, histories)
	peak := new(condition.Peak)
	if json.Unmarshal(memory.Recall(from), peak) == nil {
		opt.Peak = peak
		if post, err := prior.Learn(histories, opt); err == nil {
			return post, nil
		}
		opt.Peak = nil // which is not its
	}
	post, err := prior.Learn(histories, opt)
	if err != nil {
		return nil, err
	}
	if what, err := json.Marshal(post.Peak()); err == nil {
		memory.Remember(from, what)
	}
	return post, nil
}

// historyOf is a part's life and end, in what a course counts; false where that is
// not known.
func historyOf(l *advise.Lived, c course) (condition.History, bool) {
	h := condition.History{At: make([]float64, 2)}
	end := endOf(l)
	entry := make([]float64, 2)
	for e := range h.At {
		if c.life[e] == 0 {
			continue
		}
		in := exposure(e)
		age, ok := in.span(l.Part.From, end)
		if !ok || age <= 0 {
			return h, false
		}
		entry[e] = min(entryAt(l, in), age)
		h.At[e] = age - entry[e]
	}
	if entry[0] > 0 || entry[1] > 0 {
		h.Ages = []condition.Age{{At: entry, Weight: 1}}
	}
	h.Ages = c.begun(h.Ages)
	if h.At[0] <= 0 && h.At[1] <= 0 {
		return h, false
	}
	if !l.Part.To.Date.IsZero() {
		ended(l, &h, entry)
	}
	return h, true
}

// learntLooks is how many days of looks at a part that came off count, the last ones:
// those at a young part tell next to nothing.
const learntLooks = 12

// ended says how a part that came off ended, with what had been seen of it by then;
// entry is how old it was when its watching began.
func ended(l *advise.Lived, h *condition.History, entry []float64) {
	var all []seen
	if kind := l.Of.Kind(l.Kind); kind != nil {
		all = looksAt(l.Of, l.Place, l.Part, kind)
	}
	all = all[max(0, len(all)-learntLooks):]
	at := lookedAt(l, all, entry, h.At)
	h.Looks = inWay(nil, all, at, nil)
	bad := len(h.Looks) > 0 && h.Looks[len(h.Looks)-1].Grade >= gradeFor(fleet.PutRight)
	hand, told := inHand(l, h.At)
	switch h.Outcome = condition.Removed; {
	case l.Part.Removed == fleet.RemovedFailed:
		h.Outcome, told = condition.Failed, false
	case told || bad: // what it really was, whatever it was taken for; or what it was taken for
	case l.Part.Removed == fleet.RemovedWorn:
		h.Outcome, h.By, h.To = condition.RemovedBad, rung(1), gradeFor(fleet.PutRight)
	}
	ways := l.Of.Looks().Blind
	for i := range ways {
		b := condition.Blinded{Share: ways[i].Share, Looks: inWay(nil, all, at, ways[i].Sorts)}
		if same := sameWay(h, b.Looks); same != nil {
			same.Share += b.Share
		} else if !slices.EqualFunc(h.Looks, b.Looks, sameLook) {
			h.Blind = append(h.Blind, b)
		}
	}
	if told {
		h.Looks = append(h.Looks, hand)
		for i := range h.Blind {
			h.Blind[i].Looks = append(h.Blind[i].Looks, hand)
		}
	}
}

// sameWay is the way of being blind in which the looks say the same, or nil.
func sameWay(h *condition.History, looks []condition.Look) *condition.Blinded {
	for i := range h.Blind {
		if slices.EqualFunc(h.Blind[i].Looks, looks, sameLook) {
			return &h.Blind[i]
		}
	}
	return nil
}

// lookedAt is the exposures at each look since the watching began, up to the end; nil
// where one was before that, or that is not known.
func lookedAt(l *advise.Lived, all []seen, entry, end []float64) [][]float64 {
	out := make([][]float64, len(all))
	last := make([]float64, len(end))
	for i, s := range all {
		if s.Date.Before(l.State.Began) && l.Part.Known != fleet.Recorded ||
			s.Date == l.Part.To.Date && l.Part.Removed == fleet.RemovedFailed { // that is the failure
			continue
		}
		at := make([]float64, len(end))
		for e := range at {
			if end[e] > 0 {
				age, ok := exposure(e).span(l.Part.From, placed(l.State, s.Moment))
				if !ok {
					return out
				}
				at[e] = min(max(last[e], age-entry[e]), end[e])
			}
		}
		last, out[i] = at, at
	}
	return out
}

// placed is a moment with its total distance, read or between two readings.
func placed(s *fleet.State, m fleet.Moment) fleet.Moment {
	if !m.HasTotal {
		m.Total, m.HasTotal = s.TotalOn(m.Date)
	}
	return m
}

// inHand is the look at a part that came off without failing, once it was in the
// hand: the worst that was found, as strong as its senses together. False where
// nobody told.
func inHand(l *advise.Lived, at []float64) (condition.Look, bool) {
	grade, strength, told := HandGrade(l.Of, l.Place, l.Part)
	return condition.Look{At: at, Sort: max(0, rung(strength)), Grade: grade}, told &&
		(grade > 0 || rung(strength) >= 0)
}

// HandGrade is what a part that came off was found to be in the hand: 0 nothing
// wrong, 1 watch, 2 put right, 3 park; and how strong a look that was. False where
// nobody told.
func HandGrade(cat *catalogue.Catalogue, place *fleet.Place, part *fleet.Part) (grade int,
	strength float64, told bool) {
	found := place.InHand(part)
	kind := cat.Kind(place.Position.Kind)
	if len(found) == 0 || kind == nil {
		return 0, 0, false
	}
	looks, heirs := cat.Looks(), cat.Heirs(kind.ID)
	senses := map[string]float64{}
	for _, f := range found {
		c := kind.Check(f.Check)
		if c == nil || !looks.Tells(f.Answer) {
			continue
		}
		if s, ok := looks.HandStrength(heirs, c.ID); ok {
			senses[c.Sense] = max(senses[c.Sense], s)
			grade, told = max(grade, gradeFor(judge.Worst(c, place, part, f))), true
		}
	}
	for _, sense := range slices.Sorted(maps.Keys(senses)) {
		strength += senses[sense]
	}
	return grade, strength, told
}
