package sheet

import (
	"slices"
	"strconv"
	"strings"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/yamltree"
	"undertray.example/undertray/units"
)

func (c *checker) position(path string, p *fleet.Position) {
	c.filled(path+".name", p.Name)
	kind := c.kind(path+".kind", p.Kind)
	c.system(path+".system", p.System)
	if p.X < 0 || p.X > 100 {
		c.Wrong(path+".x", "x is %v: write 0 (the vehicle's left) to 100 (its right)", p.X)
	}
	if p.Y < 0 || p.Y > 200 {
		c.Wrong(path+".y", "y is %v: write 0 (front) to 100 (bulkhead) to 200 (rear end)", p.Y)
	}
	c.refer(path+".seen", p.Seen, c.openings, "opening")
	c.refer(path+".changed", p.Changed, c.openings, "opening")
	c.refer(path+".neighbours", p.Neighbours, c.positions, "position")
	if i := slices.Index(p.Neighbours, p.ID); i >= 0 && p.ID != "" {
		c.Wrong(item(path+".neighbours", i), "position %q names itself as its neighbour: take it out", p.ID)
	}
	c.minutes(path+".minutes", p.Minutes)
	c.works(path, p.Fasteners)
	for i, con := range p.Consumables {
		c.filled(item(path+".consumables", i)+".what", con.What)
	}
	c.part(path+".part", p.Part, kind)
	for i := range p.Limits {
		c.limit(item(path+".limits", i), &p.Limits[i], kind)
	}
	for i := range p.Intervals {
		c.interval(item(path+".intervals", i), &p.Intervals[i], kind)
	}
}

// kind looks a kind up; nil where it is unknown or nothing is known.
func (c *checker) kind(path, id string) *catalogue.Kind {
	if c.known == nil || c.Broken(path) {
		return nil
	}
	k := c.known.Kind(id)
	if k == nil {
		c.Wrong(path, "kind %q is unknown: %s", id, c.kindInstead(id))
	}
	return k
}

// kindInstead names the kind that was probably meant: the nearest in spelling,
// or one that goes by that name elsewhere, such as a serpentine belt.
func (c *checker) kindInstead(word string) message.Text {
	ids := c.known.KindIDs()
	for _, id := range ids {
		k := c.known.Kind(id)
		for _, name := range append([]string{k.Name}, k.Also...) {
			if fleet.SameParts(word, name) {
				return message.Of("did you mean %q?", id)
			}
		}
	}
	return fleet.Instead(word, ids)
}

// system checks that some kind of the catalogue belongs to the system.
func (c *checker) system(path, system string) {
	if c.known == nil || system == "" {
		return
	}
	var systems []string
	for _, id := range c.known.KindIDs() {
		s := c.known.Kind(id).System
		if s == system {
			return
		}
		if !slices.Contains(systems, s) {
			systems = append(systems, s)
		}
	}
	slices.Sort(systems)
	c.Wrong(path, "system %q is unknown: %s", system, fleet.Instead(system, systems))
}

// part checks a part's material, figures and quantity.
func (c *checker) part(path string, p fleet.PartSpec, kind *catalogue.Kind) {
	c.material(path+".material", p.Material, kind)
	for id, q := range p.Spec {
		c.figure(path+".spec."+id, id, q, kind)
	}
	if p.Quantity == "" {
		return
	}
	if q, err := units.ParseAny(p.Quantity); err != nil || q.Base() <= 0 {
		c.Wrong(path+".quantity", "quantity is %q: write how many belong here, such as 2, or how much, such as 5.2 l",
			p.Quantity)
	}
}

// figure checks that a figure of a part is one of its kind's, and of the right
// dimension.
func (c *checker) figure(path, id string, q units.Quantity, kind *catalogue.Kind) {
	if kind == nil {
		return
	}
	i := slices.IndexFunc(kind.Spec, func(s catalogue.SpecFigure) bool { return s.ID == id })
	if i < 0 && len(kind.Spec) == 0 {
		c.Wrong(path, "kind %s has no figures that checks are measured against: take %q out", kind.ID, id)
		return
	}
	if i < 0 {
		c.Wrong(path, "kind %s has no figure %q: %s", kind.ID, id, fleet.Instead(id, specIDs(kind)))
		return
	}
	if _, want, ok := units.Lookup(kind.Spec[i].Unit); ok && q.Dimension() != want {
		c.Wrong(path, "%s %q is of the wrong sort: write a %s, such as %s", id, q, want, want.Example())
	}
}

