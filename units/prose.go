package units

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"sync"
)

// Plain reports whether the reader is at home in metric units throughout, which is
// what knowledge is written in: nothing is rewritten for one.
func (p Preferences) Plain() bool {
	if p.System != Metric {
		return false
	}
	for d := range p.Units {
		if symbol, ok := p.override(d); ok && symbol != metricUnit(d) {
			return false
		}
	}
	return true
}

// Text rewrites the quantities in running words for a reader, the original behind
// in brackets: "keep 20 mm clear" is "keep 0.79 in (20 mm) clear". Of a pair, "75 mm
// (3 in)", the reader's goes first. Nominal sizes of tools ("a 13 mm socket") and
// figures written close to their unit ("6PK1420") stay as they are.
func (p Preferences) Text(s string) string {
	if p.Plain() || !strings.ContainsAny(s, "0123456789½¼¾") {
		return s
	}
	var b strings.Builder
	for s != "" {
		m := inWords().FindStringSubmatchIndex(s)
		if m == nil {
			break
		}
		t, start, end := told(s, m), m[4], m[13]
		b.WriteString(s[:start])
		head, rest := s[start:end], s[end:]
		own, ok := p.reword(t, rest)
		switch pair, after := pairOf(rest); {
		case ok && pair != nil && p.ownUnit(pair):
			head, rest = pair.text+" ("+head+")", after
		case ok && unclosed(b.String()):
			head = own + ", " + head
		case ok:
			head = own + " (" + head + ")"
		case pair != nil && t.row != nil && p.ownUnit(t):
			head, rest = head+s[end:len(s)-len(after)], after // both are there already
		}
		b.WriteString(head)
		s = rest
	}
	b.WriteString(s)
	return b.String()
}

// stretch is a quantity, or a range of them, in running words.
type stretch struct {
	text     string
	from, to string // figures; to is "" for one
	link     string // between them: " to "
	row      *unit
	slope    string // "mm per metre", "in per foot", or ""
}

// inWords finds a figure or two and a unit, with a character before that cannot be
// part of either. Longer units stand before those they begin with.
var inWords = sync.OnceValue(func() *regexp.Regexp {
	const figure = `([-−]?(?:\d{1,3}(?:[, \x{202f}\x{a0}]\d{3})+|\d+)(?:\.\d+)?|(?:\d+ )?\d+/\d+)`
	const unit = `(mm per metre|in per foot|per 75 mm|per 3 in|km/h|m/s|mph|km|miles|mi|mm|cm|µm|metres|metre|m|` +
		`in|ft|thou|` +
		`N·m|Nm|lbf·ft|lbf·in|kPa|MPa|mbar|bar|psi|kN|N|lbf|kg|g|lb|oz|` +
		`litres|litre|l|ml|US gal|US qt|US pt|US fl oz|imp gal|imp pt|imp fl oz|°C|°F)`
	const figures = `(` + figure + `(?:( to | and | or |-|–)` + figure + `)?)`
	return regexp.MustCompile(`(^|[^\w.,/·°^-])` + figures + `[ \x{a0}\x{202f}]` +
		unit + `(?:$|[^\w²³/·°-])`)
})

// told reads one match of inWords.
func told(s string, m []int) *stretch {
	at := func(i int) string {
		if m[2*i] < 0 {
			return ""
		}
		return s[m[2*i]:m[2*i+1]]
	}
	t := &stretch{text: s[m[4]:m[13]], from: at(3), link: at(4), to: at(5)}
	spelling := at(6)
	if unit, _, ok := strings.Cut(spelling, " per "); ok && !strings.HasPrefix(spelling, "per") {
		t.slope, spelling = spelling, unit
	}
	t.row = lookup(spelling)
	return t
}

// pairOf is the quantity that follows in brackets or behind a comma, the same said
// in another unit, and what comes after it; nil for none.
func pairOf(rest string) (*stretch, string) {
	open, end := " (", ")"
	if strings.HasPrefix(rest, ", ") {
		open, end = ", ", ""
	}
	inside, ok := strings.CutPrefix(rest, open)
	if !ok {
		return nil, rest
	}
	m := inWords().FindStringSubmatchIndex(inside)
	if m == nil || m[4] != 0 {
		return nil, rest
	}
	t := told(inside, m)
	after, ok := strings.CutPrefix(inside[m[13]:], end)
	if !ok {
		return nil, rest
	}
	return t, after
}

// ownUnit reports whether a stretch is in a unit that the reader is at home in.
func (p Preferences) ownUnit(t *stretch) bool {
	q, _, err := readNumber(unsigned(t.from))
	return err == "" && t.row != nil && p.unitFor(Quantity{num: q, unit: t.row.symbol, dim: t.row.dim}) == t.row.symbol
}

// unsigned takes what figures in words have and those that are read have not.
func unsigned(figure string) string { return strings.ReplaceAll(figure, "−", "-") }

var nominal = regexp.MustCompile(`^ (?:(?:hex|square|ring|open) )?(?:spanners?|sockets?|keys?|bits?|drills?|drives?|` +
	`wrench)\b`)

