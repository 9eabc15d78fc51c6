package fleet

// Without returns an entry without what things cost, or without who wrote it down and
// where parts were bought. The entry itself is not changed.
func (e *Entry) Without(costs, names bool) *Entry {
	out := *e
	if names {
		out.By = ""
	}
	switch {
	case e.Fitted != nil:
		f := *e.Fitted
		if costs {
			f.Part.Cost = nil
		}
		if names {
			f.Part.Supplier = ""
		}
		out.Fitted = &f
	case e.Done != nil && costs:
		d := *e.Done
		d.Cost, out.Done = nil, &d
	case e.Bought != nil:
		b := *e.Bought
		if costs {
			b.Cost = nil
		}
		if names {
			b.Supplier = ""
		}
		out.Bought = &b
	case e.Correction != nil && e.Correction.Instead != nil:
		c := *e.Correction
		c.Instead, out.Correction = c.Instead.Without(costs, names), &c
	}
	return &out
}