func (c *checker) material(path, material string, kind *catalogue.Kind) {
	if kind == nil || kind.CanBeOf(material) {
		return
	}
	c.Wrong(path, "material %q is not one of the kind %s (leave it out if unknown): %s",
		material, kind.ID, fleet.Instead(material, kind.Materials))
}

// limit checks that a limit belongs to a check of the kind and has one
// condition of the right sort.
func (c *checker) limit(path string, l *fleet.Limit, kind *catalogue.Kind) {
	c.condition(path, l)
	c.filled(path+".says", l.Says)
	c.filled(path+".source", l.Source.String())
	for i, m := range l.Materials {
		c.material(item(path+".materials", i), m, kind)
	}
	if l.Verdict == fleet.Unseen {
		c.Wrong(path+".verdict", "a limit cannot lead to %q: write keep, watch, put right or park", fleet.Unseen)
	}
	if key, wrong := l.Undue(); key != "" {
		c.Wrong(path+"."+key, "%s", wrong)
	}
	if l.By != nil {
		c.runs(path+".by", l.By.Distance)
	}
	if l.Again != nil {
		c.again(path+".again", l.Again)
		if l.Verdict != fleet.Watch {
			c.Wrong(path+".again", "again belongs to the verdict watch, and this limit says %s: take it out", l.Verdict)
		}
	}
	if l.Check == "" {
		c.Wrong(path+".check", "the limit has no check: add the id of the check it belongs to, such as \"check: %s\"",
			sampleCheck(kind))
		return
	}
	if kind == nil {
		return
	}
	check := kind.Check(l.Check)
	if check == nil {
		c.Wrong(path+".check", "kind %s has no check %q: %s", kind.ID, l.Check, fleet.Instead(l.Check, kind.CheckIDs()))
		return
	}
	c.answer(path, l, check)
}

// sampleCheck is the id of a check of the kind, for a message.
func sampleCheck(k *catalogue.Kind) string {
	if k == nil || len(k.Checks) == 0 {
		return "..."
	}
	return k.Checks[0].ID
}

// bound is one numeric condition of a limit.
type bound struct {
	key string
	q   *units.Quantity
}

func bounds(l *fleet.Limit) []bound {
	all := []bound{{"at_least", l.AtLeast}, {"more_than", l.MoreThan}, {"at_most", l.AtMost}, {"less_than", l.LessThan}}
	return slices.DeleteFunc(all, func(b bound) bool { return b.q == nil })
}

// condition checks that there is exactly one condition.
func (c *checker) condition(path string, l *fleet.Limit) {
	set := bounds(l)
	var keys []string
	if l.Is != "" {
		keys = append(keys, "is")
	}
	for _, b := range set {
		keys = append(keys, b.key)
	}
	for _, key := range [...]string{"is", "at_least", "more_than", "at_most", "less_than"} {
		if c.Broken(path + "." + key) {
			return
		}
	}
	switch {
	case len(keys) == 0:
		c.Wrong(path, "the limit has no condition: add is (an answer), at_least, more_than, at_most or less_than")
	case len(keys) == 2 && keys[0] == "at_least" && keys[1] == "less_than":
		if d, err := l.AtLeast.Compare(*l.LessThan); err != nil || d >= 0 {
			c.Wrong(path+".less_than", "the band from %s to less than %s holds nothing: less_than must be the "+
				"larger, in the same sort of unit", l.AtLeast, l.LessThan)
		}
	case len(keys) > 1:
		c.Wrong(path, "the limit has the conditions %s at once: keep one, or at_least with less_than for a band",
			strings.Join(keys, " and "))
	}
}

// answer checks a limit's condition against how its check is answered.
func (c *checker) answer(path string, l *fleet.Limit, check *catalogue.Check) {
	answers := check.AnswerIDs()
	if l.Is != "" && check.Measured() {
		c.Wrong(path+".is", "check %s is answered by a figure (%s), not in words: write at_least, more_than, "+
			"at_most or less_than", check.ID, check.Unit)
	} else if l.Is != "" && !slices.Contains(answers, l.Is) {
		c.Wrong(path+".is", "check %s has no answer %q: %s", check.ID, l.Is, fleet.Instead(l.Is, answers))
	}
	for _, b := range bounds(l) {
		if !check.Measured() {
			c.Wrong(path+"."+b.key, "check %s is answered in words, not by a figure: write is and one of %s", check.ID,
				fleet.Offer(answers))
		} else if !check.Takes(*b.q) {
			c.Wrong(path+"."+b.key, "%s %q is of the wrong sort: check %s is answered by a %s, such as %s",
				b.key, b.q, check.ID, check.Dimension(), check.Dimension().Example())
		}
	}
}

