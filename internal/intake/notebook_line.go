package intake

import (
	"cmp"
	"regexp"
	"slices"
	"strings"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/units"
)

// reader reads the lines of one notebook.
type reader struct {
	v    *fleet.Vehicle
	c    *catalogue.Catalogue
	h    Habits
	n    *Notebook
	head *heading
	over *Past // the dated line that indented ones belong to
}

const figure = `\d{1,3}(?:[ ,.'\x{a0}\x{202f}]\d{3})+(?:[.,]\d{1,2})?|\d+(?:[.,]\d+)?`

var (
	far     = regexp.MustCompile(`(?i)(?:^|[^\w.,/-])(` + figure + `)\s*(k)?\s*(kms?|kilomet\w+|mi|miles|mls)\b\.?`)
	farBare = regexp.MustCompile(`(?i)(?:@|\bat|\bodo\w*:?|\bmileage:?|\bclock:?)\s*(` + figure +
		`)\s*(k)?()(?:$|[^\w/-])`)
	farK = regexp.MustCompile(`(?i)(?:^|[^\w.,/-])(\d{1,3}(?:[.,]\d)?)(k)()\b`)
	// a figure that can be nothing else: thousands in groups, or five and six of them
	farLone = regexp.MustCompile(`(?:^|[\s|:@-])(\d{2,3}[ ,.']\d{3}|\d{5,6})()()(?:$|[\s|,;:.)-])`)
	bareFar = regexp.MustCompile(`(?i)^\s*(` + figure + `)\s*(k)?\s*(kms?|mi|miles)?\s*$`)
	amount  = regexp.MustCompile(`(?i)([£$€]|\b(?:eur|gbp|usd|aud|cad)\s)\s?(` + figure +
		`)|(?:^|[^\w.,/-])(` + figure + `)\s?([£$€]|(?:euros?|eur|gbp|pounds?|quid|usd|dollars?|bucks|aud|cad)\b)`)
	hours   = regexp.MustCompile(`(?i)(?:^|[^\w.,/-])(` + figure + `)\s*()(h|hrs?|hours?)\b\.?`)
	bareFor = regexp.MustCompile(`(?i)^\s*(` + figure + `)\s*()(h|hrs?|hours?)?\s*$`)
	lone    = regexp.MustCompile(`^(` + figure + `)$`)
	cents   = regexp.MustCompile(`^\d+[.,]\d\d$`)
	notRead = regexp.MustCompile(`(?i)(\b(every|next|after|for|per|within|another|around in|due|lasts?|about in|in)` +
		`\s*(at|in|by)?\s*)$`)
	elapsed = regexp.MustCompile(`(?i)^\s*(ago|later|left|more|since|interval|old)\b`)
	bullet  = regexp.MustCompile(`^(\s+|\s*[-*•]\s+)\S`)
)

// line reads one line.
func (r *reader) line(row *row) {
	p := Past{No: row.no, Text: strings.TrimSpace(strings.Join(row.cells, " "))}
	if r.head != nil {
		r.columns(&p, row)
	} else {
		r.free(&p, row.cells[0])
	}
	if p.Odometer == nil && p.Words != "" {
		p.Words = r.distance(&p, p.Words)
	}
	if p.Cost == nil && p.Words != "" {
		p.Words = r.cost(&p, p.Words, "", false)
	}
	p.Words = strings.Trim(p.Words, " \t,;:|-–—@()")
	if r.head == nil && p.Words == "" && !p.Date.IsZero() && p.Cost == nil {
		r.over = &p
		if p.Odometer == nil {
			return // a day by itself is a heading
		}
	}
	switch {
	case p.Date.IsZero() && len(p.Doubts) == 0:
		p.doubt("No date can be read in it.")
	case !p.Date.IsZero() && r.head == nil && !bullet.MatchString(row.cells[0]):
		kept := p
		r.over = &kept
	}
	r.parts(&p)
	r.n.Lines = append(r.n.Lines, p)
}

// free takes the date out of a free line; an indented one without belongs to the one above.
func (r *reader) free(p *Past, text string) {
	at, s := findDate(text)
	switch {
	case at != nil:
		r.date(p, s, text[at[0]:at[1]])
		text = text[:at[0]] + " " + text[at[1]:]
	case r.over != nil && (bullet.MatchString(text) || r.over.Words == ""):
		p.Date, p.About, p.Odometer = r.over.Date, r.over.About, r.over.Odometer
		if p.About {
			p.Doubts = slices.Clone(r.over.Doubts[:min(1, len(r.over.Doubts))])
		}
	}
	p.Words = text
}

