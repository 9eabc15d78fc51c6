package catalogue

import (
	"fmt"
	"slices"
	"strings"

	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/yamltree"
	"undertray.example/undertray/units"
)

// validator checks what one file says against the catalogue it is part of.
type validator struct {
	c        *Catalogue
	d        *document
	sources  []string
	systems  []string
	symptoms []string
}

func newValidator(c *Catalogue, d *document) *validator {
	return &validator{c: c, d: d, sources: wordIDs(c.words.Sources), systems: wordIDs(c.words.Systems),
		symptoms: wordIDs(c.words.Symptoms)}
}

func wordIDs[W word](words []W) []string {
	ids := make([]string, len(words))
	for i, w := range words {
		ids[i], _ = w.named()
	}
	return ids
}

func (v *validator) all() {
	b := &v.d.body
	namedWords(v, "systems", "word", "say", b.Systems)
	namedWords(v, "symptoms", "word", "say", b.Symptoms)
	for i, s := range b.Symptoms {
		if path := fmt.Sprintf("symptoms.%d.together", i); s.Together != nil {
			v.text(path, "sign", s.Together.Sign)
			v.text(path, "look", s.Together.Look)
		}
	}
	namedWords(v, "signs", "sign", "say", b.Signs)
	for i, s := range b.Signs {
		path := fmt.Sprintf("signs.%d", i)
		v.oneOf(yamltree.Join(path, "do"), "action (do)", s.Do, Advices())
		v.text(path, "then", s.Then)
		v.source(path, s.Source, "")
	}
	namedWords(v, "cautions", "caution", "say", b.Cautions)
	for i, c := range b.Cautions {
		path := fmt.Sprintf("cautions.%d", i)
		if len(c.At) == 0 {
			v.d.Note(yamltree.Join(path, "at"), "a caution is said somewhere: write one or more of %s",
				strings.Join(CautionPlaces(), ", "))
		}
		for k, at := range c.At {
			v.oneOf(fmt.Sprintf("%s.at.%d", path, k), "place", at, CautionPlaces())
		}
		v.source(path, c.Source, "")
	}
	for i, u := range b.Undone {
		path := fmt.Sprintf("undone.%d", i)
		v.text(path, "do", u.Do)
		v.source(path, u.Source, "")
		if u.State == "" {
			v.d.Note(yamltree.Join(path, "state"), "state is missing: say what this undoes")
		}
		if path = yamltree.Join(path, "meanwhile"); u.Meanwhile != nil {
			v.text(path, "do", u.Meanwhile.Do)
			v.source(path, u.Meanwhile.Source, "")
		}
	}
	namedWords(v, "sources", "source", "what", b.Sources)
	for i, s := range b.Sources {
		v.oneOf(fmt.Sprintf("sources.%d.seen", i), "seen", s.Seen, degrees())
	}
	if b.Severe != nil {
		v.severe(b.Severe)
	}
	if b.Lives != nil {
		v.lives(b.Lives)
	}
	if b.Looks != nil {
		v.looks(b.Looks)
	}
	if b.Written != nil {
		v.written(b.Written)
	}
	seen := idSet{}
	for i := range b.Kinds {
		path := fmt.Sprintf("kinds.%d", i)
		if v.id(path, "kind", b.Kinds[i].ID, seen) {
			v.kind(path, &b.Kinds[i])
		}
	}
}

// degrees are the ways a source can be known.
func degrees() []string {
	return []string{"seen", "second-hand", "from memory", "common practice", "computed"}
}

func (v *validator) severe(s *Severe) {
	for key, factor := range map[string]float64{"distance": s.Distance, "time": s.Time, "time_to": s.TimeTo} {
		if factor <= 0 || factor > 1 {
			v.d.Note("severe."+key, "%s is %g: severe service shortens an interval, write a factor between 0 and 1",
				key, factor)
		}
	}
	v.source("severe", s.Source, "")
}

// idSet remembers the ids of one list.
type idSet map[string]bool

