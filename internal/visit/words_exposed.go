package visit

import (
	"fmt"
	"strings"

	"undertray.example/undertray/internal/say"
)

// ExposedHead stands over what can be looked at besides.
const ExposedHead = "While it is open, you can also look at"

// ExposedWords names what can be looked at besides, by the steps between which
// it is open; none where nothing else is.
func (j *Job) ExposedWords() []string {
	type window struct{ after, before int }
	var order []window
	names := map[window][]string{}
	for _, e := range j.Exposed() {
		w := window{e.After, e.Before}
		if names[w] == nil {
			order = append(order, w)
		}
		names[w] = append(names[w], say.LowerFirst(e.Judgement.Position.Name))
	}
	var out []string
	for _, w := range order {
		when := fmt.Sprintf("from step %d on, before step %d", w.after+1, w.before)
		if w.before > len(j.Steps) {
			when = fmt.Sprintf("after step %d", w.after)
		}
		out = append(out, say.Sentence(strings.Join(names[w], "; ")+" ("+when+")"))
	}
	return out
}
