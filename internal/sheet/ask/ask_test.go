package ask

import (
	"testing"

	"undertray/internal/catalogue"
	"undertray/internal/sheet"
)

func TestArchetypesMakeSheets(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, arch := range Archetypes() {
		a, err := From(arch.ID)
		if err != nil {
			t.Fatal(err)
		}
		src, err := Build(a, Filling{Vehicle: arch.ID, Name: arch.Name})
		if err != nil {
			t.Errorf("%s: %v\n", arch.ID, err)
			continue
		}
		s, err := sheet.Read(arch.ID, src, cat)
		if err != nil {
			t.Errorf("%s: %v\n%s", arch.ID, err, src)
			continue
		}
		for _, w := range s.Warnings {
			t.Errorf("%s: %v", arch.ID, w)
		}
		v := s.Vehicle
		t.Logf("%s: %d positions, %d openings, %d runs: %s", arch.ID, len(v.Positions), len(v.Openings),
			len(v.Runs), v.About)
	}
}
