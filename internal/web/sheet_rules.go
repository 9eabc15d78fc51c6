package web

import (
	"fmt"
	"net/url"
	"strconv"
	"strings"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// bandWord joins the two figures of a limit that is a band.
const bandWord = " to "

// bounds are the ways a figure can pass a limit: the word that forms send, and what is
// shown for it. A band is from a figure to less than another.
var bounds = []choice{{Value: "at_least", Say: "at least"}, {Value: "more_than", Say: "more than"},
	{Value: "at_most", Say: "at most"}, {Value: "less_than", Say: "less than"},
	{Value: "band", Say: "from … to less than …"}}

// ruleWhen is the value of the choice that a limit's condition is, and its figure.
func ruleWhen(l *fleet.Limit) (when, figure string) {
	for i, q := range []*units.Quantity{l.AtLeast, l.MoreThan, l.AtMost, l.LessThan} {
		if q != nil && when == "" {
			when, figure = l.Check+" "+bounds[i].Value, q.String()
		}
	}
	switch {
	case l.AtLeast != nil && l.LessThan != nil:
		return l.Check + " band", l.AtLeast.String() + bandWord + l.LessThan.String()
	case l.Is != "":
		return l.Check + " = " + l.Is, ""
	}
	return when, figure
}

// filledRules adds to a form's fields what a position's own limits and intervals say.
func filledRules(f url.Values, p *fleet.Position) {
	for i := range p.Limits {
		l := &p.Limits[i]
		when, figure := ruleWhen(l)
		for name, v := range map[string]string{"was": strconv.Itoa(i), "when": when, "figure": figure,
			"verdict": l.Verdict.String(), "authority": string(l.Authority), "source": l.Source.String(),
			"says": l.Says} {
			f.Add("l."+name, v)
		}
	}
	for i := range p.Intervals {
		v := &p.Intervals[i]
		for name, text := range map[string]string{"was": strconv.Itoa(i), "do": v.Do,
			"distance": figureText(v.Distance),
			"time":     figureText(v.Time), "authority": string(v.Authority),
			"source": v.Source.String()} {
			f.Add("i."+name, text)
		}
	}
}

// Limits and Intervals are the rows there are and one more.
func (w work) Limits() []fieldRow {
	return w.rows("l", 1, []string{"when", "figure", "source", "says"}, "was", "verdict", "authority")
}

// Intervals is like Limits.
func (w work) Intervals() []fieldRow {
	return w.rows("i", 1, []string{"distance", "time", "source"}, "was", "do", "authority")
}

// Authorities lists who can say so; the vehicle maker's handbook is copied most often.
func (itemPage) Authorities() []fleet.Authority { return fleet.Authorities() }

// Verdicts lists what a limit can lead to.
func (itemPage) Verdicts() []fleet.Verdict {
	return []fleet.Verdict{fleet.PutRight, fleet.Watch, fleet.Park, fleet.Keep}
}

// ruleGroup is a check with the conditions that a limit of it can have.
type ruleGroup struct {
	Title string // of the catalogue
	Whens []choice
}

// Whens lists what can be found on the kind, check by check.
func (p itemPage) Whens() []ruleGroup {
	var out []ruleGroup
	for i := range p.Kind.Checks {
		c := &p.Kind.Checks[i]
		g := ruleGroup{Title: c.Title()}
		for _, a := range c.Answers {
			g.Whens = append(g.Whens, choice{Value: c.ID + " = " + a.ID, Say: message.Name(a.Say)})
		}
		if c.Measured() {
			for _, b := range bounds {
				g.Whens = append(g.Whens, choice{Value: c.ID + " " + b.Value,
					Say: message.Of("%s (%s)", b.Say, c.FigureUnit())})
			}
		}
		out = append(out, g)
	}
	return out
}

// old is the item of a list that a row of fields was made from, a new one where it was
// made from none.
func old[T any](list []T, was string) T {
	if i, err := strconv.Atoi(was); err == nil && i >= 0 && i < len(list) {
		return list[i]
	}
	var fresh T
	return fresh
}

// source reads who says so of a row, and complains where nobody does.
func (f *typed) source(row, text string) fleet.Sources {
	if text = strings.TrimSpace(text); text == "" {
		f.wrong(row, "it does not say where that is written", "name the page, as handbook, page 212")
	}
	return fleet.Sources{text}
}

// intervals reads the rows of a position's intervals; what no field holds stays. A row
// that says nothing any more is left out.
func (f *typed) intervals(was []fleet.Interval) []fleet.Interval {
	var out []fleet.Interval
	for i, source := range f.Values["i.source"] {
		at := func(name string) string { return strings.TrimSpace(nth(f.Values["i."+name], i)) }
		if at("distance")+at("time")+strings.TrimSpace(source) == "" {
			continue
		}
		name := "interval " + strconv.Itoa(i+1)
		v := old(was, at("was"))
		v.Do, v.Authority = at("do"), fleet.Authority(at("authority"))
		v.Distance = f.far(name, at("distance"))
		v.Time = f.quantity(name+", time", at("time"), units.TimeSpan, "years")
		if source == "" || source != v.Source.String() {
			v.Source = f.source(name, source)
		}
		if v.Distance == nil && v.Time == nil && !v.OnCondition && !v.EachOilChange {
			f.wrong(name, "it says neither how far nor how long", "write one or both, or empty the row to take it off")
		}
		out = append(out, v)
	}
	return out
}

// limits is like intervals. A limit without a sentence is given one.
func (f *typed) limits(was []fleet.Limit, kind *catalogue.Kind) []fleet.Limit {
	var out []fleet.Limit
	for i, source := range f.Values["l.source"] {
		at := func(name string) string { return strings.TrimSpace(nth(f.Values["l."+name], i)) }
		if at("when") == "" {
			if at("figure")+strings.TrimSpace(source) != "" && at("was") == "" {
				f.wrong("limit "+strconv.Itoa(i+1), "it does not say what is found", "choose it from the list")
			}
			continue
		}
		name := "limit " + strconv.Itoa(i+1)
		l := old(was, at("was"))
		if now, figure := ruleWhen(&l); now != at("when") || figure != at("figure") {
			f.condition(&l, name, kind, at("when"), at("figure"))
		}
		verdict, err := fleet.ParseVerdict(at("verdict"))
		if err != nil {
			f.wrong(name, "it leads to no verdict", "choose one of the list")
		}
		if verdict != l.Verdict {
			l.Verdict, l.By, l.Do, l.Again = verdict, nil, "", nil
		}
		l.Authority = fleet.Authority(at("authority"))
		if source == "" || source != l.Source.String() {
			l.Source = f.source(name, source)
		}
		if l.Says = at("says"); l.Says == "" {
			l.Says = fmt.Sprintf("The %s says: %s.", l.Authority, verdict)
		}
		out = append(out, l)
	}
	return out
}

// condition puts what a row says is found into a limit.
func (f *typed) condition(l *fleet.Limit, name string, kind *catalogue.Kind, when, figure string) {
	l.Check, l.Is, l.AtLeast, l.MoreThan, l.AtMost, l.LessThan = "", "", nil, nil, nil, nil
	check, way, _ := strings.Cut(when, " ")
	c := kind.Check(check)
	if c == nil {
		f.wrong(name, "what is found is no longer asked of this kind of part", "choose it from the list again")
		return
	}
	l.Check = check
	if answer, worded := strings.CutPrefix(way, "= "); worded {
		l.Is = answer
		return
	}
	read := func(text string) *units.Quantity {
		if c.Of != "" && strings.HasSuffix(text, "%") {
			return f.quantity(name, text, units.Percent, "")
		}
		return f.quantity(name, text, c.Dimension(), c.FigureUnit())
	}
	from, to, _ := strings.Cut(figure, bandWord)
	q := read(from)
	if q == nil && strings.TrimSpace(from) == "" {
		f.wrong(name, "it has no figure", message.Of("write it with its unit, as %s", c.Dimension().Example()))
	}
	switch way {
	case "at_least":
		l.AtLeast = q
	case "more_than":
		l.MoreThan = q
	case "at_most":
		l.AtMost = q
	case "less_than":
		l.LessThan = q
	case "band":
		if l.AtLeast, l.LessThan = q, read(to); l.LessThan == nil {
			f.wrong(name, "a band has two figures", "write both, as 3 mm to 5 mm")
		}
	default:
		f.wrong(name, "it does not say what is found", "choose it from the list")
	}
}