// columns takes a line of a table apart.
func (r *reader) columns(p *Past, row *row) {
	var words []string
	unit := func(i int) string {
		if i+1 < min(len(row.cells), len(r.head.cols)) && r.head.cols[i+1] == colUnit {
			return cmp.Or(strings.TrimSpace(row.cells[i+1]), r.head.units[i])
		}
		return r.head.units[i]
	}
	for i, cell := range row.cells {
		cell = strings.TrimSpace(cell)
		if i >= len(r.head.cols) || cell == "" {
			if cell != "" {
				words = append(words, cell)
			}
			continue
		}
		switch r.head.cols[i] {
		case colDate:
			if at, s := findDate(cell); at != nil {
				r.date(p, s, cell[at[0]:at[1]])
			} else {
				p.doubt("%q is no date.", cell)
			}
		case colOdometer:
			bare := bareFar
			if r.v.Counts == fleet.ByHours {
				bare = bareFor
			}
			if m := bare.FindStringSubmatch(cell); m != nil {
				r.reading(p, m[1], m[2] != "", cmp.Or(m[3], unit(i)))
			} else {
				p.doubt("%q is no %s reading.", cell, r.v.Counts.Meter())
			}
		case colCost:
			if r.head.fuel {
				continue
			}
			if left := r.cost(p, cell, unit(i), true); strings.Trim(left, " .-") != "" {
				p.doubt("%q is no amount of money.", cell)
			}
		case colWords:
			words = append(words, cell)
		}
	}
	p.Words = strings.Join(words, "; ")
}

// distance takes an odometer reading out of the words of a line: the one figure with a unit that
// does not say how far something is to last, else one that can be nothing else.
func (r *reader) distance(p *Past, text string) string {
	forms := []*regexp.Regexp{far, farBare, farK, farLone}
	if r.v.Counts == fleet.ByHours {
		forms = []*regexp.Regexp{hours, farBare}
	}
	for i, form := range forms {
		var found [][]int
		for _, m := range form.FindAllStringSubmatchIndex(text, -1) {
			if !notRead.MatchString(text[:m[2]]) && !elapsed.MatchString(text[m[1]:]) {
				found = append(found, m)
			}
		}
		if len(found) == 0 {
			continue
		}
		m := found[0]
		sub := func(k int) string {
			if m[2*k] < 0 {
				return ""
			}
			return text[m[2*k]:m[2*k+1]]
		}
		if i == 1 && len(sub(1)) < 4 && sub(2) == "" {
			continue // "at 8" is an hour
		}
		r.reading(p, sub(1), sub(2) != "", sub(3))
		if r.v.Counts == fleet.ByHours && i == 0 && p.Odometer != nil && p.Odometer.Value() < 24 {
			p.doubt("%s h: what the hour meter showed, or how long it took?", sub(1))
		}
		if len(found) > 1 {
			p.doubt("More than one distance stands in it: is %s the reading?", sub(1))
		}
		start := m[2]
		if i == 1 {
			start = m[0]
		}
		end := m[5]
		if end < 0 {
			end = m[3]
		}
		if m[7] > end {
			end = m[7]
		}
		return text[:start] + " " + strings.TrimPrefix(text[end:], ".")
	}
	return text
}

// reading takes a figure for the odometer.
func (r *reader) reading(p *Past, fig string, thousands bool, unit string) {
	plain, doubtful := plainFigure(fig, true)
	if thousands {
		whole, part, _ := strings.Cut(plain, ".")
		plain = whole + (part + "000")[:3]
		p.doubt("%sk is read as %s.", fig, plain)
	}
	switch u := strings.ToLower(unit); {
	case r.v.Counts == fleet.ByHours:
		unit = "h"
	case strings.HasPrefix(u, "k"):
		unit = "km"
	case u != "":
		unit = "mi"
	case r.h.Distance != "":
		unit = r.h.Distance
	default:
		r.n.AskUnit = true
		p.doubt("%s: kilometres or miles?", fig)
		return
	}
	q, err := units.Parse(plain+" "+unit, r.v.Counts.Dimension())
	if err != nil {
		p.doubt("%s is no %s reading.", fig, r.v.Counts.Meter())
		return
	}
	if doubtful {
		p.doubt("%s is read as %s.", fig, q.String())
	}
	p.Odometer = &q
}

