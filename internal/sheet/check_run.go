package sheet

import (
	"slices"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/runwords"
	"undertray.example/undertray/internal/yamltree"
	"undertray.example/undertray/units"
)

// Words of a run and what they mean to package drive.
var (
	measures = map[string]drive.Measure{"outside": drive.Outside, "effective": drive.Effective,
		"over balls": drive.OverBalls, "plain": drive.Plain}
	tensionerKinds = map[string]drive.TensionerKind{"spring arm": drive.SpringArm, "spring slider": drive.SpringSlider,
		"sliding adjuster": drive.SlideAdjuster, "swinging adjuster": drive.SwingAdjuster, "fixed": drive.NoTensioner}
)

// isBelt says whether a kind is a belt; where nothing is known any kind may be.
func (c *checker) isBelt(id string) bool {
	if c.known == nil {
		return true
	}
	k := c.known.Kind(id)
	return k != nil && k.Belt != ""
}

func (c *checker) run(path string, r *fleet.Run) {
	c.filled(path+".name", r.Name)
	c.belt(path+".belt", r.Belt)
	c.runItself(path, r)
}

// runItself checks what a run says apart from the vehicle it is on.
func (c *checker) runItself(path string, r *fleet.Run) {
	if len(r.Pulleys) < 2 {
		c.Wrong(yamltree.Join(path, "pulleys"), "run %q has %d pulleys: a belt goes over at least two",
			cmpOr(r.ID, r.Name), len(r.Pulleys))
		return
	}
	c.oneOf(yamltree.Join(path, "turns"), r.Turns, []string{"clockwise", "anticlockwise"})
	if r.Section != "" {
		if _, err := drive.SectionNamed(r.Section); err != nil {
			c.Wrong(yamltree.Join(path, "section"), "section is %q: write PK, PJ, AV10, AV13 or flat", r.Section)
		}
	}
	if r.Ribs < 0 || r.Ribs > 40 {
		c.Wrong(yamltree.Join(path, "ribs"), "ribs is %d: count the ribs of the belt, 1 to 40", r.Ribs)
	}
	if r.Friction < 0 || r.Friction > 5 {
		c.Wrong(yamltree.Join(path, "friction"),
			"friction is %g: write a coefficient such as 0.3, or leave it out", r.Friction)
	}
	drivers := 0
	for i := range r.Pulleys {
		p := &r.Pulleys[i]
		at := item(yamltree.Join(path, "pulleys"), i)
		c.pulley(at, p)
		if p.Driver {
			drivers++
		}
		if drivers > 1 && p.Driver {
			c.Wrong(at+".driver", "pulley %q is a second driver of run %q: only the crank pulley drives", p.Name,
				cmpOr(r.ID, r.Name))
		}
	}
	if drivers == 0 {
		c.Wrong(yamltree.Join(path, "pulleys"), "run %q has no driver: add driver: true to the crank pulley",
			cmpOr(r.ID, r.Name))
	}
	if r.Tensioner != nil {
		c.tensioner(yamltree.Join(path, "tensioner"), r)
	}
	c.taken(yamltree.Join(path, "measures"), r)
}

// MeasureKinds are the kinds of a run's measures.
var MeasureKinds = []string{"diameter", "centres", "over", "gap", "belt"}

// taken checks what was measured on a run.
func (c *checker) taken(path string, r *fleet.Run) {
	var names, same []string
	for i := range r.Pulleys {
		names, same = append(names, r.Pulleys[i].Name), append(same, PulleyName(r.Pulleys[i].Name))
	}
	for i := range r.Measures {
		m, at := &r.Measures[i], item(path, i)
		if !slices.Contains(MeasureKinds, m.Kind) {
			c.Wrong(at+".kind", "kind is %q: %s", m.Kind, fleet.Instead(m.Kind, MeasureKinds))
			continue
		}
		of, and := m.Kind != "belt", m.Kind != "belt" && m.Kind != "diameter"
		for key, p := range map[string]struct {
			name  string
			wants bool
		}{"of": {m.Of, of}, "and": {m.And, and}} {
			switch {
			case !p.wants && p.name != "":
				c.Wrong(at+"."+key, "a measure of kind %s names no pulley under %q: leave the key out", m.Kind, key)
			case p.wants && !slices.Contains(same, PulleyName(p.name)):
				c.Wrong(at+"."+key, "%q names the pulley %q, which the run does not have: %s", key, p.name,
					fleet.Instead(p.name, names))
			}
		}
		if and && PulleyName(m.Of) == PulleyName(m.And) {
			c.Wrong(at+".and", "the measure goes from %q to itself: name two pulleys", m.Of)
		}
	}
}

func (c *checker) pulley(at string, p *fleet.Pulley) {
	c.filled(at+".name", p.Name)
	if p.Position != "" && c.v != nil {
		c.refer1(at+".position", p.Position)
	}
	if p.Side != "ribs" && p.Side != "back" {
		c.Wrong(at+".side", "side is %q: write ribs or back, whichever of the belt touches the pulley", p.Side)
	}
	c.oneOf(at+".measured", p.Measured, []string{"outside", "effective", "over balls", "plain"})
	if p.Power != nil && p.Torque != nil {
		c.Wrong(at+".torque", "pulley %q has a power and a torque: give one of them", p.Name)
	}
	if b := p.Bearing; b != nil && (b.Elements < 0 || b.Elements > 200 || b.Share < 0 || b.Share > 100) {
		c.Wrong(at+".bearing", "the bearing of pulley %q has %d elements and takes a share of %g: count its balls, "+
			"and give a share such as 0.5", p.Name, b.Elements, b.Share)
	}
}