// id checks an id and that it stands once in its list.
func (v *validator) id(path, key, id string, seen idSet) bool {
	if id == "" {
		v.d.Note(path, "this entry has no %s: give it a short name such as %s: top-hose", idKey(key), idKey(key))
		return false
	}
	if !isID(id) {
		v.d.Note(path, "the name %q holds other characters than a to z, 0 to 9 and -: take them out", id)
		return false
	}
	if seen[id] {
		v.d.Note(path, "%q stands twice in this list: merge the two entries", id)
		return false
	}
	seen[id] = true
	return true
}

// isID reports whether a text can name an entry.
func isID(s string) bool {
	return s != "" && strings.Trim(s, "abcdefghijklmnopqrstuvwxyz0123456789-") == ""
}

func idKey(key string) string {
	if key == "kind" {
		return "kind"
	}
	return "id"
}

// namedWords checks a list of words: each has an id and is said somehow.
func namedWords[W word](v *validator, path, key, sayKey string, list []W) {
	seen := idSet{}
	for i, w := range list {
		at := fmt.Sprintf("%s.%d", path, i)
		id, say := w.named()
		v.id(at, key, id, seen)
		v.text(at, sayKey, say)
	}
}

// missing notes that a field is not there, unless it is and could not be read.
func (v *validator) missing(path, key, format string, args ...any) {
	if !v.d.Broken(yamltree.Join(path, key)) {
		v.d.Note(path, format, args...)
	}
}

// text refuses an empty field.
func (v *validator) text(path, key, value string) {
	if value == "" {
		v.missing(path, key, "%s is missing: add a line %s: ...", key, key)
	}
}

// oneOf refuses a word that is not in the list.
func (v *validator) oneOf(path, what, word string, known []string) {
	switch {
	case word == "":
		v.d.Note(path, "%s is missing: %s", what, fleet.Instead("", known))
	case !slices.Contains(known, word):
		v.d.Note(path, "%q is not a known %s: %s", word, what, fleet.Instead(word, known))
	}
}

// among refuses a word of a field that may be left out, unless it is in the
// list.
func among[S ~string](v *validator, path, key string, word S, known []S) {
	if word == "" || slices.Contains(known, word) {
		return
	}
	words := make([]string, len(known))
	for i, k := range known {
		words[i] = string(k)
	}
	v.d.Note(yamltree.Join(path, key), "%s is %q: %s", key, word, fleet.Instead(string(word), words))
}

// source checks a source field. What an owner says on their own authority may
// rest on anything they put in words.
func (v *validator) source(path string, sources fleet.Sources, authority fleet.Authority) {
	if len(sources) == 0 {
		v.missing(path, "source", "source is missing: name the document or body of knowledge it rests on")
		return
	}
	if authority == fleet.Owner {
		return
	}
	for i, id := range sources {
		if !slices.Contains(v.sources, id) {
			v.d.Note(fmt.Sprintf("%s.source.%d", path, i), "%q is not a known source: %s", id,
				fleet.Instead(id, v.sources))
		}
	}
}

func (v *validator) kind(path string, k *Kind) {
	whole := v.c.Kind(k.ID)
	if !v.inherits(path, k) || v.misspelt(path, k) {
		return
	}
	v.text(path, "name", whole.Name)
	v.oneOf(yamltree.Join(path, "system"), "system", whole.System, v.systems)
	v.remove(path, k)
	among(v, path, "drawn", k.Drawn, draw.Shapes())
	among(v, path, "belt", k.Belt, BeltSections())
	among(v, path, "loaded_by", k.LoadedBy, []string{ByAirConditioning})
	among(v, path, "oil_change", k.OilChange, []string{SetsOilChange, JoinsOilChange})
	for i, s := range k.Spec {
		v.unit(fmt.Sprintf("%s.spec.%d.unit", path, i), s.Unit)
	}
	seen := idSet{}
	for i := range k.Checks {
		at := fmt.Sprintf("%s.checks.%d", path, i)
		if v.id(at, "check", k.Checks[i].ID, seen) {
			v.check(at, whole, &k.Checks[i])
		}
	}
	for i := range k.Intervals {
		v.interval(fmt.Sprintf("%s.intervals.%d", path, i), whole, &k.Intervals[i])
	}
	v.advice(path, k)
	v.complete(path, whole)
}