func (c *checker) again(path string, a *fleet.Again) {
	if a.Distance == nil && a.Hours == nil && a.Time == nil && !c.Broken(path+".distance") && !c.Broken(path+".time") {
		c.Wrong(path, "%s is empty: add distance, time or both, such as {distance: 5000 km, time: 6 months}",
			lastKey(path))
	}
	c.counted(path, a.Distance, a.Hours)
}

// counted refuses figures that the vehicle does not count.
func (c *checker) counted(path string, distance, hours *units.Quantity) {
	switch {
	case distance != nil && c.v.Counts == fleet.ByHours:
		c.Wrong(path+".distance", "distance is %s, and this vehicle counts hours: write hours, such as hours: 250 h",
			distance)
	case hours != nil && c.v.Counts != fleet.ByHours:
		c.Wrong(path+".hours", "hours is %s, and this vehicle counts distance: write distance, such as "+
			"distance: 5000 km, or counts: hours at the head of the sheet", hours)
	}
}

// runs refuses a figure of another sort than the vehicle counts.
func (c *checker) runs(path string, q *units.Quantity) {
	want := c.v.Counts.Dimension()
	switch {
	case q == nil || q.Dimension() == want:
	case q.Dimension() == units.Number && want == units.Distance:
		c.Wrong(path, "%s %q has no unit: write %s km or %s mi", lastKey(path), q, q, q)
	default:
		c.Wrong(path, "%s is %q, and this vehicle counts %s: write it as in %s", lastKey(path), q, want, want.Example())
	}
}

// interval checks that an interval says what is due and when.
func (c *checker) interval(path string, v *fleet.Interval, kind *catalogue.Kind) {
	c.filled(path+".source", v.Source.String())
	for i, m := range v.Materials {
		c.material(item(path+".materials", i), m, kind)
	}
	if v.Do != fleet.DoReplace && v.Do != fleet.DoInspect {
		c.Wrong(path+".do", "do is %q: write replace or inspect", v.Do)
	}
	figures := v.Distance != nil || v.Hours != nil || v.Time != nil
	switch {
	case c.Broken(path+".distance") || c.Broken(path+".time") || v.DistanceTo != nil || v.HoursTo != nil ||
		v.TimeTo != nil:
	case !figures && !v.EachOilChange && !v.OnCondition:
		c.Wrong(path, "the interval has no figure: add distance, time or both, or each_oil_change: true, or "+
			"on_condition: true")
	case figures && v.OnCondition:
		c.Wrong(path+".on_condition",
			"on_condition says that the authority names no figure, and the interval has one: keep one of the two")
	}
	if v.EachOilChange && v.Do == fleet.DoReplace {
		c.Wrong(path+".each_oil_change",
			"each_oil_change is for do: inspect; for a replacement write the distance and time")
	}
	if v.NotBefore != nil && v.Distance == nil && !c.Broken(path+".distance") {
		c.Wrong(path+".not_before", "not_before holds back a distance, and the interval has none: add distance, "+
			"such as 100000 km")
	}
	c.counted(path, v.Distance, v.Hours)
	c.far(path+".distance_to", v.Distance, v.DistanceTo)
	c.far(path+".hours_to", v.Hours, v.HoursTo)
	c.far(path+".time_to", v.Time, v.TimeTo)
}

// far checks that the far end of a range lies beyond its near end.
func (c *checker) far(path string, near, end *units.Quantity) {
	if end == nil {
		return
	}
	if near == nil {
		key := strings.TrimSuffix(yamltree.LastKey(path), "_to")
		c.Wrong(path, "%s has no %s to begin from: add it", lastKey(path), key)
		return
	}
	if d, err := near.Compare(*end); err == nil && d >= 0 {
		c.Wrong(path, "%s is %s and the range begins at %s: write the larger figure here", lastKey(path), end,
			strconv.Quote(near.String()))
	}
}
