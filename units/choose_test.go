package units_test

import (
	"testing"

	"undertray.example/undertray/units"
)

// What is chosen is what is shown, for every choice there is, and the rest stays metric.
func TestWhatIsChosenIsShown(t *testing.T) {
	for _, c := range units.Choices() {
		for _, unit := range c.Units {
			p := units.Chosen(map[units.Dimension]string{c.Of: unit})
			if err := p.Validate(); err != nil {
				t.Errorf("%s: %v", unit, err)
			}
			if got := p.Preferred(c.Of); got != unit {
				t.Errorf("%s chosen, %s shown", unit, got)
			}
			for _, other := range units.Choices() {
				if got := p.Preferred(other.Of); other.Of != c.Of && got != other.Units[0] {
					t.Errorf("%s chosen for %s, and %s is shown in %s", unit, c.Of, other.Of, got)
				}
			}
		}
	}
	all := map[units.Dimension]string{}
	us := units.Preferences{System: units.USCustomary}
	for _, c := range units.Choices() {
		all[c.Of] = us.Preferred(c.Of)
	}
	if p := units.Chosen(all); !p.Same(us) {
		t.Errorf("all of the United States chosen gives %+v", p)
	}
	if p := units.Chosen(nil); !p.Plain() {
		t.Errorf("nothing chosen gives %+v", p)
	}
	uk := units.Chosen(map[units.Dimension]string{units.Distance: "mi"})
	if got := uk.Preferred(units.RoadSpeed); got != "mph" {
		t.Errorf("who drives miles is shown speeds in %s", got)
	}
}