// inherits checks where a kind takes its knowledge from.
func (v *validator) inherits(path string, k *Kind) bool {
	if k.Inherits == "" {
		return true
	}
	if v.c.slots[k.Inherits] == nil {
		v.d.Note(yamltree.Join(path, "inherits"), "%q is not a known kind: %s", k.Inherits,
			fleet.Instead(k.Inherits, v.c.order))
		return false
	}
	chain := v.c.lineage(k.ID)
	if last := chain[len(chain)-1]; last.Inherits != "" {
		v.d.Note(yamltree.Join(path, "inherits"),
			"%s inherits itself by way of %s: take one of them out", k.ID, last.ID)
		return false
	}
	return true
}

// misspelt notes a kind that is neither known nor told whole.
func (v *validator) misspelt(path string, k *Kind) bool {
	if whole := v.c.Kind(k.ID); whole.Name != "" || len(whole.Checks) > len(k.Checks) {
		return false
	}
	others := slices.DeleteFunc(v.c.KindIDs(), func(id string) bool { return id == k.ID })
	v.d.Note(path, "%q is not a known kind: %s A new kind needs at least name, system, checks and intervals.", k.ID,
		orNothing(fleet.Nearest(k.ID, others)))
	return true
}

// misspeltCheck notes a check that is neither known nor told whole.
func (v *validator) misspeltCheck(path string, k *Kind, c *Check) bool {
	if c.Question != "" || c.How != "" || c.Sense != "" {
		return false
	}
	others := slices.DeleteFunc(k.CheckIDs(), func(id string) bool { return id == c.ID })
	v.d.Note(path, "%q is not a check of the kind %q: %s A new check needs at least sense, question, how, and "+
		"answers or limits on a figure.", c.ID, k.ID, orNothing(fleet.Nearest(c.ID, others)))
	return true
}

func orNothing(near string) string {
	if near == "" {
		return "nothing known is called alike."
	}
	return fmt.Sprintf("did you mean %q?", near)
}

func (v *validator) remove(path string, k *Kind) {
	var known []string
	for _, ancestor := range v.c.lineage(k.ID) {
		for i := range ancestor.Checks {
			known = append(known, ancestor.Checks[i].ID)
		}
		known = append(known, ancestor.Remove...) // removed already: no harm in saying so again
	}
	for i, id := range k.Remove {
		if ancestors := v.inheritedChecks(k); !slices.Contains(ancestors, id) && !slices.Contains(known, id) {
			v.d.Note(fmt.Sprintf("%s.remove.%d", path, i), "%q is not a check to be left out: %s", id,
				fleet.Instead(id, known))
		}
	}
}

// inheritedChecks lists the checks of the kind's parent.
func (v *validator) inheritedChecks(k *Kind) []string {
	if parent := v.c.Kind(k.Inherits); parent != nil {
		return parent.CheckIDs()
	}
	return nil
}

// complete checks that a kind, with all it inherits, says enough to judge by.
func (v *validator) complete(path string, k *Kind) {
	if len(k.Checks) == 0 {
		v.d.Note(path, "the kind %q has no check: say what is looked at, felt, listened to or measured", k.ID)
	}
	if !slices.ContainsFunc(k.Intervals, func(iv fleet.Interval) bool { return iv.Do == fleet.DoReplace }) {
		v.d.Note(path, "the kind %q has no interval for replacing it: give one, or one with on_condition: true", k.ID)
	}
	if !slices.ContainsFunc(k.Intervals, func(iv fleet.Interval) bool { return iv.Do == fleet.DoInspect }) {
		v.d.Note(path, "the kind %q has no interval for inspecting it: give one, such as each_oil_change: true", k.ID)
	}
}

