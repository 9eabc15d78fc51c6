package record

import (
	"errors"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// Outside returns what forbids to take in an entry that another journal
// exported, by the rules that forms go by and without its vehicle's sheet: its
// day, its figures and its names. With sure a day to come is taken.
func Outside(e *fleet.Entry, today civil.Date, sure bool) error {
	errs := []error{beyond(e), names(e), long(e)}
	if !sure {
		errs = append(errs, future(e, today), told(e))
	}
	if e.Correction != nil && e.Correction.Instead != nil {
		instead := *e.Correction.Instead
		instead.Vehicle = e.Vehicle
		errs = append(errs, Outside(&instead, today, sure))
	}
	return errors.Join(errs...)
}

// future refuses an entry about a day to come, unless it is sure.
func future(e *fleet.Entry, today civil.Date) error {
	if e.Sure || !e.Date.After(today) {
		return nil
	}
	return invalid("date", message.Of("%s is in the future", e.Date),
		"give the day on which it happened; if today's date is wrong here, set the clock or say --sure")
}

// told refuses what was told of a day after the one on which it was told.
func told(e *fleet.Entry) error {
	if e.Fitted == nil || e.Fitted.Since == nil || !e.Fitted.Since.Date.After(e.Date) {
		return nil
	}
	return invalid("since", message.Of("the part was fitted on %s as told, after the day of the entry, %s",
		e.Fitted.Since.Date, e.Date), "give the day on which it was fitted, by that of the entry")
}

// beyond refuses distances that no vehicle runs.
func beyond(e *fleet.Entry) error {
	figures := []*units.Quantity{e.Odometer}
	if in := e.Instrument; in != nil {
		figures = append(figures, &in.Old, &in.New)
	}
	if e.Fitted != nil && e.Fitted.Since != nil {
		figures = append(figures, e.Fitted.Since.Total)
	}
	for _, q := range figures {
		if q != nil && !(q.Base() <= fleet.MaxTotal) {
			return invalid("odometer", message.Of("%q is more than any vehicle runs", q),
				"check the figure and its unit")
		}
	}
	return nil
}

// names refuses names that no sheet and no catalogue can have given.
func names(e *fleet.Entry) error {
	type name struct{ where, is string }
	all := []name{{"vehicle", e.Vehicle}}
	if e.Batch != "" && !fleet.IsID(e.Batch) {
		return invalid("batch", message.Of("%.60q is not the id of a form", e.Batch),
			"such ids are UUIDs of version 7, in small letters")
	}
	if p := e.Position(); p != "" {
		all = append(all, name{"position", p})
	}
	if e.Found != nil {
		all = append(all, name{"check", e.Found.Check})
		if e.Found.Value == nil {
			all = append(all, name{"answer", e.Found.Answer})
		}
	}
	if e.Opened != nil {
		all = append(all, name{"opening", e.Opened.Opening})
	}
	if p := e.Picture; p != nil {
		for where, is := range map[string]string{"check": p.Check, "opening": p.Opening} {
			if is != "" {
				all = append(all, name{where, is})
			}
		}
	}
	if e.Work != nil {
		for _, t := range e.Work.Begins {
			all = append(all, name{"position", t.Position})
		}
	}
	if e.Bought != nil {
		for _, p := range e.Bought.Positions {
			all = append(all, name{"position", p})
		}
	}
	if e.Done != nil {
		for _, p := range e.Done.Positions {
			all = append(all, name{"position", p})
		}
		for _, c := range e.Done.Settles {
			all = append(all, name{"settles", c})
		}
	}
	for _, n := range all {
		if !fleet.IsShortName(n.is) {
			return invalid(n.where, message.Of("%.60q is not a name from a sheet", n.is),
				"such names are of small letters, digits and dashes")
		}
	}
	return nil
}

// long refuses the name of a thing aboard that no page has room for.
func long(e *fleet.Entry) error {
	if e.Aboard != nil && len(e.Aboard.Thing) > thingMost {
		return tooLong
	}
	return nil
}
