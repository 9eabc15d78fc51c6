package intake

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/cells"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

var update = flag.Bool("update", false, "write what is read of the notebooks anew: look at it")

// notebookVehicle is a made-up vehicle with parts that notebooks speak of.
func notebookVehicle() *fleet.Vehicle {
	v := &fleet.Vehicle{ID: "wren", Name: "Wren", Built: civil.MustParse("2004-05-01")}
	for _, p := range [][3]string{
		{"main-belt", "ribbed-belt", "Main drive belt"}, {"timing-belt", "timing-belt", "Timing belt"},
		{"tensioner", "auto-tensioner", "Belt tensioner"}, {"idler-upper", "idler", "Upper idler"},
		{"idler-lower", "idler", "Lower idler"}, {"alternator", "alternator", "Alternator"},
		{"water-pump", "water-pump", "Water pump"}, {"top-hose", "top-hose", "Top hose"},
		{"bottom-hose", "bottom-hose", "Bottom hose"}, {"heater-in", "heater-hose", "Heater hose, inlet"},
		{"heater-out", "heater-hose", "Heater hose, return"}, {"thermostat", "thermostat", "Thermostat"},
		{"coolant", "coolant", "Coolant"}, {"engine-oil", "engine-oil", "Engine oil"},
		{"oil-filter", "oil-filter", "Oil filter"}, {"air-filter", "air-filter", "Air filter"},
		{"battery", "battery", "Battery"}, {"brake-fluid", "brake-fluid", "Brake fluid"},
		{"plugs", "spark-plugs", "Spark plugs"}, {"cap", "pressure-cap", "Pressure cap"},
	} {
		v.Positions = append(v.Positions, fleet.Position{ID: p[0], Kind: p[1], Name: p[2]})
	}
	return v
}

// read gives a notebook as short lines: day, odometer, cost, what is fitted, and "?" for each line
// with a doubt, behind it the words that tell it.
func read(t *testing.T, text string, h Habits) []string {
	t.Helper()
	c, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	if h.Today.IsZero() {
		h.Today = civil.MustParse("2026-11-29")
	}
	n, err := ReadNotebook("past", []byte(text), notebookVehicle(), c, h)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, p := range n.Lines {
		s := p.Date.String()
		if p.Date.IsZero() {
			s = "-"
		}
		if p.About {
			s += "~"
		}
		if p.Odometer != nil {
			s += " " + p.Odometer.String()
		}
		if p.Cost != nil {
			s += " " + p.Cost.String()
		}
		for _, part := range p.Parts {
			how := map[string]string{catalogue.DidChange: "+", catalogue.DidLook: "=", catalogue.DidWant: "!",
				"": "?"}[part.Did]
			s += " " + how + strings.Join(part.Positions, "|")
		}
		if len(p.Doubts) > 0 {
			s += fmt.Sprintf(" (%s)", message.Joined(p.Doubts, " "))
		}
		out = append(out, s)
	}
	return out
}

// Thirty texts in different habits, written by hand with what each means (own, common practice of
// notebooks): nothing is taken that the text does not say, and what is open is told.
func TestNotebooks(t *testing.T) {
	const name = "testdata/notebooks.txt"
	src, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	blocks := strings.Split(strings.TrimSuffix(string(src), "\n"), "\n====\n")
	for i, b := range blocks {
		text, want, _ := strings.Cut(b, "\n--\n")
		got := strings.Join(read(t, text, Habits{}), "\n")
		if *update {
			blocks[i] = text + "\n--\n" + got
		} else if got != want {
			t.Errorf("%s\nread as\n%s\nwant\n%s", text, got, want)
		}
	}
	if *update {
		if err := os.WriteFile(name, []byte(strings.Join(blocks, "\n====\n")+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if len(blocks) < 30 {
		t.Errorf("%d texts", len(blocks))
	}
}

// What the owner says settles what the text leaves open.
func TestHabitsSettle(t *testing.T) {
	const text = "3/4/2018 71,200 oil change 20"
	first := true
	got := read(t, text, Habits{DayFirst: &first, Distance: "mi"})[0]
	first = false
	other := read(t, text, Habits{DayFirst: &first, Distance: "mi"})[0]
	if !strings.HasPrefix(got, "2018-04-03 71200 mi +engine-oil") ||
		!strings.HasPrefix(other, "2018-03-04 71200 mi") {
		t.Errorf("%s; %s", got, other)
	}
}

func TestNotebooksRefused(t *testing.T) {
	c, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, src := range []string{"", " \n\n", "a\xff", "a\x00b", strings.Repeat("x\n", mostPast+1),
		strings.Repeat("x", MaxSize+1)} {
		if n, err := ReadNotebook("past", []byte(src), notebookVehicle(), c, Habits{}); err == nil ||
			!strings.HasPrefix(err.Error(), "past") {
			t.Errorf("%.10q: %v, %v", src, n, err)
		}
	}
}

// A text harmed by chance is read or refused.
func FuzzNotebook(f *testing.F) {
	src, err := os.ReadFile("testdata/notebooks.txt")
	if err != nil {
		f.Fatal(err)
	}
	for _, b := range strings.Split(string(src), "\n====\n") {
		text, _, _ := strings.Cut(b, "\n--\n")
		f.Add(text)
	}
	c, err := catalogue.Load()
	if err != nil {
		f.Fatal(err)
	}
	v, today := notebookVehicle(), civil.MustParse("2026-11-29")
	f.Fuzz(func(t *testing.T, text string) {
		n, err := ReadNotebook("past", []byte(text), v, c, Habits{Today: today})
		if err != nil {
			return
		}
		for _, p := range n.Lines {
			if p.Date.IsZero() && len(p.Doubts) == 0 || !p.Date.IsZero() && !p.Date.IsValid() {
				t.Errorf("%q: %+v", text, p)
			}
			for _, part := range p.Parts {
				for _, id := range part.Positions {
					if v.Position(id) == nil {
						t.Errorf("%q names %q", text, id)
					}
				}
			}
		}
	})
}

// The table that a record is written as, in each of its forms, is read without a doubt.
func TestTheRecordIsReadBack(t *testing.T) {
	rows := [][]any{{"entry", "batch", "date", "odometer", "odometer unit", "what", "position", "words", "sound",
		"cost", "cost unit", "by"},
		{"0190", "", "2019-04-03", 91250.5, "mi", "fitted", "Battery", "new battery", "", 85.5, "CHF", "Ana"},
		{"0191", "", "2020-05-03", 160000.0, "km", "fitted", "Main drive belt", "new main drive belt", "yes", "", "",
			""}}
	for _, form := range cells.Forms {
		var b strings.Builder
		if err := cells.Write(&b, form, rows); err != nil {
			t.Fatal(err)
		}
		all := strings.Join(read(t, b.String(), Habits{Distance: "km", Currency: "EUR"}), "\n")
		if !strings.Contains(all, "91250.5 mi 85.5 CHF +battery") || !strings.Contains(all, "160000 km +main-belt") ||
			strings.Contains(all, "(") {
			t.Errorf("%s: %s", form, all)
		}
	}
}
