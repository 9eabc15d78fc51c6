package finish

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"slices"
	"strconv"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/record"
	"undertray.example/undertray/units"
)

// Told is what the owner accepted or corrected of a form.
type Told struct {
	Date     civil.Date // of all of it
	Odometer *units.Quantity
	Sure     bool
	Parts    []Part // that were changed; one left out was not changed after all
	Righted  []string
	Used     []fleet.Consumable // with what was paid for it
	Found    []record.TypedFinding
}

// Part is a part that was fitted, and what is told of the one before.
type Part struct {
	Position string
	Spec     fleet.PartSpec
	Removed  fleet.Removal
	Hand     []record.TypedFinding // answers in the hand
}

// Set sets a field of what is told of a part, by its name: name, number, quantity,
// cost, supplier, material or removed. A bare figure of cost is in the currency. The
// error is a *fleet.Error of kind Invalid.
func (p *Part) Set(field, value, currency string) error {
	value = strings.TrimSpace(value)
	texts := map[string]*string{"name": &p.Spec.Name, "number": &p.Spec.Number, "quantity": &p.Spec.Quantity,
		"supplier": &p.Spec.Supplier, "material": &p.Spec.Material}
	switch text := texts[field]; {
	case text != nil:
		*text = value
	case field == "removed":
		p.Removed = fleet.Removal(value)
	case field == "cost" && value == "":
		p.Spec.Cost = nil
	case field == "cost":
		q, err := units.Parse(value, units.Money)
		if err != nil {
			if q, err = units.Parse(value+" "+currency, units.Money); err != nil {
				return &fleet.Error{Kind: fleet.Invalid, Where: p.Position + " cost", Err: err,
					Msg:  message.Of("%q is no sum of money", value),
					Hint: message.Of("write it as 38.50 %s", cmp.Or(currency, "EUR"))}
			}
		}
		p.Spec.Cost = &q
	default:
		return &fleet.Error{Kind: fleet.Invalid, Where: p.Position, Msg: message.Of("a part has no %q", field),
			Hint: "name one of name, number, quantity, cost, supplier, material, removed"}
	}
	return nil
}

// Accepted is all of a form as it is filled in, but for some positions: what is
// ticked, with why it came off, and what of the consumables was bought.
func (f *Form) Accepted(but []string) Told {
	var out Told
	for i := range f.Changed {
		if c := &f.Changed[i]; c.Ticked && !slices.Contains(but, c.Judgement.Position.ID) {
			out.Parts = append(out.Parts, Part{Position: c.Judgement.Position.ID, Spec: c.Part, Removed: c.Removed})
		}
	}
	for i := range f.Righted {
		if r := &f.Righted[i]; r.Ticked && !slices.Contains(but, r.Judgement.Position.ID) {
			out.Righted = append(out.Righted, r.Judgement.Position.ID)
		}
	}
	for i := range f.Used {
		if u := &f.Used[i]; u.Bought != nil {
			out.Used = append(out.Used, u.Consumable)
		}
	}
	return out
}

// Deals reports whether the form tells of a change or a putting right at a position.
func (f *Form) Deals(position string) bool {
	return slices.ContainsFunc(f.Changed, func(c Changed) bool { return c.Judgement.Position.ID == position }) ||
		slices.ContainsFunc(f.Righted, func(r Righted) bool { return r.Judgement.Position.ID == position })
}

// Batch is that of a form for the sheet in hand, whichever device it is filled in on:
// what two say of it is united, and one that contradicts another is refused. There says
// whether a batch has landed: one that was taken back since is followed by another.
func (f *Form) Batch(there func(batch string) bool) string {
	for n := 0; ; n++ {
		if batch := idIn(f.Job.Work.Begun.ID, "finish", strconv.Itoa(n)); !there(batch) {
			return batch
		}
	}
}

