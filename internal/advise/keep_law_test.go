package advise

import (
	"strings"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/units"
)

// A keep never quotes a rule as if it were broken: it says what was seen and
// how far the limit is. Held for every limit of the catalogue that a figure
// meets, on figures short of it, at it and beyond it.
func TestAKeepQuotesNoRule(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	day, kept := civil.MustParse("2026-11-25"), 0
	for _, k := range cat.Kinds() {
		for i := range k.Checks {
			c := &k.Checks[i]
			for _, l := range c.Limits {
				for _, bound := range []*units.Quantity{l.AtLeast, l.MoreThan, l.AtMost, l.LessThan} {
					if bound == nil {
						continue
					}
					for _, share := range []float64{0, 0.5, 0.9, 1, 1.1, 2} {
						q, err := units.New(bound.Value()*share, bound.Unit())
						if err != nil || !c.Takes(q) {
							continue
						}
						m := WhatItMeans(cat, k, fleet.PartSpec{}, &fleet.Found{Check: c.ID, Value: &q},
							fleet.Strictest, day)
						kept += checkKeeps(t, m, c, q)
					}
				}
			}
		}
	}
	if kept < 500 {
		t.Errorf("only %d keeps were seen", kept)
	}
}

func checkKeeps(t *testing.T, m *Meaning, c *catalogue.Check, q units.Quantity) int {
	n := 0
	for _, r := range m.Judgement.Reasons {
		if r.Finding == nil || r.Verdict != fleet.Keep || r.Limit != nil {
			continue
		}
		n++
		words := ReasonWords(r).String()
		for _, l := range c.Limits {
			if l.Says != "" && strings.Contains(strings.ToLower(words),
				strings.ToLower(strings.TrimRight(l.Says, "."))) {
				t.Errorf("%s %s at %s: %q quotes a rule", m.Kind.ID, c.ID, q, words)
			}
		}
		if !strings.Contains(words, q.String()) || r.Ahead != nil &&
			(!strings.Contains(words, r.Ahead.By.String()+" from the limit of "+r.Ahead.Bound.String())) {
			t.Errorf("%s %s at %s: %q does not say what was seen and how far the limit is", m.Kind.ID, c.ID, q, words)
		}
		if r.Ahead == nil && bounded(c, r.Authority) {
			t.Errorf("%s %s at %s: no limit is ahead", m.Kind.ID, c.ID, q)
		}
	}
	return n
}

// bounded reports whether an authority has a bound on both sides, so that any
// figure within them has one ahead, or on one side alone.
func bounded(c *catalogue.Check, who fleet.Authority) bool {
	for _, l := range c.Limits {
		if l.Authority == who && (l.AtLeast == nil && l.MoreThan == nil) == (l.AtMost == nil && l.LessThan == nil) {
			return false // a band: above it nothing is ahead
		}
	}
	return true
}
