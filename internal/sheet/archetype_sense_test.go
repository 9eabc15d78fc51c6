package sheet

import (
	"slices"
	"strings"
	"testing"

	"undertray/internal/catalogue"
	"undertray/internal/fleet"
)

func eachArchetype(t *testing.T, do func(t *testing.T, v *fleet.Vehicle)) {
	t.Helper()
	for _, a := range Archetypes() {
		t.Run(a.ID, func(t *testing.T) {
			v, err := Parse(a.ID, a.Source, nil)
			if err != nil {
				t.Fatal(err)
			}
			do(t, v)
		})
	}
}

// A part without a material is held to the figures of every material, so
// wherever the catalogue tells materials apart the sheet names one.
func TestArchetypeMaterials(t *testing.T) {
	known := knowledge(t)
	eachArchetype(t, func(t *testing.T, v *fleet.Vehicle) {
		for _, p := range v.Positions {
			if k := known.Kind(p.Kind); differs(k) && !slices.Contains(k.Materials, p.Part.Material) {
				t.Errorf("position %s has the material %q, want one of %q", p.ID, p.Part.Material, k.Materials)
			}
		}
	})
}

// differs reports whether some figure of the kind is for some materials only.
func differs(k *catalogue.Kind) bool {
	for _, c := range k.Checks {
		if slices.ContainsFunc(c.Limits, func(l fleet.Limit) bool { return len(l.Materials) > 0 }) {
			return true
		}
	}
	return slices.ContainsFunc(k.Intervals, func(i fleet.Interval) bool { return len(i.Materials) > 0 })
}

// What is a part of a position is paid for there, and not once more where it
// runs out.
func TestArchetypeCostsOnce(t *testing.T) {
	words := []string{"coolant", "oil", "fluid", "belt"}
	eachArchetype(t, func(t *testing.T, v *fleet.Vehicle) {
		for _, o := range v.Openings {
			for _, c := range o.Consumables {
				if slices.ContainsFunc(words, func(w string) bool { return strings.Contains(c.What, w) }) {
					t.Errorf("opening %s uses up %q, which is a part of a position", o.ID, c.What)
				}
			}
		}
		for _, p := range v.Positions {
			fluid := p.Kind == "coolant" || strings.HasSuffix(p.Kind, "-oil") || strings.HasSuffix(p.Kind, "-fluid")
			if fluid && p.Part.Cost == nil {
				t.Errorf("position %s has no cost", p.ID)
			}
		}
	})
}

// The order of work that every mechanic keeps (common practice).
func TestArchetypeOrder(t *testing.T) {
	eachArchetype(t, func(t *testing.T, v *fleet.Vehicle) {
		raises := func(id string) bool { return v.Opening(id).Raises }
		for _, o := range v.Openings {
			before := v.Closure(o.Needs)
			if strings.Contains(o.Name, "on the ground") != o.OnGround {
				t.Errorf("opening %s has on_ground %v", o.ID, o.OnGround)
			}
			if strings.Contains(o.Undo, "Bleed the brakes") && !slices.ContainsFunc(before, raises) {
				t.Errorf("opening %s bleeds the brakes and needs no raising", o.ID)
			}
			if o.Undo == "" && o.ID != "cooled-down" {
				t.Errorf("opening %s is never put back", o.ID)
			}
			if strings.HasPrefix(o.ID, "fuel") && (o.Engine != fleet.Cold || strings.Contains(o.Name, "stalls")) {
				t.Errorf("opening %s lets the fuel pressure down with a running or hot engine", o.ID)
			}
		}
	})
}

// The belt with the inner grooves comes off after the one in front of it, and
// a belt that passes over the fan comes off after the fan.
func TestArchetypeBeltOrder(t *testing.T) {
	type pair struct{ inner, outer string }
	behind := map[string]pair{
		"v6-long-petrol":   {"ac-belt", "main-belt"},
		"four-long-diesel": {"ac-belt", "main-belt"},
		"four-carburettor": {"fan-belt", "steering-belt"},
	}
	eachArchetype(t, func(t *testing.T, v *fleet.Vehicle) {
		p, ok := behind[v.ID]
		if !ok {
			return
		}
		inner, outer := v.Position(p.inner), v.Position(p.outer)
		for _, id := range outer.Changed {
			if !slices.Contains(v.Closure(inner.Changed), id) {
				t.Errorf("%s comes off without %s", p.inner, id)
			}
		}
		for _, id := range v.Closure(outer.Changed) {
			if slices.Contains(inner.Changed, id) {
				t.Errorf("%s needs %s, which takes the belt behind it off", p.outer, id)
			}
		}
		if v.Opening("fan-shroud") != nil && !slices.Contains(v.Closure(outer.Changed), "fan-shroud") {
			t.Errorf("%s comes off over a fixed fan shroud", p.outer)
		}
		for _, r := range v.Runs {
			if r.Belt == p.inner && strings.Contains(r.Pulleys[0].Name, "front groove") {
				t.Errorf("the run of %s is on the %s", p.inner, r.Pulleys[0].Name)
			}
		}
	})
}
