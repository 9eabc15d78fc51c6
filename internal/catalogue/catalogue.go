package catalogue

import (
	"slices"
	"strings"
	"sync"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/machine"
	"undertray.example/undertray/units"
)

// Catalogue is the knowledge a program works with: built-in and owner's own.
// It does not change once loaded and may be used by many goroutines; callers
// must not change what it returns.
type Catalogue struct {
	order []string
	slots map[string]*slot
	words words
	names func() *lexicon // how parts are called, gathered when first asked for
	forReaders
}

// slot holds one kind: as written, inheritance not yet followed, and whole.
// Each is worked out when first asked for.
type slot struct {
	written func() *Kind
	whole   func() *Kind
}

// words is everything but the kinds.
type words struct {
	Sources     []Source  `json:"sources"`
	Systems     []System  `json:"systems"`
	Symptoms    []Symptom `json:"symptoms"`
	Cautions    []Caution `json:"cautions"`
	Signs       []Sign    `json:"signs"`
	Undone      []Undoing `json:"undone"`
	Severe      Severe    `json:"severe"`
	HighVoltage string    `json:"high_voltage"`
	Lives       Reading   `json:"lives"`
	Precedence  []string  `json:"precedence"`
	Looks       Looks     `json:"looks"`
	Written     Written   `json:"written"`
}

func newCatalogue(w words) *Catalogue {
	c := &Catalogue{slots: map[string]*slot{}, words: w}
	c.names = sync.OnceValue(c.lexicon)
	return c
}

// put adds a kind or replaces the one with its id.
func (c *Catalogue) put(id string, written func() *Kind) {
	if _, ok := c.slots[id]; !ok {
		c.order = append(c.order, id)
	}
	c.slots[id] = &slot{
		written: sync.OnceValue(written),
		whole:   sync.OnceValue(func() *Kind { return c.resolve(id) }),
	}
}

// resolve follows inheritance. The loader has refused unknown and circular
// ancestors by the time anyone else asks.
func (c *Catalogue) resolve(id string) *Kind {
	chain := c.lineage(id)
	whole := Kind{}
	for _, k := range slices.Backward(chain) {
		whole = merge(whole, *k)
	}
	whole.Inherits, whole.Remove = chain[0].Inherits, nil
	if g := c.words.Looks.AtAGlance; g != nil {
		whole.glances = g.Checks
	}
	for i := range whole.Checks {
		whole.Checks[i].reader = c.reader
		for j := range whole.Checks[i].Limits {
			whole.Checks[i].Limits[j].Check = whole.Checks[i].ID
		}
	}
	return &whole
}

// lineage returns the kind as written and its ancestors, nearest first. It
// stops where an ancestor is unknown or met again.
func (c *Catalogue) lineage(id string) []*Kind {
	var chain []*Kind
	for s := c.slots[id]; s != nil; s = c.slots[chain[len(chain)-1].Inherits] {
		k := s.written()
		if slices.Contains(chain, k) {
			break
		}
		chain = append(chain, k)
	}
	return chain
}

// Kind returns the kind with this id, with all it inherits, or nil.
func (c *Catalogue) Kind(id string) *Kind {
	s := c.slots[id]
	if s == nil {
		return nil
	}
	return s.whole()
}

// Kinds returns every kind: by system, and within one in the order of the
// files.
func (c *Catalogue) Kinds() []*Kind {
	kinds := make([]*Kind, 0, len(c.order))
	for _, id := range c.order {
		kinds = append(kinds, c.Kind(id))
	}
	rank := map[string]int{}
	for i, s := range c.words.Systems {
		rank[s.ID] = i
	}
	slices.SortStableFunc(kinds, func(a, b *Kind) int { return rank[a.System] - rank[b.System] })
	return kinds
}

// KindIDs returns the ids of all kinds in the order of the files.
func (c *Catalogue) KindIDs() []string { return slices.Clone(c.order) }

// Source returns the source with this id, or nil.
func (c *Catalogue) Source(id string) *Source {
	for i := range c.words.Sources {
		if c.words.Sources[i].ID == id {
			return &c.words.Sources[i]
		}
	}
	return nil
}

// Sources returns every source.
func (c *Catalogue) Sources() []Source { return slices.Clone(c.words.Sources) }

// Systems returns the systems in the order they are shown.
func (c *Catalogue) Systems() []System { return slices.Clone(c.words.Systems) }

// Symptoms returns every symptom.
func (c *Catalogue) Symptoms() []Symptom { return slices.Clone(c.words.Symptoms) }

