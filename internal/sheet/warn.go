package sheet

import (
	"slices"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/yamltree"
)

// warnings lists what is odd about a sheet without being wrong.
func warnings(name string, c *checker) []*fleet.Error {
	w := &warner{checker: *c}
	w.vin()
	w.openings()
	w.positions()
	w.runs()
	return yamltree.Errors(name, w.odd)
}

type warner struct {
	checker
	odd []yamltree.Problem
}

func (w *warner) warn(path, format string, args ...any) {
	w.odd = append(w.odd, yamltree.Problem{Place: w.At(path), Kind: fleet.Invalid, Msg: message.Of(format, args...)})
}

// vin compares the VIN with its check digit and with the first use.
func (w *warner) vin() {
	if w.v.VIN == "" {
		return
	}
	vin, err := Decode(w.v.VIN)
	if err != nil {
		w.warn("vin", "%v; a vehicle from before 1981 may have another form, then leave it as it is", err)
		return
	}
	if !vin.CheckOK {
		w.warn("vin", "VIN %s has %c at position 9, and %c would fit: look at the plate again; outside North "+
			"America that position may hold anything",
			vin.Text, vin.Text[8], vin.CheckDigit)
	}
	// Position 10 is a year only where the scheme with a check digit is in use.
	if vin.Years == nil || w.v.Built.IsZero() || !vin.CheckOK && vin.Region != "North America" {
		return
	}
	if built := w.v.Built.Year; !slices.ContainsFunc(vin.Years, func(y int) bool { return nearYear(y, built) }) {
		w.warn("vin", "VIN %s tells of model year %d or %d, and built says %d: one of the two is mistyped, or the "+
			"vehicle stood a while before its first use",
			vin.Text, vin.Years[0], vin.Years[1], built)
	}
}

// nearYear says whether a vehicle of the model year may well have been first
// used in the year: models are sold from the year before to two years after
// (common practice).
func nearYear(model, used int) bool { return used >= model-1 && used <= model+2 }

// openings warns of openings that nothing uses, cannot be undone in the time
// given, or raise the vehicle without a caution.
func (w *warner) openings() {
	used := map[string]bool{}
	for _, o := range w.v.Openings {
		for _, id := range o.Needs {
			used[id] = true
		}
	}
	for _, p := range w.v.Positions {
		for _, id := range slices.Concat(p.Seen, p.Changed) {
			used[id] = true
		}
	}
	for i, o := range w.v.Openings {
		path := item("openings", i)
		if !used[o.ID] {
			w.warn(path, "nothing needs opening %q: no position and no other opening names it", o.ID)
		}
		if o.UndoMinutes > 0 && o.Undo == "" {
			w.warn(path+".undo_minutes", "opening %q takes %v min to undo and does not say how: add undo",
				o.ID, o.UndoMinutes)
		}
		if o.Raises && len(o.Cautions) == 0 {
			w.warn(path+".raises", "opening %q raises the vehicle and has no caution: add one about stands and firm "+
				"ground", o.ID)
		}
	}
}

// positions warns of positions that nothing opens although they are below, or
// that are changed in no time at all.
func (w *warner) positions() {
	for i := range w.v.Positions {
		p, path := &w.v.Positions[i], item("positions", i)
		if p.From == fleet.Below && !w.raised(p.Seen) && len(w.v.Openings) > 0 {
			w.warn(path+".from", "position %q is looked at from below, and no opening it needs to be seen raises "+
				"the vehicle", p.ID)
		}
		if !p.LookOnly && p.Minutes == 0 && len(p.Changed) == 0 {
			w.warn(path, "position %q has neither changed nor minutes: a plan cannot tell what changing it takes", p.ID)
		}
		if p.LookOnly && len(p.Changed) > 0 {
			w.warn(path+".look_only", "position %q is look_only, so its changed openings are never used", p.ID)
		}
	}
}

func (w *warner) raised(openings []string) bool {
	return slices.ContainsFunc(w.v.Closure(openings), func(id string) bool { return w.v.Opening(id).Raises })
}
