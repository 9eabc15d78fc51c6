package ask

import (
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
)

// Every order in which a belt may turn the machines there are lies, held tight in every
// way, its tensioner in every place, with an idler before or behind it and without: a
// seeded hundredth of them unless UNDERTRAY_SOAK asks for all.
func TestEveryBeltLies(t *testing.T) {
	k, pick, tried, all := theKit(), rand.New(rand.NewPCG(16, 2)), 0, 0
	b := &builder{kit: k, vars: map[string]string{}}
	try := func(kind string, turns ...string) {
		if all++; os.Getenv("UNDERTRAY_SOAK") != "1" && pick.IntN(100) > 0 {
			return
		}
		tried++
		l := laid{Belt: Belt{Kind: kind, Turns: turns}, kind: k.beltKind(kind)}
		if err := b.place(&l); err != nil {
			t.Errorf("%v", err)
		}
	}
	for _, order := range orders(strings.Fields("alternator water-pump steering-pump compressor vacuum-pump fan")) {
		try("v", order...)
		try("stretch", order...)
		for at := range len(order) + 1 {
			try("sprung", slices.Insert(slices.Clone(order), at, "tensioner")...)
			try("sprung", slices.Insert(slices.Clone(order), at, "idler", "tensioner")...)
			try("sprung", append(slices.Insert(slices.Clone(order), at, "tensioner-ribs"), "idler")...)
			hand := slices.Insert(slices.Clone(order), at, "tensioner-ribs")
			try("by-hand", append([]string{"idler-ribs"}, hand...)...)
			try("by-hand", slices.Insert(slices.Clone(order), at, "tensioner")...)
		}
	}
	if tried < 400 {
		t.Errorf("only %d belts tried", tried)
	}
	t.Logf("%d of %d belts", tried, all)
}

// orders lists every selection of some words in every order.
func orders(of []string) [][]string {
	var out [][]string
	var walk func(so []string)
	walk = func(so []string) {
		if len(so) > 0 {
			out = append(out, slices.Clone(so))
		}
		for _, w := range of {
			if !slices.Contains(so, w) {
				walk(append(so, w))
			}
		}
	}
	walk(nil)
	return out
}
