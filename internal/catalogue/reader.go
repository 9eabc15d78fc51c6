package catalogue

import (
	"encoding/json"
	"reflect"
	"slices"
	"sync"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/units"
)

// For returns the catalogue as one reads it who prefers other units than it is written
// in: its words name the reader's unit first and the original behind it in brackets,
// figures are asked for in the reader's unit, and what it is judged by stays as its
// authority has it. For plain metric it is the catalogue itself.
func (c *Catalogue) For(p units.Preferences) *Catalogue {
	base := c
	if c.asWritten != nil {
		base = c.asWritten
	}
	if p.Plain() && p.Counts == 0 {
		return base
	}
	key, err := json.Marshal(p)
	if err != nil {
		return base // settings that are no system of units were refused when they were read
	}
	base.mu.Lock()
	defer base.mu.Unlock()
	if out := base.made[string(key)]; out != nil {
		return out
	}
	out := base.read(p)
	if base.made == nil {
		base.made = map[string]*Catalogue{}
	}
	base.made[string(key)] = out
	return out
}

// Of is the catalogue as it is read about a vehicle, by its units.
func (c *Catalogue) Of(v *fleet.Vehicle) *Catalogue { return c.For(v.Reader) }

// read makes the catalogue of a reader, kind by kind as they are asked for.
func (c *Catalogue) read(p units.Preferences) *Catalogue {
	kept := c.words.Written // by these words parts are recognised in what owners write
	w := again(c.words)
	if p.Counts == units.EngineHours {
		w.Looks.inHours()
	}
	inWords(p, reflect.ValueOf(&w).Elem())
	inUnits(p, w.Looks.glances())
	w.Written = kept
	out := newCatalogue(w)
	out.asWritten, out.reader = c, p
	for _, id := range c.order {
		out.put(id, func() *Kind {
			k := again(*c.slots[id].written())
			if p.Counts == units.EngineHours {
				k.inHours()
			}
			inWords(p, reflect.ValueOf(&k).Elem())
			inUnits(p, k.Checks)
			for i := range k.Spec {
				if !p.Plain() {
					k.Spec[i].Unit = p.UnitFor(k.Spec[i].Unit)
				}
			}
			return &k
		})
	}
	return out
}

// inHours leaves out the distances of a kind for a vehicle that counts hours; what is
// known in hours stands in their place.
func (k *Kind) inHours() {
	all := k.Intervals
	k.Intervals = nil
	for _, iv := range all {
		if iv.InHours() {
			k.Intervals = append(k.Intervals, iv)
		}
	}
	for i := range k.Checks {
		for j := range k.Checks[i].Limits {
			k.Checks[i].Limits[j].InHours()
		}
	}
	for i := range k.With {
		if q := k.With[i].OlderThan; q != nil && q.Dimension() == units.Distance {
			k.With[i].OlderThan = nil // of any age, rather than of none
		}
	}
}

// inHours leaves out the distances of lead times and lives; the usual year is one in hours.
func (l *Looks) inHours() {
	for i := range l.Leads {
		l.Leads[i].Distance = nil
	}
	for i := range l.Lasts {
		l.Lasts[i].Distance = nil
	}
	l.UsualYear = l.UsualHours
}

func (l *Looks) glances() []Check {
	if l.AtAGlance == nil {
		return nil
	}
	return l.AtAGlance.Checks
}

// again is a copy that shares nothing, by way of the packed form.
func again[T any](v T) T {
	var out T
	text, err := json.Marshal(v)
	if err == nil {
		err = json.Unmarshal(text, &out)
	}
	if err != nil {
		panic("catalogue: what was read cannot be written: " + err.Error())
	}
	return out
}

// inUnits has checks ask for figures in the reader's units.
func inUnits(p units.Preferences, checks []Check) {
	for i := range checks {
		if c := &checks[i]; c.Unit != "" && c.Unit != NoUnit && !p.Plain() {
			c.Unit = p.UnitFor(c.Unit)
		}
	}
}

// asWritten lists fields that are compared with others, name something made or name a
// document: their figures are no quantities of the reader's.
var asWritten = []string{"ID", "Also", "Name", "Plural", "Materials", "Source", "Sources", "Carry", "Thing", "Unit",
	"Of", "Is", "What", "Plate"}

// inWords rewrites the words of a value for a reader, in place.
func inWords(p units.Preferences, v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			inWords(p, v.Elem())
		}
	case reflect.String:
		if v.CanSet() {
			v.SetString(p.Text(v.String()))
		}
	case reflect.Slice:
		for i := range v.Len() {
			inWords(p, v.Index(i))
		}
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[units.Quantity]() {
			return
		}
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() && !slices.Contains(asWritten, f.Name) {
				inWords(p, v.Field(i))
			}
		}
	}
}

// forReaders is what a catalogue has for its readers.
type forReaders struct {
	asWritten *Catalogue // that this one was made from; nil: it is as written
	reader    units.Preferences
	mu        sync.Mutex
	made      map[string]*Catalogue
}

// Shown is a figure that answers the check as its reader wants it, what was typed
// behind in brackets where that was in another unit.
func (c *Check) Shown(q units.Quantity) string { return c.reader.Beside(q) }