func (v *validator) check(path string, k *Kind, written *Check) {
	c := k.Check(written.ID)
	if c == nil || v.misspeltCheck(path, k, c) { // nil: removed again by a later file
		return
	}
	v.oneOf(yamltree.Join(path, "sense"), "sense", c.Sense, Senses())
	v.text(path, "question", c.Question)
	v.text(path, "how", c.How)
	v.answered(path, k, c)
	if written.Symptom != "" {
		v.oneOf(yamltree.Join(path, "symptom"), "symptom", written.Symptom, v.symptoms)
	}
	among(v, path, "run", written.Run, RunTells())
	v.answers(path, c, written)
	v.wear(yamltree.Join(path, "wear"), c, written.Wear)
	v.photograph(yamltree.Join(path, "photograph"), k, c, written.Photograph)
	v.bounds(yamltree.Join(path, "possible"), c, written.Possible, nil)
	v.bounds(yamltree.Join(path, "likely"), c, written.Likely, c.Possible)
	for i := range written.Limits {
		v.limit(fmt.Sprintf("%s.limits.%d", path, i), k, c, &written.Limits[i])
	}
}

// answered checks that a check says how it is answered, and in that way alone.
func (v *validator) answered(path string, k *Kind, c *Check) {
	switch {
	case c.Type == "":
		v.missing(path, "answer", "the check %q does not say how it is answered: add answer: choice with its "+
			"answers, or answer: figure with a unit", c.ID)
	case !slices.Contains(AnswerTypes(), c.Type):
		among(v, path, "answer", c.Type, AnswerTypes())
	case c.Type == Choice && len(c.Answers) == 0:
		v.d.Note(path, "the check %q is a choice without answers: list them, each with id and say", c.ID)
	case c.Type == Choice && c.Unit != "":
		v.d.Note(path, "the check %q is a choice and has a unit: take the unit out, or write answer: figure", c.ID)
	case c.Measured() && len(c.Answers) > 0:
		v.d.Note(path, "the check %q is answered by a figure and has answers: take them out, or write answer: choice",
			c.ID)
	case c.Measured() && len(c.Limits) == 0:
		v.d.Note(path, "the check %q has no limit: say at which figure something follows", c.ID)
	case c.Measured():
		v.figure(path, k, c)
	}
}

// figure checks a check answered by a figure.
func (v *validator) figure(path string, k *Kind, c *Check) {
	v.unit(yamltree.Join(path, "unit"), c.Unit)
	if c.Of == "" {
		return
	}
	v.oneOf(yamltree.Join(path, "of"), "figure of the part (spec)", c.Of, specIDs(k))
}

func specIDs(k *Kind) []string {
	ids := make([]string, len(k.Spec))
	for i, s := range k.Spec {
		ids[i] = s.ID
	}
	return ids
}

func (v *validator) answers(path string, c, written *Check) {
	seen := idSet{}
	for i, a := range written.Answers {
		at := fmt.Sprintf("%s.answers.%d", path, i)
		v.id(at, "answer", a.ID, seen)
		v.text(at, "say", a.Say)
		if a.Plate != "" && a.NoPlate != "" {
			v.d.Note(yamltree.Join(at, "no_plate"), "the answer %q has a plate and says why it has none: take one out",
				a.ID)
		}
		if a.Symptom == "" {
			continue
		}
		v.oneOf(yamltree.Join(at, "symptom"), "symptom", a.Symptom, v.symptoms)
		if !slices.ContainsFunc(c.Limits, func(l fleet.Limit) bool { return l.Is == a.ID }) {
			v.d.Note(at, "the answer %q is a sign of %s, but no limit says what follows: add a limit with is: %s",
				a.ID, a.Symptom, a.ID)
		}
	}
}

// unit checks a unit; none, or number, stands for a bare figure.
func (v *validator) unit(path, unit string) {
	if unit == "" || unit == NoUnit {
		return
	}
	if _, _, ok := units.Lookup(unit); !ok {
		v.d.Note(path, "%q is not a unit: write one such as mm, %%, psi or per 75 mm", unit)
	}
}

// startsMost is the last place among what the engine is first run for.
const startsMost = 3

