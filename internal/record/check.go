package record

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// checker finds what is wrong with entries that are about to be recorded.
type checker struct {
	vehicle   *fleet.Vehicle
	catalogue *catalogue.Catalogue
	today     civil.Date
	before    []*fleet.Entry // all of the vehicle's, where one is corrected or a part was once off
	with      []*fleet.Entry // those recorded together
}

func invalid(where string, msg, hint message.Text) error {
	return &fleet.Error{Kind: fleet.Invalid, Where: where, Msg: msg, Hint: hint}
}

// entry returns the faults of one entry in itself.
func (c *checker) entry(e *fleet.Entry) []error {
	var errs []error
	if !e.Date.IsValid() {
		errs = append(errs, invalid("date", "the entry has no valid date", "write it as 2026-11-25"))
	} else if err := future(e, c.today); err != nil {
		errs = append(errs, err)
	}
	for _, err := range []error{beyond(e), told(e)} {
		if err != nil {
			errs = append(errs, err)
		}
	}
	errs = append(errs, c.readings(e)...)
	return append(errs, c.body(e)...)
}

// readings wants what the vehicle's instrument shows, and none of the other sort.
func (c *checker) readings(e *fleet.Entry) []error {
	counts := c.vehicle.Counts
	figures := map[string]*units.Quantity{"odometer": e.Odometer}
	if e.Fitted != nil && e.Fitted.Since != nil {
		figures["since"] = e.Fitted.Since.Total
	}
	if in := e.Instrument; in != nil {
		figures["old"], figures["new"] = &in.Old, &in.New
	}
	var errs []error
	for _, where := range slices.Sorted(maps.Keys(figures)) {
		if q := figures[where]; q != nil && !counts.Reads(*q) {
			errs = append(errs, invalid(where, message.Of("%q is not an %s reading", q, counts.Meter()),
				message.Of("write it as %s", counts.Example())))
		}
	}
	return errs
}

func (c *checker) body(e *fleet.Entry) []error {
	switch {
	case e.Type == fleet.TypeOdometer:
		return c.odometer(e)
	case e.Type == fleet.TypeFitted && e.Fitted != nil:
		return c.fitted(e.Fitted)
	case e.Type == fleet.TypeFound && e.Found != nil:
		return append(c.found(e.Found, e.Sure), c.once(e)...)
	case e.Type == fleet.TypeDone && e.Done != nil:
		return c.done(e.Done)
	case e.Type == fleet.TypeNote && e.Note != nil:
		return c.note(e.Note)
	case e.Type == fleet.TypeWish && e.Wish != nil:
		return c.wish(e.Wish)
	case e.Type == fleet.TypeAside && e.Aside != nil:
		return c.aside(e.Aside)
	case e.Type == fleet.TypeOpened && e.Opened != nil:
		return c.opened(e.Opened)
	case e.Type == fleet.TypeAboard && e.Aboard != nil:
		return c.aboard(e.Aboard)
	case e.Type == fleet.TypeWork && e.Work != nil:
		return c.work(e.Work)
	case e.Type == fleet.TypePicture && e.Picture != nil:
		return c.picture(e.Picture)
	case e.Type == fleet.TypeMark && e.Mark != nil:
		return c.mark(e.Mark)
	case e.Type == fleet.TypeBought && e.Bought != nil:
		return c.bought(e.Bought)
	case e.Type == fleet.TypeCorrection && e.Correction != nil:
		return c.correction(e.Correction)
	}
	return []error{invalid("type", message.Of("an entry of type %q has no content of that type", e.Type), "")}
}

func (c *checker) odometer(e *fleet.Entry) []error {
	if e.Odometer == nil && e.Instrument == nil {
		return []error{invalid("odometer", "the entry has no reading",
			message.Of("write it as %s", c.vehicle.Counts.Example()))}
	}
	return nil
}

