package print

import (
	"cmp"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan/buying"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/units"
)

// Parts writes what to buy and have ready for a job.
func (t *Text) Parts(j *visit.Job) {
	t.Line(partsHeadline(j))
	t.buy(j)
}

// Shopping writes what a plan buys, by the day by which it is ordered.
func (t *Text) Shopping(s *buying.Shopping) {
	t.Told(s.Told())
	for i := range s.Lots {
		t.buyUnder(s.Title(&s.Lots[i]), s.Lots[i].Job)
		if had := s.Lots[i].HadWords(); had != "" {
			t.Line(had)
		}
	}
}

// partsHeadline says how much there is to buy and what it comes to.
func partsHeadline(j *visit.Job) message.Text {
	if len(j.Parts) == 0 && len(j.Consumables) == 0 {
		return message.Of("%s: nothing to buy for this job.", j.Vehicle.Name)
	}
	positions := 0
	for _, l := range j.Parts {
		positions += max(1, len(l.Of))
	}
	what := told.Several(positions, "position", "positions")
	if n := len(j.Consumables); n > 0 {
		what = message.Of("%s and %s", what, told.Several(n, "other thing", "other things"))
	}
	if total := j.Cost(); total != "" {
		return message.Of("%s: parts for %s to have ready, together about %s where a cost is known.",
			j.Vehicle.Name, what, total)
	}
	return message.Of("%s: parts for %s to have ready.", j.Vehicle.Name, what)
}

// buyRow is one thing to buy or have ready for a job.
type buyRow struct {
	much, number, use, cost string
	what                    message.Text
}

// buyRows lists parts, then consumables, so that their costs add up to the
// job's.
func buyRows(j *visit.Job, p units.Preferences) []buyRow {
	var out []buyRow
	for _, l := range j.Parts {
		name := l.What()
		switch {
		case l.Bought != nil:
			name = message.Of("%s, %s", name, advise.BoughtWords(l.Bought))
		case l.Spec.Supplier != "":
			name = message.Of("%s, from %s", name, l.Spec.Supplier)
		}
		out = append(out, buyRow{much: cmp.Or(l.Spec.Quantity, "1"), what: name.Capital(), number: l.Spec.Number,
			use: l.Position.Name, cost: exactMoney(l.Spec.Cost)})
	}
	for _, c := range j.Consumables {
		row := buyRow{what: message.Is(c.What).Capital(), cost: exactMoney(c.Cost)}
		if c.Amount != nil {
			row.much = p.Show(*c.Amount)
		}
		out = append(out, row)
	}
	return out
}

// exactMoney writes an amount with all the decimals its currency has, so that
// a column of amounts lines up; "" where none is known.
func exactMoney(q *units.Quantity) string {
	if q == nil {
		return ""
	}
	if exact, err := units.Sum(*q); err == nil {
		return exact.String()
	}
	return q.String()
}
