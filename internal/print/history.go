package print

import (
	"cmp"
	"strings"

	"github.com/jedib0t/go-pretty/v6/text"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
)

// History writes the service record: what was done, found and fitted, newest
// first. With a position, only what concerns it.
func (t *Text) History(r *advise.Report, position string) {
	lines := advise.History(r, position)
	t.Line(message.Of("%s: %d entries stand on %s.", r.Vehicle.Name, len(lines), told.Long(r.On)))
	var rows [][]any
	for _, l := range lines {
		dist := ""
		if l.Odometer != nil {
			dist = t.prefs.Show(*l.Odometer)
		}
		rows = append(rows, []any{l.Date.String(), dist, l.What, l.Position, l.Words})
	}
	t.Blank()
	t.table([]column{{head: "Date"}, {head: "Odometer", right: true}, {head: "What"},
		{head: "Position"}, {head: ""}}, rows)
	t.problems(r)
}

// Kinds lists every kind the catalogue has.
func (t *Text) Kinds(c *catalogue.Catalogue) {
	kinds := c.Kinds()
	t.Line(message.Of("%d kinds of part are known. See one whole with: %s", len(kinds), "undertray kind "+kinds[0].ID))
	t.Blank()
	var rows [][]any
	for _, k := range kinds {
		rows = append(rows, []any{message.Key(k.ID), k.Name, k.System, message.Joined(told.Names(k.Also), ", ")})
	}
	t.table([]column{{head: "Kind"}, {head: "Name"}, {head: "System"},
		{head: "Also called"}}, rows)
}

// Kind writes a kind's whole page of knowledge.
func (t *Text) Kind(c *catalogue.Catalogue, k *catalogue.Kind) {
	t.Line(message.Of("%s: %s", k.Name, cmp.Or(message.Is(k.About), "what is known of it.")))
	if len(k.Also) > 0 {
		t.Line(message.Of("Also called %s.", told.Listing(told.Names(k.Also))))
	}
	for _, s := range k.Cautions {
		t.Item("! ", message.Is(s))
	}
	t.Head("Checks")
	for i := range k.Checks {
		t.check(&k.Checks[i])
	}
	t.Head("Intervals")
	var rows [][]any
	for i := range k.Intervals {
		iv := &k.Intervals[i]
		rows = append(rows, []any{doWords[iv.Do], advise.IntervalWords(iv, t.prefs), iv.Authority,
			strings.Join(iv.Materials, ", "), iv.Source.String()})
	}
	t.table([]column{{head: "Do"}, {head: "After"}, {head: "Authority"},
		{head: "Material"}, {head: "Source"}}, rows)
	t.kindAdvice(k)
	t.kindSources(c, k)
}

func (t *Text) check(c *catalogue.Check) {
	t.Blank()
	t.Named(message.Is(c.Sense), 9, message.Of("%s  [%s]", c.Question, message.Key(c.ID)))
	const in = "         "
	t.Item(in, message.Is(c.How))
	if c.Caution != "" {
		t.Item(in+"! ", message.Is(c.Caution))
	}
	if !c.Measured() {
		ids := make([]message.Text, len(c.Answers))
		for i, a := range c.Answers {
			ids[i] = message.Of("%s (%s)", message.Key(a.ID), a.Say)
		}
		t.Item(in, message.Of("Answers: %s", message.Joined(ids, "; ")))
	} else {
		t.Item(in, message.Of("A figure in %s", c.Unit))
	}
	for i := range c.Limits {
		l := &c.Limits[i]
		when := advise.ConditionWords(l, t.prefs)
		if len(l.Materials) > 0 {
			when = message.Of("%s (%s)", when, strings.Join(l.Materials, ", "))
		}
		verdict := t.in(l.Verdict)
		if text.StringWidthWithoutEscSequences(verdict) > 9 { // too wide for its column: a mark parts it
			verdict += ":"
		}
		t.Item(in+text.Pad(verdict+" ", 10, ' '),
			message.Of("%s: %s. %s [%s]", when, l.Authority, l.Says, l.Source))
	}
}

// doWords are what an interval asks for.
var doWords = map[string]message.Text{fleet.DoReplace: "replace", fleet.DoInspect: "inspect"}

// causeWords says what a cause is of, and the likely ones.
func causeWords(c catalogue.Cause) message.Text {
	return message.Of("%s: %s", c.Of, message.Joined(told.Names(c.Likely), "; "))
}

func (t *Text) kindAdvice(k *catalogue.Kind) {
	if len(k.Causes) > 0 {
		t.Head("Causes, likeliest first")
		for _, c := range k.Causes {
			t.Item("- ", causeWords(c))
		}
	}
	t.list("Before that", len(k.First), func(i int) message.Text { return message.Is(k.First[i].Do) })
	t.list("Along with it", len(k.With), func(i int) message.Text { return message.Is(k.With[i].Say) })
	t.list("Afterwards", len(k.After), func(i int) message.Text { return message.Is(k.After[i].Do) })
	t.list("Never", len(k.Never), func(i int) message.Text { return message.Is(k.Never[i]) })
	t.list("Worth knowing", len(k.Tips), func(i int) message.Text { return message.Is(k.Tips[i]) })
}

func (t *Text) list(head message.Text, n int, item func(int) message.Text) {
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
			t.Item(s.ID+": ", message.Of("%s (%s)", s.What, s.Seen))
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
	t.Line(message.Of("On %s %s will have run about %s; 8 chances in 10 lie between %s and %s.",
		told.Long(ahead), r.Vehicle.Name, show(d.Expected), show(d.Low), show(d.High)))
	t.Line(r.Forecast.Basis(t.prefs))
}

// Meaning writes what an answer to a check would mean.
func (t *Text) Meaning(m *advise.Meaning) {
	t.Told(told.Names(m.Told(t.prefs)))
	if len(m.Judgement.Reasons) > 0 {
		t.Head("What each authority says")
		var rows [][]any
		for _, o := range m.Judgement.Reasons {
			if o.Finding == nil {
				continue
			}
			rows = append(rows, []any{o.Verdict, o.Authority,
				message.Of("%s [%s]", cmp.Or(o.Says, "Lets it pass."), o.Source)})
		}
		t.table([]column{{head: "Verdict"}, {head: "Authority"}, {head: "Rule"}}, rows)
	}
	j := &m.Judgement
	t.list("Likely causes", len(j.Causes), func(i int) message.Text { return causeWords(j.Causes[i]) })
	if j.Verdict > fleet.Keep {
		t.list("Caution", len(j.Cautions), func(i int) message.Text { return message.Is(j.Cautions[i]) })
	}
	t.list("Before that", len(j.First), func(i int) message.Text { return message.Is(j.First[i].Do) })
	t.list("Along with it", len(m.With), func(i int) message.Text { return message.Is(m.With[i].Say) })
}