// Entries makes one batch of what was told: the reading, each part fitted with what
// the old one was in the hand, what was put right, used up and seen, and that the sheet
// is over. The ids come from the batch and from what an entry is about, so that one form
// sent twice says the same twice, and two that contradict each other do not both land.
// All faults are returned joined; they are those of [record.Findings], and NotFound for a
// position that the sheet does not change or put right.
func (f *Form) Entries(told Told, batch string) ([]*fleet.Entry, error) {
	b := &maker{form: f, told: told, batch: batch}
	if told.Odometer != nil {
		b.add(&fleet.Entry{Type: fleet.TypeOdometer, Odometer: told.Odometer}, "odometer")
	}
	for i := range told.Parts {
		b.part(&told.Parts[i])
	}
	for _, id := range told.Righted {
		b.righted(id)
	}
	for _, c := range told.Used {
		b.used(c)
	}
	b.found(told.Found, "")
	b.out = append(b.out, &fleet.Entry{Type: fleet.TypeWork, Date: f.Job.On,
		Work: &fleet.Work{Of: f.Job.Work.Begun.ID, Ended: true}})
	return b.out, errors.Join(b.errs...)
}

type maker struct {
	form  *Form
	told  Told
	batch string
	out   []*fleet.Entry
	errs  []error
}

// add adds an entry about something.
func (b *maker) add(e *fleet.Entry, about ...string) {
	e.ID = idIn(b.batch, about...)
	e.Date, e.Sure = b.told.Date, b.told.Sure
	b.out = append(b.out, e)
}

func (b *maker) part(p *Part) {
	i := slices.IndexFunc(b.form.Changed, func(c Changed) bool { return c.Judgement.Position.ID == p.Position })
	if i < 0 {
		b.errs = append(b.errs, &fleet.Error{Kind: fleet.NotFound, Where: p.Position,
			Msg: "this sheet changes nothing there, or it is written down already", Hint: "load the page again"})
		return
	}
	e := &fleet.Entry{Type: fleet.TypeFitted,
		Fitted: &fleet.Fitted{Position: p.Position, Part: p.Spec, Removed: p.Removed}}
	b.add(e, p.Position)
	b.found(p.Hand, e.ID)
}

func (b *maker) righted(id string) {
	i := slices.IndexFunc(b.form.Righted, func(r Righted) bool { return r.Judgement.Position.ID == id })
	if i < 0 {
		b.errs = append(b.errs, &fleet.Error{Kind: fleet.NotFound, Where: id,
			Msg: "this sheet puts nothing right there", Hint: "load the page again"})
		return
	}
	r := &b.form.Righted[i]
	b.add(&fleet.Entry{Type: fleet.TypeDone, Done: &fleet.Done{What: r.What.String(), Positions: []string{id},
		Settles: r.Settles}}, "right", id)
}

func (b *maker) used(c fleet.Consumable) {
	i := slices.IndexFunc(b.form.Used, func(u Used) bool { return u.What == c.What })
	if i < 0 {
		b.errs = append(b.errs, &fleet.Error{Kind: fleet.NotFound, Where: c.What, Msg: "this sheet uses none of it",
			Hint: "load the page again"})
		return
	}
	s := &fleet.Supply{What: c.What, Amount: c.Amount}
	what := advise.UsedWords(s, b.form.Used[i].Bought).String()
	b.add(&fleet.Entry{Type: fleet.TypeDone, Done: &fleet.Done{What: what,
		Used: s, Cost: c.Cost}}, "used", c.What)
}

func (b *maker) found(rows []record.TypedFinding, off string) {
	entries, errs := record.Findings(b.form.report.Catalogue, b.form.report.Vehicle, rows)
	b.errs = append(b.errs, errs...)
	for _, e := range entries {
		e.Found.Off = off
		b.add(e, off, e.Found.Position, e.Found.Check)
	}
}

// idIn is the id that an entry about something has in a batch: of the batch's time,
// and the same whenever it is made.
func idIn(batch string, about ...string) string {
	const times = len("019abf2e-7c00-7")
	if !fleet.IsID(batch) {
		return ""
	}
	sum := sha256.Sum256([]byte(batch + " " + strings.Join(about, " ")))
	h := hex.EncodeToString(sum[:])
	return batch[:times] + h[:3] + "-8" + h[3:6] + "-" + h[6:18]
}