// advice checks causes and what is done before, along with and after a change.
func (v *validator) advice(path string, k *Kind) {
	if k.Life != nil {
		v.life(yamltree.Join(path, "life"), k.Life)
	}
	for i := range k.Contradictions {
		v.contradiction(fmt.Sprintf("%s.contradictions.%d", path, i), k, &k.Contradictions[i])
	}
	if u := k.IfUnknown; u != nil {
		v.text(yamltree.Join(path, "if_unknown"), "says", u.Says)
		v.source(yamltree.Join(path, "if_unknown"), u.Source, "")
	}
	if k.Driven != nil {
		v.driven(yamltree.Join(path, "driven"), k.Driven)
	}
	for i, c := range k.Causes {
		at := fmt.Sprintf("%s.causes.%d", path, i)
		v.oneOf(yamltree.Join(at, "of"), "symptom", c.Of, v.symptoms)
		if len(c.Likely) == 0 {
			v.d.Note(at, "likely is missing: list what brings it about, likeliest first")
		}
		v.source(at, c.Source, "")
	}
	for i, f := range k.First {
		at := fmt.Sprintf("%s.first.%d", path, i)
		v.when(at, f.When)
		v.text(at, "do", f.Do)
		v.source(at, f.Source, "")
	}
	for i := range k.With {
		v.with(fmt.Sprintf("%s.with.%d", path, i), &k.With[i])
	}
	if k.Set != nil {
		v.set(yamltree.Join(path, "set"), k)
	}
	for i, u := range k.Leaves {
		if v.c.Undoing(u) == nil {
			v.d.Note(fmt.Sprintf("%s.leaves.%d", path, i), "nothing says how %s is undone: add it under undone", u)
		}
	}
	if k.Between != nil {
		v.text(yamltree.Join(path, "between"), "do", k.Between.Do)
		v.text(yamltree.Join(path, "between"), "new", k.Between.New)
		v.source(yamltree.Join(path, "between"), k.Between.Source, "")
	}
	for i, a := range k.After {
		at := fmt.Sprintf("%s.after.%d", path, i)
		v.text(at, "do", a.Do)
		v.source(at, a.Source, "")
		if a.Starts < 0 || a.Starts > startsMost {
			v.d.Note(at, "starts is %d: write its place among first starts, 1 to %d", a.Starts, startsMost)
		}
	}
	for i, s := range k.Sources {
		if !slices.Contains(v.sources, s) {
			v.d.Note(fmt.Sprintf("%s.sources.%d", path, i), "%q is not a known source: %s", s,
				fleet.Instead(s, v.sources))
		}
	}
}

func (v *validator) when(path string, symptoms []string) {
	for i, s := range symptoms {
		v.oneOf(fmt.Sprintf("%s.when.%d", path, i), "symptom", s, v.symptoms)
	}
}

// set checks that what is sold as one with a kind is changed along with it.
func (v *validator) set(path string, k *Kind) {
	v.text(path, "name", k.Set.Name)
	v.source(path, k.Set.Source, "")
	if len(k.Set.Kinds) == 0 {
		v.d.Note(path, "kinds is missing: list the kinds that are sold with it")
	}
	for i, id := range k.Set.Kinds {
		along := slices.ContainsFunc(k.With, func(w With) bool { return !w.Inspect && slices.Contains(w.Kinds, id) })
		if !along {
			v.d.Note(fmt.Sprintf("%s.kinds.%d", path, i),
				"%q is not changed along with it: add it under with first", id)
		}
	}
}

func (v *validator) with(path string, w *With) {
	v.when(path, w.When)
	v.text(path, "say", w.Say)
	v.source(path, w.Source, "")
	for i, id := range w.Kinds {
		v.oneOf(fmt.Sprintf("%s.kinds.%d", path, i), "kind", id, v.c.order)
	}
	if len(w.Kinds) > 0 {
		v.oneOf(yamltree.Join(path, "where"), "place (where)", w.Where, []string{OnRun, InSystem, Neighbour, OnVehicle})
	}
	if w.Age != "" && w.Age != SameAge {
		v.d.Note(yamltree.Join(path, "age"), "age is %q: write same, or use older_than with a time", w.Age)
	}
	if q := w.OlderThan; q != nil &&
		(q.Dimension() != units.TimeSpan && q.Dimension() != units.Distance || q.Base() <= 0) {
		v.d.Note(yamltree.Join(path, "older_than"), "older_than is %q: write a time or a distance such as 5 years", q)
	}
}