// Lives returns how intervals are read as lives.
func (c *Catalogue) Lives() Reading { return c.words.Lives }

// CautionOn returns what is said before a check on a vehicle: the check's own
// caution, and that of high voltage where the check comes near it and the
// vehicle has it or may have it.
func (c *Catalogue) CautionOn(v *fleet.Vehicle, check *Check) string {
	if !check.HighVoltage || !v.HighVoltage() {
		return check.Caution
	}
	return strings.TrimSpace(check.Caution + " " + c.words.HighVoltage)
}

// CautionsAt returns what is said where a round or a job comes to one of
// [CautionPlaces], in the order of the files.
func (c *Catalogue) CautionsAt(place string) []string {
	var out []string
	for i := range c.words.Cautions {
		if w := &c.words.Cautions[i]; slices.Contains(w.At, place) {
			out = append(out, w.Say)
		}
	}
	return out
}

// Signs returns what shows the driver that something fails, in the order of the
// files. The caller must not change it.
func (c *Catalogue) Signs() []Sign { return c.words.Signs }

// Undoing returns how something that work leaves undone is undone, or nil.
func (c *Catalogue) Undoing(u machine.Undone) *Undoing {
	i := slices.IndexFunc(c.words.Undone, func(o Undoing) bool { return o.State == u })
	if i < 0 {
		return nil
	}
	return &c.words.Undone[i]
}

// LeftBy returns what is still to do once something is undone that was left so:
// wheels that were loose are tightened again after some distance.
func (c *Catalogue) LeftBy(u machine.Undone) []machine.Undone {
	var out []machine.Undone
	for i := range c.words.Undone {
		if c.words.Undone[i].After == u {
			out = append(out, c.words.Undone[i].State)
		}
	}
	return out
}

// Severe returns what counts as severe service and by how much intervals
// shrink under it.
func (c *Catalogue) Severe() Severe { return c.words.Severe }

// Precedence returns which sort of advice goes before which, first first.
func (c *Catalogue) Precedence() []string { return slices.Clone(c.words.Precedence) }

// SystemName returns how a system is called, or its id.
func (c *Catalogue) SystemName(id string) string { return sayOf(c.words.Systems, id) }

// SymptomName returns how a symptom is called, or its id.
func (c *Catalogue) SymptomName(id string) string { return sayOf(c.words.Symptoms, id) }

// NeverLate reports whether no part of a system sets out past a limit.
func (c *Catalogue) NeverLate(system string) bool {
	return slices.ContainsFunc(c.words.Systems, func(s System) bool { return s.ID == system && s.NeverLate })
}

// word is a word that the catalogue's entries use by its id.
type word interface{ named() (id, say string) }

func (s System) named() (id, say string)  { return s.ID, s.Say }
func (c Caution) named() (id, say string) { return c.ID, c.Say }

func (s Sign) named() (id, say string)    { return s.ID, s.Say }
func (u Undoing) named() (id, say string) { return string(u.State), u.Do }
func (s Symptom) named() (id, say string) { return s.ID, s.Say }
func (s Source) named() (id, say string)  { return s.ID, s.What }

// sayOf returns how the word with an id is said, or its id.
func sayOf[W word](words []W, id string) string {
	for _, w := range words {
		if known, say := w.named(); known == id {
			return say
		}
	}
	return id
}

// Find returns the kinds whose id, name or other words contain the text, in
// any case, the closest match first; nil for no text.
func (c *Catalogue) Find(text string) []*Kind {
	text = c.Spelt(text)
	if text == "" {
		return nil
	}
	var exact, begins, contains []*Kind
	for _, k := range c.Kinds() {
		switch c.match(k, text) {
		case 3:
			exact = append(exact, k)
		case 2:
			begins = append(begins, k)
		case 1:
			contains = append(contains, k)
		}
	}
	return slices.Concat(exact, begins, contains)
}

// match says how well a kind answers to a text: 3 is it, 2 begins with it, 1
// contains it.
func (c *Catalogue) match(k *Kind, text string) int {
	best := 0
	for _, word := range append([]string{k.ID, k.Name, k.Plural}, k.Also...) {
		word = c.Spelt(word)
		switch {
		case word == text:
			return 3
		case strings.HasPrefix(word, text):
			best = max(best, 2)
		case strings.Contains(word, text):
			best = max(best, 1)
		}
	}
	return best
}

