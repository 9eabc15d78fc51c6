package aboard_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"undertray.example/undertray/internal/aboard"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
)

// anyFailing is some parts, some of which need one of two spares when they fail.
func anyFailing(t *rapid.T) []aboard.Failing {
	spares := []*aboard.Spare{nil, carried("tape", false), carried("a belt", true)}
	out := make([]aboard.Failing, rapid.IntRange(1, 6).Draw(t, "parts"))
	for i := range out {
		out[i] = aboard.Failing{Part: &judge.Judgement{}, P: rapid.Float64Range(0, 1).Draw(t, "chance"),
			Mend: aboard.Mend{Holds: rapid.Float64Range(0, 1).Draw(t, "holds"),
				Spare: rapid.SampledFrom(spares).Draw(t, "spare")}}
	}
	return out
}

func carried(thing string, fitsOne bool) *aboard.Spare {
	return &aboard.Spare{Entry: &fleet.Entry{Aboard: &fleet.Aboard{Thing: thing}}, FitsOne: fitsOne, Good: 1}
}

// The chance of getting through is that of all ways in which parts may fail, gone
// through one by one: where two fail that need the one spare the vehicle stands.
func TestThroughIsTheSumOfAllWays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := anyFailing(t)
		want := 0.0
		for set := range 1 << len(all) {
			way, used := 1.0, map[*aboard.Spare]int{}
			for i, f := range all {
				if set&(1<<i) == 0 {
					way *= 1 - f.P
					continue
				}
				way *= f.P * f.Mend.Holds
				if s := f.Mend.Spare; s != nil {
					used[s]++
				}
			}
			for _, n := range used {
				if n > 1 {
					way = 0
				}
			}
			want += way
		}
		sure := false
		for _, f := range all {
			sure = sure || f.P > 1-1e-9
		}
		if got := aboard.Through(all); math.Abs(got-want) > 1e-9 && !sure {
			t.Fatalf("%v through, all ways add up to %v", got, want)
		}
	})
}

// A spare that fits one part is counted for one, to which it is worth most; the others
// stand as without it, and nobody gains by it but that one.
func TestASpareThatFitsOnePartServesOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := anyFailing(t)
		before := append([]aboard.Failing(nil), all...)
		aboard.Serve(all)
		served, most := -1, 0.0
		for i, f := range all {
			was := before[i]
			if s := was.Mend.Spare; s == nil || !s.FitsOne || was.Mend.Holds == 0 {
				if f.Mend.Holds != was.Mend.Holds || f.Mend.Spare != was.Mend.Spare {
					t.Fatalf("part %d: %+v became %+v", i, was, f)
				}
				continue
			}
			if worth := was.P * was.Mend.Holds; f.Mend.Holds > 0 {
				if served >= 0 {
					t.Fatalf("parts %d and %d are served", served, i)
				}
				served = i
				most = max(most, worth)
			} else if worth > most {
				most = worth
			}
		}
		if served >= 0 && before[served].P*before[served].Mend.Holds < most {
			t.Fatalf("part %d is served, another is worth %v", served, most)
		}
		for i, f := range all {
			if f.Mend.Spare != before[i].Mend.Spare && f.Mend.Spare.For != all[served].Part {
				t.Fatalf("part %d: its spare is counted for another than %d", i, served)
			}
		}
		if after, was := aboard.Through(all), aboard.Through(before); after > was+1e-12 {
			t.Fatalf("%v through by serving one, %v before", after, was)
		}
	})
}