// cost takes an amount of money out of a text; alone says that the text is nothing else.
func (r *reader) cost(p *Past, text, currency string, alone bool) string {
	found := amount.FindAllStringSubmatchIndex(text, -1)
	at, fig, sign := []int(nil), "", currency
	switch {
	case len(found) > 0:
		m := found[0]
		if m[2] >= 0 {
			at, sign, fig = []int{m[0], m[1]}, text[m[2]:m[3]], text[m[4]:m[5]]
		} else {
			at, fig, sign = []int{m[6], m[1]}, text[m[6]:m[7]], text[m[8]:m[9]]
		}
	case alone && lone.MatchString(text):
		at, fig = []int{0, len(text)}, text
	default:
		return text
	}
	code := currencyIn(sign)
	if _, d, ok := units.Lookup(strings.ToUpper(sign)); code == "" && ok && d == units.Money {
		code = strings.ToUpper(sign)
	}
	if strings.Contains(sign, "$") && r.h.Currency != "" && strings.HasSuffix(r.h.Currency, "D") {
		code = r.h.Currency
	}
	plain, doubtful := plainFigure(fig, false)
	q, err := units.Parse(plain+" "+cmp.Or(code, r.h.Currency), units.Money)
	switch {
	case err != nil:
		p.doubt("%s: an amount in which currency? Write it as 38.50 EUR.", fig)
		return text[:at[0]] + " " + text[at[1]:]
	case doubtful:
		p.doubt("%s is read as %s.", fig, q.String())
	case len(found) > 1:
		p.doubt("More than one amount stands in it: is %s the cost?", q.String())
	}
	p.Cost = &q
	return text[:at[0]] + " " + text[at[1]:]
}

// currencyIn is the code of the currency that a sign or word stands for, "" where it names none.
func currencyIn(s string) string {
	s = strings.ToLower(s)
	for _, c := range [][2]string{{"£", "GBP"}, {"gbp", "GBP"}, {"pound", "GBP"}, {"quid", "GBP"}, {"€", "EUR"},
		{"eur", "EUR"}, {"aud", "AUD"}, {"cad", "CAD"}, {"$", "USD"}, {"usd", "USD"},
		{"dollar", "USD"}, {"buck", "USD"}} {
		if strings.Contains(s, c[0]) {
			return c[1]
		}
	}
	return ""
}

// plainFigure writes a figure with a point and without groups. Where a single mark is followed by
// three digits, groups are taken; that is doubtful of money and a point.
func plainFigure(s string, groups bool) (plain string, doubtful bool) {
	s = strings.NewReplacer(" ", "", "'", "", "\u00a0", "", "\u202f", "").Replace(s)
	last := strings.LastIndexAny(s, ".,")
	if last < 0 {
		return s, false
	}
	digits := strings.NewReplacer(".", "", ",", "")
	behind := len(s) - last - 1
	if strings.Count(s, s[last:last+1]) > 1 || behind == 3 && !strings.ContainsAny(s[:last], ".,") {
		return digits.Replace(s), !groups && s[last] == '.'
	}
	return digits.Replace(s[:last]) + "." + s[last+1:], false
}

// rising marks readings below one of an earlier day.
func (r *reader) rising() {
	order := make([]*Past, 0, len(r.n.Lines))
	for i := range r.n.Lines {
		if p := &r.n.Lines[i]; p.Odometer != nil && !p.Date.IsZero() && !p.About {
			order = append(order, p)
		}
	}
	slices.SortStableFunc(order, func(a, b *Past) int { return a.Date.Compare(b.Date) })
	var top *Past
	for _, p := range order {
		if top != nil && p.Odometer.Base() < top.Odometer.Base() && top.Date.Before(p.Date) {
			p.doubt("The %s stood higher on %s: %s (line %d).", r.v.Counts.Meter(), told.Long(top.Date),
				top.Odometer.String(), top.No)
			continue
		}
		top = p
	}
}