func (c *checker) position(id string) (*fleet.Position, error) {
	if p := c.vehicle.Position(id); p != nil {
		return p, nil
	}
	ids := make([]string, len(c.vehicle.Positions))
	for i := range c.vehicle.Positions {
		ids[i] = c.vehicle.Positions[i].ID
	}
	hint := message.Text("see the positions in the vehicle sheet")
	if near := fleet.Nearest(id, ids); near != "" {
		hint = message.Of("did you mean %q?", near)
	}
	return nil, &fleet.Error{Kind: fleet.NotFound, Where: "position",
		Msg: message.Of("%s has no position %q", c.vehicle.Name, id), Hint: hint}
}

func (c *checker) fitted(f *fleet.Fitted) []error {
	var errs []error
	if p, err := c.position(f.Position); err != nil {
		errs = append(errs, err)
	} else if kind := c.catalogue.Kind(p.Kind); kind != nil {
		if err := Material(kind, f.Part.Material); err != nil {
			errs = append(errs, err)
		}
	}
	if f.Known == fleet.Told && (f.Since == nil || f.Since.Date.IsZero() && f.Since.Total == nil) {
		errs = append(errs, invalid("since", "told history needs the date or the distance it was fitted at",
			"give either, or record the part as of unknown history"))
	}
	if f.Removed != fleet.RemovedUnknown && !slices.Contains(fleet.Removals(), f.Removed) {
		errs = append(errs, invalid("removed", message.Of("%q is not a reason for a removal", f.Removed),
			message.Of("write one of %s", joined(fleet.Removals()))))
	}
	return append(errs, c.cost(f.Part.Cost)...)
}

func (c *checker) cost(q *units.Quantity) []error {
	if q != nil && q.Dimension() != units.Money {
		return []error{invalid("cost", message.Of("%q is not a sum of money", q), "write it as 38.50 EUR")}
	}
	return nil
}

func (c *checker) found(f *fleet.Found, sure bool) []error {
	p, err := c.position(f.Position)
	if err != nil {
		return []error{err}
	}
	kind := c.catalogue.Kind(p.Kind)
	if kind == nil {
		return []error{&fleet.Error{Kind: fleet.NotFound, Msg: message.Of("the catalogue has no kind %q", p.Kind)}}
	}
	check := kind.Check(f.Check)
	if check == nil {
		return []error{unknownCheck(kind, f.Check)}
	}
	if errs := c.answer(p, check, f); len(errs) > 0 {
		return errs
	}
	if err := implausible(p, check, f, sure); err != nil {
		return []error{err}
	}
	return c.counted(check, f.Counted)
}

// implausible refuses a figure that cannot be, and one that is seldom right
// unless the owner is sure of it.
func implausible(p *fleet.Position, check *catalogue.Check, f *fleet.Found, sure bool) error {
	if f.Value == nil {
		return nil
	}
	where := p.ID + " " + check.ID
	if b := check.Possible; !b.Hold(*f.Value) {
		return invalid(where, message.Of("%s cannot be: it is outside %s", f.Value, check.Span(b)),
			cmp.Or(message.Name(b.Says), "look at the figure and its unit again"))
	}
	if b := check.Likely; !sure && !b.Hold(*f.Value) {
		hint := message.Text("Look again, and if it is so, say that you are sure: --sure, or the tick on the page")
		if b.Says != "" {
			hint = message.Of("%s %s", b.Says, hint)
		}
		return invalid(where, message.Of("%s is unlikely: it is seldom outside %s", f.Value, check.Span(b)), hint)
	}
	return nil
}

func unknownCheck(kind *catalogue.Kind, id string) error {
	ids := kind.CheckIDs()
	hint := message.Of("its checks are %s", strings.Join(ids, ", "))
	if near := fleet.Nearest(id, ids); near != "" {
		hint = message.Of("did you mean %q? %s", near, hint)
	}
	return &fleet.Error{Kind: fleet.NotFound, Where: "check",
		Msg: message.Of("%s has no check %q", kind.Name, id), Hint: hint}
}