// oneOf checks an optional word.
func (c *checker) oneOf(path, word string, known []string) {
	if word != "" && !slices.Contains(known, word) {
		c.Wrong(path, "%s is %q: %s", lastKey(path), word, fleet.Instead(word, known))
	}
}

func (c *checker) tensioner(path string, r *fleet.Run) {
	t := r.Tensioner
	kind, ok := tensionerKinds[t.Kind]
	if !ok {
		c.Wrong(path+".kind", "kind is %q: %s", t.Kind,
			fleet.Instead(t.Kind, []string{"spring arm", "spring slider", "sliding adjuster",
				"swinging adjuster", "fixed"}))
		return
	}
	if kind == drive.NoTensioner {
		return
	}
	names := make([]string, len(r.Pulleys))
	for i := range r.Pulleys {
		names[i] = r.Pulleys[i].Name
	}
	if !slices.Contains(names, t.Pulley) {
		c.Wrong(path+".pulley", "pulley names %q, which run %q does not have: %s", t.Pulley, cmpOr(r.ID, r.Name),
			fleet.Instead(t.Pulley, names))
	}
	moves, spring := units.Length, units.Force
	if kind.Swings() {
		moves, spring = units.Angle, units.Torque
	}
	c.measures(path+".low", t.Low, moves)
	c.measures(path+".high", t.High, moves)
	c.measures(path+".spring", t.Spring, spring)
	c.measures(path+".rise", t.Rise, spring)
	for i := range t.Marks {
		c.measures(item(path+".marks", i)+".at", &t.Marks[i].At, moves)
	}
	if t.Low != nil && t.Low.Base() > 0 {
		c.Wrong(path+".low", "low is %s: it is 0 or less, counted from where the pulley is drawn", t.Low)
	}
	if t.High != nil && t.High.Base() < 0 {
		c.Wrong(path+".high", "high is %s: it is 0 or more, counted from where the pulley is drawn", t.High)
	}
}

// measures checks that an optional figure is of the dimension that the kind of
// tensioner asks for.
func (c *checker) measures(path string, q *units.Quantity, d units.Dimension) {
	if q != nil && !q.IsZero() && q.Dimension() != d {
		c.Wrong(path, "%s is %s: this kind of tensioner is measured by %s, such as %s", lastKey(path),
			q, d, d.Example())
	}
}

// missing says what of a tensioner is not measured yet, or nothing.
func missing(t *fleet.Tensioner) string {
	kind := tensionerKinds[t.Kind]
	switch {
	case kind == drive.NoTensioner:
		return ""
	case kind.Swings() && (t.PivotX == nil || t.PivotY == nil):
		return "the pivot of the tensioner is not measured: add pivot_x and pivot_y"
	case !kind.Swings() && t.Slide == nil:
		return "the direction of the slide is not measured: add slide, in degrees anticlockwise from the x axis"
	case t.Low == nil && t.High == nil:
		return "the stops of the tensioner are not measured: add low and high"
	}
	return ""
}

// runs warns of runs that are not whole yet or cannot be as they are written.
func (w *warner) runs() {
	for i := range w.v.Runs {
		r := &w.v.Runs[i]
		var kind *catalogue.Kind
		part := fleet.PartSpec{}
		if p := w.v.Position(r.Belt); p != nil {
			part = p.Part
			if w.known != nil {
				kind = w.known.Kind(p.Kind)
			}
		}
		w.runItself(item("runs", i), r, BeltOf(r, kind, part))
	}
}

// runItself puts a run to package drive and warns of its reasons.
func (w *warner) runItself(path string, r *fleet.Run, belt BeltFacts) {
	run, unmeasured := DriveRun(r, belt.Belt)
	if unmeasured != "" {
		w.warn(yamltree.Join(path, "tensioner"), "run %q: %s; until then the run is worked out as drawn",
			cmpOr(r.ID, r.Name), unmeasured)
	}
	_, err := drive.New(run)
	for _, refusal := range drive.Refusals(err) {
		w.warn(w.pulleyPath(path, r, refusal), "run %q cannot be worked out: %s", cmpOr(r.ID, r.Name),
			runwords.Whole(refusal))
	}
}

// pulleyPath is where the pulley that a refusal is about stands.
func (w *warner) pulleyPath(path string, r *fleet.Run, refusal *drive.Refusal) string {
	for _, name := range refusal.Pulleys {
		if i := slices.IndexFunc(r.Pulleys, func(p fleet.Pulley) bool { return PulleyName(p.Name) == name }); i >= 0 {
			return item(yamltree.Join(path, "pulleys"), i)
		}
	}
	return yamltree.Join(path, "pulleys")
}

func cmpOr(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// belt checks that a run's belt is a position that holds a belt.
func (c *checker) belt(path, id string) {
	at, ok := c.positions[id]
	if !ok && c.Broken("positions") {
		return
	}
	if !ok {
		var belts []string
		for i := range c.v.Positions {
			if c.isBelt(c.v.Positions[i].Kind) {
				belts = append(belts, c.v.Positions[i].ID)
			}
		}
		c.Wrong(path, "belt names the position %q, which the sheet does not have: %s", id, fleet.Instead(id, belts))
		return
	}
	if p := c.v.Position(id); !c.isBelt(p.Kind) && !c.Broken(at+".kind") {
		c.Wrong(path, "position %q is a %s: a run's belt is a position of a belt kind, such as ribbed-belt or v-belt",
			id, p.Kind)
	}
}

// refer1 checks one reference to a position.
func (c *checker) refer1(path, id string) {
	if _, ok := c.positions[id]; !ok && !c.Broken("positions") {
		c.Wrong(path, "%s names the position %q, which the sheet does not have: %s", lastKey(path), id,
			fleet.Instead(id, keysOf(c.positions)))
	}
}
