// Package asktest chooses sets of answers for tests: few that hold every pair of
// answers that can be given together.
package asktest

import (
	"cmp"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"

	"undertray.example/undertray/internal/sheet/ask"
)

// pair is two answers given together.
type pair struct{ a, b string }

// walk is one set of answers with what it holds.
type walk struct {
	answers ask.Answers
	said    []string // "question=choice"
}

// Pairwise returns sets of answers that hold between them every pair of answers that
// can be given together, belts among them, and how many pairs these are. The same
// seed gives the same sets.
func Pairwise(seed uint64) (sets []ask.Answers, pairs int) {
	pick := rand.New(rand.NewPCG(seed, 7))
	open := map[pair]*walk{} // a set that holds it
	for range 3000 {
		w := wander(pick, nil)
		for _, p := range w.pairs() {
			open[p] = w
		}
	}
	pairs = len(open)
	for len(open) > 0 {
		var best *walk
		most := 0
		for range 25 {
			w := wander(pick, open)
			n := 0
			for _, p := range w.pairs() {
				if open[p] != nil {
					n++
				}
			}
			if n > most {
				best, most = w, n
			}
		}
		if best == nil {
			keys := slices.SortedFunc(maps.Keys(open), func(x, y pair) int {
				return cmp.Or(strings.Compare(x.a, y.a), strings.Compare(x.b, y.b))
			})
			best = open[keys[0]]
		}
		for _, p := range best.pairs() {
			delete(open, p)
		}
		sets = append(sets, best.answers)
	}
	return sets, pairs
}

func (w *walk) pairs() []pair {
	var out []pair
	for i, a := range w.said {
		for _, b := range w.said[:i] {
			out = append(out, pair{b, a})
		}
	}
	return out
}

// wander answers every question that is asked, in order; with open it prefers the
// answer that holds most open pairs.
func wander(pick *rand.Rand, open map[pair]*walk) *walk {
	w := &walk{answers: ask.Answers{Say: map[string]string{}}}
	for {
		r, err := ask.Resolve(w.answers)
		if err != nil {
			panic("asktest: " + err.Error())
		}
		i := slices.IndexFunc(r.Asked, func(q ask.Question) bool { return w.answers.Say[q.ID] == "" })
		if i < 0 {
			w.belts(pick, r, open)
			return w
		}
		q := r.Asked[i]
		var ids []string
		for _, c := range q.Choices {
			ids = append(ids, c.ID)
		}
		if q.ID == "timing" {
			ids = append(ids, ask.DontKnow)
		}
		w.answers.Say[q.ID] = w.prefer(pick, q.ID, ids, open)
		w.said = append(w.said, q.ID+"="+w.answers.Say[q.ID])
	}
}

func (w *walk) prefer(pick *rand.Rand, question string, ids []string, open map[pair]*walk) string {
	best, most := []string{}, -1
	for _, id := range ids {
		n := 0
		for _, before := range w.said {
			if open[pair{before, question + "=" + id}] != nil {
				n++
			}
		}
		if n > most {
			best, most = nil, n
		}
		if n == most {
			best = append(best, id)
		}
	}
	return best[pick.IntN(len(best))]
}

// Layouts are ways in which the same machines may be turned.
func Layouts() []string {
	return []string{"usual", "sprung", "by-hand", "v", "own-v", "stretch", "idlers", "round"}
}

// belts chooses how what is turned is turned.
func (w *walk) belts(pick *rand.Rand, r *ask.Resolved, open map[pair]*walk) {
	if len(r.Belts) == 0 {
		return
	}
	how := w.prefer(pick, "belts", Layouts(), open)
	w.said = append(w.said, "belts="+how)
	w.answers.Belts = Lay(how, r)
}

// Lay is how the machines of some answers are turned in a layout; nil: as usual.
func Lay(how string, r *ask.Resolved) []ask.Belt {
	var turned []string
	for _, b := range r.Belts {
		for _, m := range b.Turns {
			if !strings.HasPrefix(m, "idler") && !strings.HasPrefix(m, "tensioner") {
				turned = append(turned, m)
			}
		}
	}
	last := len(turned) - 1
	rest := []ask.Belt{}
	switch how {
	case "sprung":
		return []ask.Belt{{Kind: "sprung", Turns: append(slices.Clone(turned), "tensioner")}}
	case "by-hand":
		return []ask.Belt{{Kind: "by-hand", Turns: append([]string{"tensioner-ribs"}, turned...)}}
	case "v":
		return []ask.Belt{{Kind: "v", Turns: turned}}
	case "own-v":
		for i, m := range turned {
			if i < 3 {
				rest = append(rest, ask.Belt{Kind: "v", Turns: []string{m}})
			} else {
				rest[2].Turns = append(rest[2].Turns, m)
			}
		}
		return rest
	case "stretch":
		if last > 0 {
			rest = append(rest, ask.Belt{Kind: "sprung", Turns: append([]string{"tensioner"}, turned[:last]...)})
		}
		return append(rest, ask.Belt{Kind: "stretch", Turns: turned[last:]})
	case "idlers":
		turned = append([]string{"idler-ribs", "tensioner"}, turned...)
		return []ask.Belt{{Kind: "sprung", Turns: append(turned, "idler")}}
	case "round":
		slices.Reverse(turned)
		return []ask.Belt{{Kind: "by-hand", Turns: append(turned, "tensioner")}}
	}
	return nil
}
