package visit

import (
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
)

// ExposedHead stands over what can be looked at besides.
const ExposedHead message.Text = "While it is open, you can also look at"

// ExposedWords names what can be looked at besides, by the steps between which
// it is open; none where nothing else is.
func (j *Job) ExposedWords() []message.Text {
	type window struct{ after, before int }
	var order []window
	names := map[window][]message.Text{}
	for _, e := range j.Exposed() {
		w := window{e.After, e.Before}
		if names[w] == nil {
			order = append(order, w)
		}
		names[w] = append(names[w], message.Name(say.LowerFirst(e.Judgement.Position.Name)))
	}
	var out []message.Text
	for _, w := range order {
		when := message.Of("from step %d on, before step %d", w.after+1, w.before)
		if w.before > len(j.Steps) {
			when = message.Of("after step %d", w.after)
		}
		out = append(out, message.Of("%s (%s)", message.Joined(names[w], "; "), when).Sentence())
	}
	return out
}
