package draw

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"undertray.example/undertray/internal/message"
)

func sampleRisks(dirt string) Risks {
	return Risks{Head: Head{ID: "risks", Title: message.Name("What may let you down" + dirt)}, Accept: .02,
		Rows: []Risk{
			{Keep, message.Name("Fuel filter" + dirt),
				message.Name("about 1 in 75" + dirt), "/x" + hrefDirt(dirt), 1 / 75.,
				.0001},
			{PutRight, "Main drive belt", "about 1 in 9", "/x", 1 / 9., .0004},
			{"", "Stranded by any of 18 parts", "about 1 in 7", "", 1 / 7., .02},
			{Unseen, "A bypass hose of which the name is long, much longer than a phone has room for",
				"less than 1 in 1000", "", .0001, 0}}}
}

// The likeliest stands above the others, and what stands for all above it; no two texts touch, whatever the names.
func TestRisksAreInOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := sampleRisks("")
		for i := range s.Rows {
			s.Rows[i].Chance = rapid.Float64Range(1e-6, 1).Draw(t, "chance")
		}
		s.Accept = rapid.Float64Range(0, 1).Draw(t, "accept")
		f, err := RisksChart(s)
		if err != nil {
			t.Fatal(err)
		}
		apart(t, f.SVG)
		at := strings.Index(string(f.SVG), "Stranded by any of 18 parts</text>")
		for _, r := range s.Rows {
			if r.Verdict == "" {
				continue
			}
			if here := strings.Index(string(f.SVG), ">"+r.Name.String()[:11]); here < at {
				t.Fatalf("%s stands above all of them together", r.Name)
			}
		}
		belt := strings.Index(string(f.SVG), "Main drive belt</text>")
		filter := strings.Index(string(f.SVG), "Fuel filter</text>")
		if s.Rows[0].Chance != s.Rows[1].Chance && (belt < filter) != (s.Rows[1].Chance > s.Rows[0].Chance) {
			t.Fatalf("belt %g, filter %g: in the wrong order", s.Rows[1].Chance, s.Rows[0].Chance)
		}
	})
}

func TestRisksRefuse(t *testing.T) {
	for name, amiss := range map[string]func(*Risks){"none": func(s *Risks) { s.Rows = nil },
		"above 1": func(s *Risks) { s.Rows[0].Chance = 1.2 }, "never": func(s *Risks) { s.Rows[0].Chance = 0 },
		"accept": func(s *Risks) { s.Accept = -1 }, "verdict": func(s *Risks) { s.Rows[0].Verdict = "x" },
		"href": func(s *Risks) { s.Rows[0].Href = "vbscript:x" }} {
		s := sampleRisks("")
		amiss(&s)
		if f, err := RisksChart(s); err == nil || f.SVG != "" {
			t.Errorf("%s: no error", name)
		}
	}
}