func (c *checker) answer(p *fleet.Position, check *catalogue.Check, f *fleet.Found) []error {
	where := p.ID + " " + check.ID
	if !check.Measured() {
		ids := check.AnswerIDs()
		if f.Value != nil || !slices.Contains(ids, f.Answer) {
			return []error{invalid(where, message.Of("%q is not an answer to %q", f.Answer, check.Question),
				message.Of("answer one of %s", strings.Join(ids, ", ")))}
		}
		return nil
	}
	if f.Value == nil {
		return []error{invalid(where, message.Of("%q wants a figure", check.Question),
			message.Of("give it in %s", check.Unit))}
	}
	if !check.Takes(*f.Value) {
		return []error{invalid(where, message.Of("%q does not answer %q", f.Value, check.Question),
			message.Of("give a figure in %s", check.Unit))}
	}
	return nil
}

// counted checks that a check can be counted, or measured, on a photograph, and that the picture is there.
func (c *checker) counted(check *catalogue.Check, of *fleet.Counted) []error {
	switch {
	case of == nil:
		return nil
	case check.Photograph == nil, (of.By == fleet.ByOutline) != (check.Photograph.Of != catalogue.OfCracks):
		return []error{invalid("counted", message.Of("%q is not counted on a photograph", check.Question),
			"leave out how it was counted")}
	}
	return c.mark(&fleet.PictureMark{Picture: of.Picture})
}

// once checks a finding on a part that is off: an entry took one off there, no
// later, and the check is one that is asked then.
func (c *checker) once(e *fleet.Entry) []error {
	if e.Found.Off == "" {
		return nil
	}
	takes := func(o *fleet.Entry) bool {
		fitted := o.Fitted != nil && o.Fitted.Position == e.Found.Position && o.Fitted.Known == fleet.Recorded
		done := o.Done != nil && o.Done.TakenOff && slices.Contains(o.Done.Positions, e.Found.Position)
		return o.ID == e.Found.Off && (fitted || done) && !o.Date.After(e.Date)
	}
	if !slices.ContainsFunc(c.with, takes) && !slices.ContainsFunc(fleet.Standing(c.before), takes) {
		return []error{&fleet.Error{Kind: fleet.NotFound, Where: "off",
			Msg:  "no part came off there by that day with that entry",
			Hint: "name the entry that took the part off, and a day from then on"}}
	}
	p := c.vehicle.Position(e.Found.Position)
	if p == nil {
		return nil
	}
	kind := c.catalogue.Kind(p.Kind)
	if kind == nil {
		return nil
	}
	asked := c.catalogue.HandChecks(kind)
	if slices.ContainsFunc(asked, func(k *catalogue.Check) bool { return k.ID == e.Found.Check }) {
		return nil
	}
	hint := message.Text("nothing is asked of this kind of part once off: write a note")
	if len(asked) > 0 {
		ids := make([]string, len(asked))
		for i, k := range asked {
			ids[i] = k.ID
		}
		hint = message.Of("its checks then are %s", strings.Join(ids, ", "))
	}
	return []error{invalid(p.ID+" "+e.Found.Check,
		message.Of("%q is not asked of a part that is off", e.Found.Check), hint)}
}

func (c *checker) done(d *fleet.Done) []error {
	var errs []error
	if strings.TrimSpace(d.What) == "" {
		errs = append(errs, invalid("what", "the work is not described", "say in a few words what was done"))
	}
	for _, id := range d.Positions {
		if _, err := c.position(id); err != nil {
			errs = append(errs, err)
		}
	}
	return slices.Concat(errs, c.settles(d), c.cost(d.Cost), c.supply(d.Used))
}

