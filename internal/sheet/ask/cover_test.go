package ask_test

import (
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"undertray/internal/sheet/ask"
	"undertray/internal/sheet/ask/asktest"
)

// Every engine that can be answered, with what it turns turned in each way, makes a sheet without mistakes or warnings.
// A sheet is read where a part or an opening on it meets what none met before, by itself or in what it needs: what is
// checked of a sheet hangs on that. With UNDERTRAY_SOAK these are all combinations of answers about the engine and what
// it turns in eight ways, and all of those with answers about its oil besides; else forty engines chosen by seed.
func TestEveryEngineWithEveryBelt(t *testing.T) {
	cat, m, n, found := known(t), ask.NewMeetings(), 0, 0
	try := func(r *ask.Resolved) {
		if n++; !m.New(r) {
			return
		}
		found++
		a := ask.Answers{Say: map[string]string{}, Belts: r.Belts}
		for _, q := range r.Asked {
			a.Say[q.ID] = r.Answer[q.ID]
		}
		if v := faultless(t, cat, a); v != nil {
			sound(t, v)
		}
	}
	turned := func(r *ask.Resolved) {
		usual := r.Turned(nil)
		try(usual)
		if len(usual.Belts) > 0 {
			for _, how := range asktest.Layouts()[1:] {
				try(r.Turned(asktest.Lay(how, usual)))
			}
		}
	}
	if os.Getenv("UNDERTRAY_SOAK") == "1" {
		ask.EachEngine(ask.Engine, turned)
		ask.EachEngine(slices.Concat(ask.Engine, ask.Oil), func(r *ask.Resolved) { try(r.Turned(nil)) })
	} else {
		pick := rand.New(rand.NewPCG(16, 4))
		for range 40 {
			ask.AnEngine(pick, turned)
		}
	}
	if n < 100 || found < 20 {
		t.Errorf("only %d of %d sheets read", found, n)
	}
	t.Logf("%d of %d sheets read, on which %d items meet something new", found, n, len(m.Seen))
}
