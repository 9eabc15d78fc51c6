package print

import (
	"fmt"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/say"
)

// History writes the service record: what was done, found and fitted, newest
// first. With a position, only what concerns it.
func (t *Text) History(r *advise.Report, position string) {
	lines := advise.History(r, position)
	t.Line(fmt.Sprintf("%s: %d entries stand on %s.", r.Vehicle.Name, len(lines), r.On.Long()))
	var rows [][]string
	for _, l := range lines {
		dist := ""
		if l.Odometer != nil {
			dist = t.prefs.Show(*l.Odometer)
		}
		rows = append(rows, []string{l.Date.String(), dist, l.What, l.Position, l.Words})
	}
	t.Blank()
	t.table([]column{{head: "Date"}, {head: "Odometer", right: true}, {head: "What"},
		{head: "Position"}, {head: ""}}, rows)
	t.problems(r)
}

// Kinds lists every kind the catalogue has.
func (t *Text) Kinds(c *catalogue.Catalogue) {
	kinds := c.Kinds()
	t.Line(fmt.Sprintf("%d kinds of part are known. See one whole with: undertray kind %s", len(kinds), kinds[0].ID))
	t.Blank()
	var rows [][]string
	for _, k := range kinds {
		rows = append(rows, []string{k.ID, k.Name, k.System, strings.Join(k.Also, ", ")})
	}
	t.table([]column{{head: "Kind"}, {head: "Name"}, {head: "System"},
		{head: "Also called"}}, rows)
}

// Kind writes a kind's whole page of knowledge.
func (t *Text) Kind(c *catalogue.Catalogue, k *catalogue.Kind) {
	t.Line(k.Name + ": " + or(k.About, "what is known of it."))
	if len(k.Also) > 0 {
		t.Line("Also called " + say.Listing(k.Also) + ".")
	}
	for _, s := range k.Cautions {
		t.Item("! ", s)
	}
	t.Head("Checks")
	for i := range k.Checks {
		t.check(&k.Checks[i])
	}
	t.Head("Intervals")
	var rows [][]string
	for i := range k.Intervals {
		iv := &k.Intervals[i]
		rows = append(rows, []string{iv.Do, advise.IntervalWords(iv, t.prefs), string(iv.Authority),
			strings.Join(iv.Materials, ", "), iv.Source.String()})
	}
	t.table([]column{{head: "Do"}, {head: "After"}, {head: "Authority"},
		{head: "Material"}, {head: "Source"}}, rows)
	t.kindAdvice(k)
	t.kindSources(c, k)
}

func (t *Text) check(c *catalogue.Check) {
	t.Blank()
	t.Item(fmt.Sprintf("%-8s ", c.Sense), fmt.Sprintf("%s  [%s]", c.Question, c.ID))
	const in = "         "
	t.Item(in, c.How)
	if c.Caution != "" {
		t.Item(in+"! ", c.Caution)
	}
	if !c.Measured() {
		ids := make([]string, len(c.Answers))
		for i, a := range c.Answers {
			ids[i] = a.ID + " (" + a.Say + ")"
		}
		t.Item(in, "Answers: "+strings.Join(ids, "; "))
	} else {
		t.Item(in, "A figure in "+c.Unit)
	}
	for i := range c.Limits {
		l := &c.Limits[i]
		of := ""
		if len(l.Materials) > 0 {
			of = " (" + strings.Join(l.Materials, ", ") + ")"
		}
		t.Item(fmt.Sprintf("%s%-10s", in, l.Verdict),
			fmt.Sprintf("%s%s: %s. %s [%s]", advise.ConditionWords(l, t.prefs), of, l.Authority, l.Says, l.Source))
	}
}

func (t *Text) kindAdvice(k *catalogue.Kind) {
	if len(k.Causes) > 0 {
		t.Head("Causes, likeliest first")
		for _, c := range k.Causes {
			t.Item("- ", c.Of+": "+strings.Join(c.Likely, "; "))
		}
	}
	t.list("Before that", len(k.First), func(i int) string { return k.First[i].Do })
	t.list("Along with it", len(k.With), func(i int) string { return k.With[i].Say })
	t.list("Afterwards", len(k.After), func(i int) string { return k.After[i].Do })
	t.list("Never", len(k.Never), func(i int) string { return k.Never[i] })
	t.list("Worth knowing", len(k.Tips), func(i int) string { return k.Tips[i] })
}

func (t *Text) list(head string, n int, item func(int) string) {
	if n == 0 {
		return
	}
	t.Head(head)
	for i := range n {
		t.Item("- ", item(i))
	}
}

func (t *Text) kindSources(c *catalogue.Catalogue, k *catalogue.Kind) {
	t.Head("Sources")
	for _, id := range k.SourceIDs() {
		if s := c.Source(id); s != nil {
			t.Item(s.ID+": ", fmt.Sprintf("%s (%s)", s.What, s.Seen))
		}
	}
}

// Forecast writes the expected distance on a day, which may lie ahead.
func (t *Text) Forecast(r *advise.Report, ahead civil.Date) {
	d, ok := r.Forecast.At(ahead)
	if !ok {
		t.Line(r.Forecast.Basis(t.prefs))
		return
	}
	show := func(km float64) string { return t.prefs.Run(km) }
	t.Line(fmt.Sprintf("On %s %s will have run about %s; 8 chances in 10 lie between %s and %s.",
		ahead.Long(), r.Vehicle.Name, show(d.Expected), show(d.Low), show(d.High)))
	t.Line(r.Forecast.Basis(t.prefs))
}

// Meaning writes what an answer to a check would mean.
func (t *Text) Meaning(m *advise.Meaning) {
	t.Told(m.Told(t.prefs))
	if len(m.Judgement.Reasons) > 0 {
		t.Head("What each authority says")
		var rows [][]string
		for _, o := range m.Judgement.Reasons {
			if o.Finding == nil {
				continue
			}
			rows = append(rows, []string{o.Verdict.String(), string(o.Authority),
				or(o.Says, "Lets it pass.") + " [" + o.Source.String() + "]"})
		}
		t.table([]column{{head: "Verdict"}, {head: "Authority"}, {head: "Rule"}}, rows)
	}
	j := &m.Judgement
	t.list("Likely causes", len(j.Causes), func(i int) string {
		return j.Causes[i].Of + ": " + strings.Join(j.Causes[i].Likely, "; ")
	})
	if j.Verdict > fleet.Keep {
		t.list("Caution", len(j.Cautions), func(i int) string { return j.Cautions[i] })
	}
	t.list("Before that", len(j.First), func(i int) string { return j.First[i].Do })
	t.list("Along with it", len(m.With), func(i int) string { return m.With[i].Say })
}
