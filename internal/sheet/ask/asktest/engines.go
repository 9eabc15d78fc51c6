package asktest

import (
	"math/rand/v2"
	"slices"

	"undertray.example/undertray/internal/sheet/ask"
)

// Engines tells of every engine that can be answered, with what it turns turned in each layout, and of every one with
// its oil besides. What is told of is good until the next one.
func Engines(tell func(r *ask.Resolved)) {
	ask.EachEngine(ask.Engine, func(r *ask.Resolved) { turned(r, tell) })
	ask.EachEngine(slices.Concat(ask.Engine, ask.Oil), func(r *ask.Resolved) { tell(r.Turned(nil)) })
}

// SomeEngines tells of n of them, each turned in every layout.
func SomeEngines(pick *rand.Rand, n int, tell func(r *ask.Resolved)) {
	for range n {
		ask.AnEngine(pick, func(r *ask.Resolved) { turned(r, tell) })
	}
}

func turned(r *ask.Resolved, tell func(r *ask.Resolved)) {
	usual := r.Turned(nil)
	tell(usual)
	if len(usual.Belts) > 0 {
		for _, how := range Layouts()[1:] {
			tell(r.Turned(Lay(how, usual)))
		}
	}
}
