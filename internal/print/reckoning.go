package print

import (
	"fmt"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/reckon"
)

// looksShown is how many kinds are listed whose looks changed nothing.
const looksShown = 10

// Reckoning writes what was forecast and what happened, for vehicles of a yard of so
// many.
func (t *Text) Reckoning(r *reckon.Reckoning, cat *catalogue.Catalogue, all int) {
	t.Told(r.Words())
	if s := r.AmongWords(all); s != "" {
		t.Line(s)
	}
	for _, s := range r.WearWords() {
		t.Line(s)
	}
	if len(r.Bins) > 0 {
		t.Head("Said, and what came true")
		var rows [][]any
		for i := range r.Bins {
			b := &r.Bins[i]
			rows = append(rows, []any{b.SaidWords(), b.ExpectedWords(), b.CameWords(),
				b.ShareWords(), b.Told})
		}
		t.table([]column{{head: "Chance said"}, {head: "To come true", right: true},
			{head: "Came true", right: true},
			{head: "In the long run", right: true}, {head: ""}}, rows)
	}
	paid, idle := r.Paid(cat)
	t.lookRows("Looks that paid", paid)
	t.lookRows("Looks that changed nothing, those that took longest", idle[:min(len(idle), looksShown)])
	if asked := r.Questions(); len(asked) > 0 {
		t.Head("Not told yet")
		for i := range asked[:min(len(asked), looksShown)] {
			t.Item("- ", asked[i].Ask())
		}
		if s := reckon.MoreWords(len(asked) - looksShown); s != "" {
			t.Line(s)
		}
	}
}

func (t *Text) lookRows(head message.Text, all []reckon.KindLooks) {
	if len(all) == 0 {
		return
	}
	t.Head(head)
	var rows [][]any
	for i := range all {
		k := &all[i]
		rows = append(rows, []any{k.Name, fmt.Sprint(k.Looks), fmt.Sprintf("%.0f min", k.Minutes),
			fmt.Sprint(k.Changed), k.FateWords()})
	}
	t.table([]column{{head: "Kind of part"}, {head: "Looks", right: true},
		{head: "Took", right: true}, {head: "Changed", right: true},
		{head: "In the hand"}}, rows)
}