// settles wants checks of the parts that were worked on.
func (c *checker) settles(d *fleet.Done) []error {
	var errs []error
	for _, id := range d.Settles {
		var lacks error
		for _, at := range d.Positions {
			p := c.vehicle.Position(at)
			if p == nil {
				lacks = nil
				break // told already
			}
			kind := c.catalogue.Kind(p.Kind)
			if kind == nil || kind.Check(id) != nil {
				lacks = nil
				break
			}
			lacks = unknownCheck(kind, id)
		}
		if lacks != nil {
			errs = append(errs, lacks)
		}
	}
	return errs
}

// supply wants a consumable of the vehicle sheet, in a unit that goes with the sheet's.
func (c *checker) supply(s *fleet.Supply) []error {
	if s == nil {
		return nil
	}
	of := c.vehicle.Consumable(s.What)
	if of == nil {
		return []error{invalid("what", message.Of("%.60q is no consumable of the vehicle sheet", s.What),
			"name one as the list of what to buy does")}
	}
	if s.Amount != nil && of.Amount != nil && s.Amount.Dimension() != of.Amount.Dimension() {
		return []error{invalid("amount", message.Of("%q is no amount of it", s.Amount),
			message.Of("write it like %q", of.Amount))}
	}
	return nil
}

func (c *checker) note(n *fleet.Note) []error {
	if strings.TrimSpace(n.Text) == "" {
		return []error{invalid("text", "the note is empty", "write what is to be remembered")}
	}
	if n.Position == "" {
		return nil
	}
	if _, err := c.position(n.Position); err != nil {
		return []error{err}
	}
	return nil
}

func (c *checker) wish(w *fleet.Wish) []error {
	var errs []error
	switch now := fleet.MonthOf(c.today); {
	case !w.Month.IsValid():
		errs = append(errs, invalid("month", "the month is missing", "write it as 2027-09"))
	case w.Month.Before(now):
		errs = append(errs, invalid("month", message.Of("%s is past", w.Month.Words()),
			message.Of("name a month from %s on", now.Words())))
	}
	if w.Position == "" {
		return errs
	}
	p, err := c.position(w.Position)
	if err != nil {
		return append(errs, err)
	}
	if p.LookOnly {
		errs = append(errs, invalid("position", message.Of("the %s is work for a licensed workshop",
			strings.ToLower(p.Name)), "settle only what is changed here"))
	}
	return errs
}

func (c *checker) aside(a *fleet.Aside) []error {
	var errs []error
	if _, err := c.position(a.Position); err != nil {
		errs = append(errs, err)
	}
	if strings.TrimSpace(a.Why) == "" {
		errs = append(errs, invalid("why", "the reason is missing", "say why it is left: because ..."))
	}
	return errs
}

func (c *checker) opened(o *fleet.Opened) []error {
	if c.vehicle.Opening(o.Opening) != nil {
		return nil
	}
	var ids []string
	for i := range c.vehicle.Openings {
		ids = append(ids, c.vehicle.Openings[i].ID)
	}
	return []error{&fleet.Error{Kind: fleet.NotFound, Where: "opening",
		Msg:  message.Of("%s has no opening %q", c.vehicle.Name, o.Opening),
		Hint: fleet.Instead(o.Opening, ids)}}
}

// thingMost is how long the name of a thing aboard may be, in bytes.
const thingMost = 200

var tooLong = invalid("thing", "the name of what is aboard is too long", "name it in a few words")

func (c *checker) aboard(a *fleet.Aboard) []error {
	switch {
	case strings.TrimSpace(a.Thing) == "":
		return []error{invalid("thing", "it is not said what is aboard", "name the spare or the tool")}
	case len(a.Thing) > thingMost:
		return []error{tooLong}
	case a.Gone != "" && a.Gone != fleet.GoneUsed && a.Gone != fleet.GoneOut:
		return []error{invalid("gone", message.Of("%q does not say why it is gone", a.Gone),
			"write used or taken out")}
	}
	return nil
}

