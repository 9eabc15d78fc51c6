package edit

import (
	"bytes"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/internal/sheet/ask"
	"undertray.example/undertray/units"
)

// sheets are all that the program comes with.
func sheets(t *testing.T) map[string][]byte {
	t.Helper()
	out := map[string][]byte{}
	for _, arch := range ask.Archetypes() {
		a, err := ask.From(arch.ID)
		if err != nil {
			t.Fatal(err)
		}
		if out[arch.ID], err = ask.Build(a, ask.Filling{Vehicle: arch.ID, Name: arch.Name}); err != nil {
			t.Fatal(err)
		}
	}
	names, err := filepath.Glob("../../demo/data/vehicles/*.yaml")
	if err != nil || len(names) != 3 {
		t.Fatal(len(names), err)
	}
	for _, name := range names {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		out[filepath.Base(name)] = src
	}
	return out
}

func known(t *testing.T) *catalogue.Catalogue {
	t.Helper()
	c, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func q(t *testing.T, text string) *units.Quantity {
	t.Helper()
	out, err := units.ParseAny(text)
	if err != nil {
		t.Fatal(err)
	}
	return &out
}

// must makes an edit, or fails.
func must(t *testing.T, src []byte, c *catalogue.Catalogue, do func(v *fleet.Vehicle)) *Change {
	t.Helper()
	out, err := Make("sheet.yaml", src, c, func(v *fleet.Vehicle) error { do(v); return nil })
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// change is what an edit makes of the i-th position, and what takes it back.
type change struct{ do, back func(v *fleet.Vehicle, i int) }

// changes are edits of a position that was as old says.
func changes(t *testing.T, old *fleet.Vehicle) map[string]change {
	keep := func(of func(to, from *fleet.Position)) func(*fleet.Vehicle, int) {
		return func(v *fleet.Vehicle, i int) { of(&v.Positions[i], &old.Positions[i]) }
	}
	return map[string]change{
		"moved": {func(v *fleet.Vehicle, i int) { v.Positions[i].X, v.Positions[i].Y = 12.25, 151 },
			keep(func(to, from *fleet.Position) { to.X, to.Y = from.X, from.Y })},
		"renamed": {func(v *fleet.Vehicle, i int) { v.Positions[i].Name = "The: other, one #" + strconv.Itoa(i) },
			keep(func(to, from *fleet.Position) { to.Name = from.Name })},
		"minutes": {func(v *fleet.Vehicle, i int) { v.Positions[i].Minutes += 3 },
			keep(func(to, from *fleet.Position) { to.Minutes = from.Minutes })},
		"number": {func(v *fleet.Vehicle, i int) { v.Positions[i].Part.Number = "0012" },
			keep(func(to, from *fleet.Position) { to.Part.Number = from.Part.Number })},
		"fastener": {func(v *fleet.Vehicle, i int) {
			v.Positions[i].Fasteners = append(slices.Clone(v.Positions[i].Fasteners),
				fleet.Fastener{What: "clamp, upper", Count: 2, Torque: q(t, "2.5 N·m")})
		}, keep(func(to, from *fleet.Position) { to.Fasteners = from.Fasteners })},
		"caution": {func(v *fleet.Vehicle, i int) {
			v.Positions[i].Cautions = append([]string{"First: look."}, v.Positions[i].Cautions...)
		}, keep(func(to, from *fleet.Position) { to.Cautions = from.Cautions })},
		"seen": {func(v *fleet.Vehicle, i int) {
			v.Positions[i].Seen = append(slices.Clone(v.Positions[i].Seen), v.Openings[0].ID)
		}, keep(func(to, from *fleet.Position) { to.Seen = from.Seen })},
		"added before": {func(v *fleet.Vehicle, i int) {
			v.Positions = slices.Insert(v.Positions, i, fleet.Position{ID: "new-place", Name: "New place",
				Kind: "top-hose", From: fleet.Below, X: 20, Y: 30,
				Part:      fleet.PartSpec{Quantity: "1", Cost: q(t, "12.50 EUR")},
				Fasteners: []fleet.Fastener{{What: "clamp", Count: 2, Torque: q(t, "3 N·m")}}})
		}, func(v *fleet.Vehicle, i int) { v.Positions = slices.Delete(v.Positions, i, i+1) }},
	}
}

// An edit touches the lines of what it changes, and its inverse gives the same bytes.
func TestEditAndItsInverse(t *testing.T) {
	c := known(t)
	for name, src := range sheets(t) {
		old, err := sheet.Parse(name, src, c)
		if err != nil {
			t.Fatal(err)
		}
		sorts := changes(t, old)
		one := len(src) % len(old.Positions)
		for what, do := range sorts {
			there := must(t, src, c, func(v *fleet.Vehicle) { do.do(v, one) })
			if what != "added before" {
				inside(t, what+" in "+name, there, old.Positions[one].ID)
			}
			back := must(t, there.Now, c, func(v *fleet.Vehicle) { do.back(v, one) })
			same(t, what+" in "+name, src, back.Now)
		}
		delete(sorts, "added before") // all the others of all positions at once
		all := func(of func(change) func(*fleet.Vehicle, int)) func(*fleet.Vehicle) {
			return func(v *fleet.Vehicle) {
				for _, do := range sorts {
					for i := range v.Positions {
						of(do)(v, i)
					}
				}
			}
		}
		there := must(t, src, c, all(func(do change) func(*fleet.Vehicle, int) { return do.do }))
		commentsKept(t, name, src, there.Now)
		back := must(t, there.Now, c, all(func(do change) func(*fleet.Vehicle, int) { return do.back }))
		same(t, "all of "+name, src, back.Now)
	}
}

func same(t *testing.T, what string, was, now []byte) {
	t.Helper()
	if !bytes.Equal(was, now) {
		t.Errorf("%s is not undone by its inverse: %v", what, (&Change{Was: was, Now: now}).Lines())
	}
}

// commentsKept tells of comments that an edit lost.
func commentsKept(t *testing.T, what string, was, now []byte) {
	t.Helper()
	for _, line := range strings.Split(string(was), "\n") {
		if _, remark, ok := strings.Cut(line, "# "); ok && !bytes.Contains(now, []byte("# "+remark)) {
			t.Errorf("%s loses %q", what, line)
		}
	}
}

// inside tells of lines changed outside the item of an id.
func inside(t *testing.T, what string, c *Change, id string) {
	t.Helper()
	lines := c.Lines()
	if len(lines) == 0 || len(lines) > 4 {
		t.Errorf("%s changes %d lines: %v", what, len(lines), lines)
	}
	for _, l := range lines {
		text := c.Was
		if l.Added {
			text = c.Now
		}
		all := strings.Split(string(text), "\n")
		if l.No < 1 || l.No > len(all) || all[l.No-1] != l.Text {
			t.Fatalf("%s: line %d is not %q", what, l.No, l.Text)
		}
		at := l.No - 1
		for at > 0 && !strings.HasPrefix(strings.TrimLeft(all[at], " "), "- id:") {
			at--
		}
		if got := strings.Fields(all[at]); len(got) < 3 || got[2] != id {
			t.Errorf("%s changes %q, of %q", what, l.Text, all[at])
		}
	}
}

// What is removed leaves its name, is named by nothing any more, and can come back.
func TestRemoving(t *testing.T) {
	c := known(t)
	for name, src := range sheets(t) {
		old, err := sheet.Parse(name, src, c)
		if err != nil {
			t.Fatal(err)
		}
		for i := len(src) % 7; i < len(old.Positions); i += 23 {
			p := old.Positions[i]
			out := must(t, src, c, func(v *fleet.Vehicle) {
				if err := RemovePosition(v, p.ID); err != nil {
					t.Fatal(err)
				}
			})
			v := out.Sheet.Vehicle
			if at := v.Once(p.ID); v.Position(p.ID) != nil || at == nil || at.Name != p.Name || at.Kind != p.Kind {
				t.Errorf("%s of %s is removed, and known as %v", p.ID, name, at)
			}
			if id := NewID(v, p.Name); id == p.ID || v.Once(id) != nil {
				t.Errorf("%q is given to something new", id)
			}
			back := must(t, out.Now, c, func(v *fleet.Vehicle) { AddPosition(v, p, c) })
			v = back.Sheet.Vehicle
			if at := v.Position(p.ID); !reflect.DeepEqual(*at, p) || len(v.Former) > 0 {
				t.Errorf("%s of %s comes back as %+v", p.ID, name, at)
			}
		}
		for i := len(src) % 3; i < len(old.Openings); i += 7 {
			o := old.Openings[i]
			v := must(t, src, c, func(v *fleet.Vehicle) {
				if err := RemoveOpening(v, o.ID); err != nil {
					t.Fatal(err)
				}
			}).Sheet.Vehicle
			for j := range v.Positions { // raised as before, wheels and all
				want := without(old.Closure(old.Positions[j].Changed), o.ID)
				if got := v.Closure(v.Positions[j].Changed); len(got) != len(want) || !fleet.Subset(got, want) {
					t.Errorf("without %s, %s of %s needs %v, want %v", o.ID, v.Positions[j].ID, name, got, want)
				}
			}
		}
	}
}

// A run that was measured takes the place of the one with its id, or a new one.
func TestSetRun(t *testing.T) {
	c := known(t)
	tried := 0
	for name, src := range sheets(t) {
		var r fleet.Run
		out := must(t, src, c, func(v *fleet.Vehicle) {
			if len(v.Runs) == 0 { // a motorcycle's or a trailer's
				return
			}
			tried++
			r = v.Runs[0]
			r.Pulleys = slices.Clone(r.Pulleys)
			r.Pulleys[1].X = *q(t, "-181.5 mm")
			SetRun(v, r)
			r.ID = NewID(v, r.Name+" as measured")
			SetRun(v, r)
		})
		if r.ID == "" {
			continue
		}
		v := out.Sheet.Vehicle
		got := v.Run(r.ID)
		if got == nil || len(got.Pulleys) != len(r.Pulleys) || got.Pulleys[1].X != r.Pulleys[1].X {
			t.Errorf("%s: the run reads %+v", name, got)
		}
		n := 0
		for _, l := range out.Lines() {
			if !l.Added {
				n++
			}
		}
		if n != 1 || !bytes.HasSuffix(out.Now, []byte("\n")) {
			t.Errorf("%s: %d lines are taken out, want that of the one pulley", name, n)
		}
	}
	if tried < 8 {
		t.Errorf("%d sheets have a run", tried)
	}
}

// Layouts by other hands: what can be told apart is edited, all else refused whole.
func TestOtherHands(t *testing.T) {
	c := known(t)
	head := "undertray: 1\nvehicle: wren\nname: Wren\n"
	for _, body := range []string{
		"positions:\n- {id: a, name: A, kind: idler, from: above, x: 1, y: 2} # mine\n",
		"positions: [{id: a, name: A, kind: idler, from: above, x: 1, y: 2}]\n",
		"positions:\n-\n  id: a\n  kind: idler\n  name: >-\n    A\n    b\n  from: above\n  x: 1\n  y: 2\n",
		"\"positions\":\n    -   'id': a\n        name: \"A\\n\"\n        kind: idler\n        from: above\n" +
			"        x: 1\n        y: 2",
	} {
		for _, src := range []string{head + body, strings.ReplaceAll(head+body, "\n", "\r\n")} {
			out := must(t, []byte(src), c, func(v *fleet.Vehicle) {
				v.Positions[0].Name, v.Positions[0].X = "B, the second", 3.5
				v.Name = "Wren the hatch"
			})
			if v := out.Sheet.Vehicle; v.Positions[0].Name != "B, the second" || v.Positions[0].X != 3.5 {
				t.Errorf("%q reads %+v", out.Now, v.Positions[0])
			}
			breaks := bytes.Count(out.Now, []byte("\r\n"))
			if strings.Count(src, "\r") > 0 && bytes.Count(out.Now, []byte("\n")) != breaks {
				t.Errorf("line breaks are mixed: %q", out.Now)
			}
		}
	}
	if _, err := Make("s", []byte(head+"positions: 3\n"), c, func(*fleet.Vehicle) error { return nil }); err == nil {
		t.Error("a sheet with mistakes is edited")
	}
	_, err := Make("s", []byte(head), c, func(v *fleet.Vehicle) error { v.Name = ""; return nil })
	if fleet.KindOf(err) != fleet.Invalid {
		t.Errorf("an edit that makes a mistake gives %v", err)
	}
}