// NearestKind returns the id of the kind that looks most like id, or "".
func (c *Catalogue) NearestKind(id string) string { return fleet.Nearest(id, c.order) }

// Check returns the check with this id, or nil. A glance, which is none of the
// kind's own checks, is found too.
func (k *Kind) Check(id string) *Check {
	for _, list := range [][]Check{k.Checks, k.glances} {
		for i := range list {
			if list[i].ID == id {
				return &list[i]
			}
		}
	}
	return nil
}

// SoundCheck returns the check that a recording can answer, or nil.
func (k *Kind) SoundCheck() *Check {
	for i := range k.Checks {
		if k.Checks[i].Sound {
			return &k.Checks[i]
		}
	}
	return nil
}

// CheckIDs returns the ids of the kind's checks, in order.
func (k *Kind) CheckIDs() []string {
	ids := make([]string, len(k.Checks))
	for i := range k.Checks {
		ids[i] = k.Checks[i].ID
	}
	return ids
}

// CanBeOf reports whether a part of the kind can be of a material. "", not
// known, is always right.
func (k *Kind) CanBeOf(material string) bool {
	return material == "" || len(k.Materials) == 0 || slices.Contains(k.Materials, material)
}

// Limits returns the limits on all checks that hold for a material. A part of
// unknown material, "", is held to every material's limits.
func (k *Kind) Limits(material string) []*fleet.Limit {
	var out []*fleet.Limit
	for i := range k.Checks {
		for j := range k.Checks[i].Limits {
			if l := &k.Checks[i].Limits[j]; holdsFor(l.Materials, material) {
				out = append(out, l)
			}
		}
	}
	return out
}

func holdsFor(materials []string, material string) bool {
	return material == "" || len(materials) == 0 || slices.Contains(materials, material)
}

// SourceIDs returns the ids of every source the kind names, in order of first
// mention.
func (k *Kind) SourceIDs() []string {
	var out []string
	add := func(keys ...string) {
		for _, id := range keys {
			if !slices.Contains(out, id) {
				out = append(out, id)
			}
		}
	}
	for _, l := range k.Limits("") {
		add(l.Source...)
	}
	for i := range k.Intervals {
		add(k.Intervals[i].Source...)
	}
	for i := range k.Causes {
		add(k.Causes[i].Source...)
	}
	for i := range k.First {
		add(k.First[i].Source...)
	}
	for i := range k.With {
		add(k.With[i].Source...)
	}
	if k.Between != nil {
		add(k.Between.Source...)
	}
	for i := range k.After {
		add(k.After[i].Source...)
	}
	add(k.Sources...)
	return out
}

// Measured reports whether the check is answered by a figure.
func (c *Check) Measured() bool { return c.Type == Figure || c.Type == Count }

// Answer returns the answer with this id, or nil.
func (c *Check) Answer(id string) *Answer {
	for i := range c.Answers {
		if c.Answers[i].ID == id {
			return &c.Answers[i]
		}
	}
	return nil
}

// AnswerIDs returns the ids of the check's answers, in order.
func (c *Check) AnswerIDs() []string {
	ids := make([]string, len(c.Answers))
	for i := range c.Answers {
		ids[i] = c.Answers[i].ID
	}
	return ids
}

// Title returns a short heading: the check's name, or one made from its id.
func (c *Check) Title() string {
	if c.Name != "" {
		return c.Name
	}
	title := strings.ReplaceAll(c.ID, "-", " ")
	if title == "" {
		return ""
	}
	return strings.ToUpper(title[:1]) + title[1:]
}

// NoUnit stands for the unit of a bare figure, such as a pH.
const NoUnit = "number"

// Dimension returns what the check's figure measures: that of its unit, or a
// bare number where it has none. It is 0 for a check answered in
// words.
func (c *Check) Dimension() units.Dimension {
	if !c.Measured() {
		return 0
	}
	if c.Unit == "" || c.Unit == NoUnit {
		return units.Number
	}
	_, d, _ := units.Lookup(c.Unit)
	return d
}

// FigureUnit is the unit its figures are shown in, "" for bare ones.
func (c *Check) FigureUnit() string {
	if c.Unit == NoUnit {
		return ""
	}
	return c.Unit
}

// Takes reports whether a figure can answer the check: one of its dimension,
// or a percentage where limits are shares of a figure of the part.
func (c *Check) Takes(q units.Quantity) bool {
	d := q.Dimension()
	return d.IsValid() && (d == c.Dimension() || d == units.Percent && c.Of != "")
}
