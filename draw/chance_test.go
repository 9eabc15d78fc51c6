package draw

import (
	"strings"
	"testing"
)

func TestChanceChart(t *testing.T) {
	next := 4.0
	spec := Chance{Head: Head{ID: "chance", Title: "Chance", Width: 360,
		Desc: "Without looking 10 % by then, with looking 4 %."},
		X:       Axis{Lo: -12, Hi: 24, Ticks: []Tick{{0, "today", ""}, {24, "later", ""}}},
		Without: []Band{{0, 0, 0, 0}, {12, .05, .02, .1}, {24, .1, .05, .2}},
		With:    []Point{{0, 0}, {24, .04}}, Looks: []PastLook{{At: -6}, {At: -1, Bad: true}}, Next: &next}
	fig, err := ChanceChart(spec)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"next look", "today", "d-ahead", "d-curve", "d-band", spec.Desc.String()} {
		if !strings.Contains(string(fig.SVG), want) {
			t.Errorf("the drawing lacks %q", want)
		}
	}
	for name, spoil := range map[string]func(*Chance){
		"no words":     func(c *Chance) { c.Desc = "" },
		"one point":    func(c *Chance) { c.Without = c.Without[:1] },
		"above 1":      func(c *Chance) { c.With = []Point{{0, 0}, {1, 1.5}} },
		"band above 1": func(c *Chance) { c.Without = []Band{{0, 0, 0, 0}, {1, .5, .2, 1.2}} },
	} {
		bad := spec
		spoil(&bad)
		if _, err := ChanceChart(bad); err == nil {
			t.Errorf("%s was drawn", name)
		}
	}
}