func (c *checker) bought(b *fleet.Bought) []error {
	errs := append(c.cost(b.Cost), c.supply(b.Of)...)
	if len(b.Positions) == 0 && b.Of == nil {
		errs = append(errs, invalid("position", "it is not said what was bought", "name the positions it is for"))
	}
	for _, id := range b.Positions {
		if _, err := c.position(id); err != nil {
			errs = append(errs, err)
		}
	}
	return errs
}

// work checks what a sheet is begun for; which of its steps there are, the sheet
// knows.
func (c *checker) work(w *fleet.Work) []error {
	var errs []error
	for _, t := range w.Begins {
		if _, err := c.position(t.Position); err != nil {
			errs = append(errs, err)
		}
	}
	return errs
}

// picture checks what a picture is said to be of.
func (c *checker) picture(p *fleet.Picture) []error {
	var errs []error
	if p.Opening != "" {
		errs = c.opened(&fleet.Opened{Opening: p.Opening})
	}
	if p.Position == "" {
		return errs
	}
	at, err := c.position(p.Position)
	if err != nil {
		return append(errs, err)
	}
	if k := c.catalogue.Kind(at.Kind); p.Check != "" && k != nil && k.Check(p.Check) == nil {
		errs = append(errs, unknownCheck(k, p.Check))
	}
	return errs
}

// mark checks that what is drawn on is a picture of the vehicle, and that it is kept as any entry is.
func (c *checker) mark(m *fleet.PictureMark) []error {
	if !slices.ContainsFunc(slices.Concat(c.before, c.with), func(e *fleet.Entry) bool {
		return e.Picture != nil && e.Picture.Hash == m.Picture
	}) {
		return []error{&fleet.Error{Kind: fleet.NotFound, Where: "picture",
			Msg:  message.Of("%s has no such picture", c.vehicle.Name),
			Hint: "the journal lists every picture"}}
	}
	return nil
}

func (c *checker) correction(fix *fleet.Correction) []error {
	if !slices.ContainsFunc(c.before, func(e *fleet.Entry) bool { return e.ID == fix.Of }) {
		return []error{&fleet.Error{Kind: fleet.NotFound, Where: "of",
			Msg:  message.Of("%s has no entry %q", c.vehicle.Name, fix.Of),
			Hint: "the journal lists every entry with its id"}}
	}
	if fix.Withdraw {
		return nil
	}
	if fix.Instead == nil {
		return []error{invalid("instead",
			"the correction neither withdraws the entry nor says what should stand instead", "")}
	}
	return c.entry(fix.Instead)
}

// newFaults returns the problems of a state that it has with the entries, and
// had not before.
func newFaults(before, after *fleet.State, entries []*fleet.Entry) []error {
	known, ours := map[string]bool{}, map[string]bool{}
	for _, p := range before.Problems {
		known[p.Entry] = true
	}
	for _, e := range entries {
		ours[e.ID] = true
	}
	var errs []error
	for _, p := range after.Problems {
		if known[p.Entry] {
			continue
		}
		hint := p.Hint
		if !ours[p.Entry] {
			hint = message.Of("the reading of %s is already recorded (entry %s): correct whichever is wrong", p.Date,
				p.Entry)
		}
		errs = append(errs, &fleet.Error{Kind: fleet.Conflict, Where: "odometer", Msg: p.Msg, Hint: hint})
	}
	return errs
}

// joined lists words of any string type, for hints.
func joined[T ~string](words []T) string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = string(w)
	}
	return strings.Join(out, ", ")
}

// Faults returns the single errors that an error joins, however deeply.
func Faults(err error) []error {
	if err == nil {
		return nil
	}
	many, ok := err.(interface{ Unwrap() []error })
	if !ok {
		return []error{err}
	}
	var out []error
	for _, e := range many.Unwrap() {
		out = append(out, Faults(e)...)
	}
	return out
}
