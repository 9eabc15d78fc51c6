package print

import (
	"fmt"

	"undertray/internal/advise"
)

// Lives writes how long parts of a kind last in the yard.
func (t *Text) Lives(k *advise.KindLives) {
	t.Line(k.Headline(t.prefs))
	t.Line(fmt.Sprintf("It starts from an interval (%s: %s) and learns from the parts below.",
		k.Due.Interval.Authority, advise.IntervalWords(k.Due.Interval, t.prefs)))
	t.Head("Parts of the kind")
	var rows [][]string
	for _, p := range k.Parts {
		end := "at work"
		if !p.Running {
			end = or(string(p.Removed), "came off, reason unknown")
		}
		rows = append(rows, []string{p.Vehicle, p.Name, t.age(k, p.Age), end})
	}
	t.table([]column{{head: "Vehicle", width: 18}, {head: "Position", width: 24}, {head: "Age", width: 11, right: true}, {head: "", width: 20}}, rows)
	t.Head("Share still good")
	rows = nil
	for i := 0; i < len(k.Curve); i += 5 {
		c := k.Curve[i]
		rows = append(rows, []string{t.age(k, c.Age), share(c.Prior), share(c.Mid), share(c.Low) + " to " + share(c.High)})
	}
	t.table([]column{{head: "Age", width: 12, right: true}, {head: "By the interval", width: 15, right: true},
		{head: "With your parts", width: 15, right: true}, {head: "8 in 10", width: 16, right: true}}, rows)
}

func (t *Text) age(k *advise.KindLives, age float64) string {
	if k.Unit == "km" {
		return t.prefs.Show(advise.Kilometres(age))
	}
	return fmt.Sprintf("%.1f years", age)
}

func share(p float64) string { return fmt.Sprintf("%.0f %%", 100*p) }