// reword says a stretch in the reader's unit, and whether it has to be.
func (p Preferences) reword(t *stretch, rest string) (string, bool) {
	switch {
	case t.row == nil || p.ownUnit(t) || nominal.MatchString(rest):
		return "", false
	case t.row.symbol == "in" && rest != "" && !strings.ContainsAny(rest[:1], ".,;:)") &&
		!strings.HasPrefix(rest, " ("):
		return "", false // "1 in 40"
	}
	from, ok1 := t.quantity(t.from)
	if !ok1 {
		return "", false
	}
	if t.slope == "in per foot" {
		return "", false
	}
	if t.slope != "" { // 12 in in a foot, 1000 mm in a metre
		return strconv.FormatFloat(from.num.value*12/1000, 'g', 2, 64) + " in per foot", true
	}
	target := p.unitFor(from)
	if t.to == "" {
		return dress(p.figureIn(from, target), target), true
	}
	to, ok2 := t.quantity(t.to)
	if !ok2 {
		return "", false
	}
	target = p.unitFor(to)
	return group(p.figureIn(from, target)) + t.link + dress(p.figureIn(to, target), target), true
}

func (t *stretch) quantity(figure string) (Quantity, bool) {
	n, problem, _ := readNumber(unsigned(figure))
	return Quantity{num: n, unit: t.row.symbol, dim: t.row.dim}, problem == ""
}

// figureIn writes a size in another unit to as many digits as it claims, two at
// least; the original stands beside it.
func (p Preferences) figureIn(q Quantity, unit string) string {
	if q.dim == Length && unit == "in" && q.unit == "mm" && q.num.value == 75 {
		return "3" // what the trade counts cracks over
	}
	value := q.In(unit)
	if q.dim == Temperature {
		return decimalText(q.to(unit, 3).num.rat(), q.num.decimals())
	}
	return roundedTo(value, min(max(q.num.nominal(), 2), 4), 0)
}

// roundedTo writes a value to so many significant digits: to the nearest for a
// direction of 0, else down or up.
func roundedTo(value float64, digits, direction int) string {
	if value == 0 {
		return "0"
	}
	_, exponent := leading(value)
	places := digits - 1 - exponent
	step := math.Pow(10, float64(-places))
	scaled := value / step
	if near := math.Round(scaled); math.Abs(scaled-near) < 1e-9*math.Abs(scaled) {
		scaled = near // exactly that, but for the arithmetic
	}
	switch {
	case direction < 0:
		scaled = math.Floor(scaled)
	case direction > 0:
		scaled = math.Ceil(scaled)
	default:
		scaled = math.Round(scaled)
	}
	text := strconv.FormatFloat(scaled*step, 'f', max(0, places), 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

// unclosed reports whether a text ends within brackets.
func unclosed(s string) bool { return strings.Count(s, "(") > strings.Count(s, ")") }

// Figure writes a computed value, without its unit, in the one that the reader is shown
// such figures in (see UnitFor): with so many decimals where it is its own, else with
// as many as tell as much.
func (p Preferences) Figure(value float64, unit string, decimals int) string {
	own := p.UnitFor(unit)
	if own == unit || math.IsNaN(value) || math.IsInf(value, 0) {
		return strconv.FormatFloat(value, 'f', decimals, 64)
	}
	q := Must(value, unit)
	step := Must(1, unit).In(own)
	return strconv.FormatFloat(q.In(own), 'f', max(0, decimals+int(math.Ceil(-math.Log10(step)))), 64)
}

// Beside shows a quantity in the reader's unit with the original in brackets where
// it had to be converted: "0.375 in (9.53 mm)". None gives empty text.
func (p Preferences) Beside(q Quantity) string { return p.bound(q, 0) }

// bound shows a quantity as it was typed, or else in the reader's unit, rounded down or up, to the nearest for
// a direction of 0, the original behind in brackets.
func (p Preferences) bound(q Quantity, direction int) string {
	if q.IsZero() || q.dim == Money || p.Plain() || p.unitFor(q) == q.unit {
		return q.String()
	}
	target := p.unitFor(q)
	digits := min(max(q.num.significant(), 3), 4)
	text := ""
	if q.dim == Temperature {
		text = roundedAt(q.In(target), 1, direction)
	} else {
		text = roundedTo(q.In(target), digits, direction)
	}
	return dress(text, target) + " (" + dress(q.num.text, q.unit) + ")"
}

// roundedAt is roundedTo with a number of decimals.
func roundedAt(value float64, places, direction int) string {
	if value == 0 {
		return "0"
	}
	_, exponent := leading(value)
	return roundedTo(value, max(1, exponent+1+places), direction)
}

// Within is ShowNominal for something that is over by then: what is converted for
// another reader than a plainly metric one is rounded down, and never says more than
// the original.
func (p Preferences) Within(q Quantity) string {
	if q.IsZero() || p.Plain() || p.unitFor(q) == q.unit {
		return p.ShowNominal(q)
	}
	unit := p.unitFor(q)
	return dress(roundedTo(q.In(unit), min(max(q.num.nominal(), 2), 3), -1), unit)
}

// Floor shows a bound from which on something is wrong, so that less is right:
// rounded down, never above the original, which stands behind in brackets.
func (p Preferences) Floor(q Quantity) string { return p.bound(q, -1) }

// Ceil shows a bound below which something is wrong: rounded up, never below the
// original, which stands behind in brackets.
func (p Preferences) Ceil(q Quantity) string { return p.bound(q, 1) }
