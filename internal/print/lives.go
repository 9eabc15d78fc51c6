package print

import (
	"fmt"

	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
)

// Lives writes how long parts of a kind last in the yard.
func (t *Text) Lives(k *ahead.KindLives) {
	t.Told(told.Names(k.Told(t.prefs)))
	t.Head("Parts of the kind")
	var rows [][]any
	for i := range k.Parts {
		p := &k.Parts[i]
		rows = append(rows, []any{p.Vehicle, p.Name, k.AgeWords(p.Age, t.prefs), p.EndWords()})
	}
	t.table([]column{{head: "Vehicle"}, {head: "Position"}, {head: "Age", right: true},
		{head: ""}}, rows)
	t.Head("Share still good")
	rows = nil
	for i := 0; i < len(k.Curve); i += 5 {
		c := k.Curve[i]
		rows = append(rows, []any{k.AgeWords(c.Age, t.prefs), share(c.Prior), share(c.Mid),
			message.Of("%s to %s", share(c.Low), share(c.High))})
	}
	t.table([]column{{head: "Age", right: true}, {head: "By the interval", right: true},
		{head: "With your parts", right: true}, {head: "8 in 10", right: true}}, rows)
}

func share(p float64) string { return fmt.Sprintf("%.0f %%", 100*p) }
