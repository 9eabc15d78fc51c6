package visit_test

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/internal/sheet/ask"
	"undertray.example/undertray/internal/visit"
)

// A sheet made from questions has no torque, since none is made up: each step that closes or changes something with
// bolts says to use the maker's figure, and each is listed to be looked up; once it is entered, it stands in the step
// and on the list no more. Clips, rivets and wing nuts have none.
func TestATorqueThatIsNotKnownIsLookedUp(t *testing.T) {
	cat, err := catalogue.Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, kind := range ask.Archetypes() {
		a, err := ask.From(kind.ID)
		if err != nil {
			t.Fatal(err)
		}
		src, err := ask.Build(a, ask.Filling{Vehicle: "teal", Name: "Teal"})
		if err != nil {
			t.Fatal(err)
		}
		before := jobAtAll(t, cat, src)
		named := strings.Join(before.lookUps, "; ")
		if len(before.torques) > 0 || before.said != len(before.lookUps) {
			t.Errorf("%s: torques %v, %d steps say to look up, %d are listed", kind.ID, before.torques, before.said,
				len(before.lookUps))
		}
		for _, never := range []string{"rivet", "clip", "wing nut", "push stud"} {
			if strings.Contains(named, never) {
				t.Errorf("%s: a figure is asked of a %s: %s", kind.ID, never, named)
			}
		}
		if kind.ID != "four-transverse-petrol" {
			continue
		}
		if !strings.Contains(named, "pump bolt") && !strings.Contains(named, "housing bolt (3)") {
			t.Errorf("not listed: %s", named)
		}
		what := "what: housing bolt, count: 3"
		told := bytes.Replace(src, []byte(what), []byte(what+", torque: 10 N·m"), 1)
		after := jobAtAll(t, cat, told)
		if len(after.lookUps) != len(before.lookUps)-1 || !slices.Contains(after.torques, "housing bolt 10 N·m") {
			t.Errorf("entered: %d of %d still listed, torques %v", len(after.lookUps), len(before.lookUps),
				after.torques)
		}
	}
}

type figures struct {
	torques, lookUps []string
	said             int
}

// jobAtAll changes everything on a vehicle in one job.
func jobAtAll(t *testing.T, cat *catalogue.Catalogue, src []byte) (f figures) {
	t.Helper()
	v, err := sheet.Parse("teal", src, cat)
	if err != nil {
		t.Fatal(err)
	}
	r := advise.Vehicle(cat, v, nil, civil.MustParse("2026-11-25"))
	var ids []string
	for _, p := range v.Positions {
		if !p.LookOnly && p.Kind != "whole-vehicle" {
			ids = append(ids, p.ID)
		}
	}
	job := sheetOf(t, r, visit.JobOptions{Positions: ids, Alone: true})
	for _, q := range job.Torques {
		f.torques = append(f.torques, q.Fasteners()+" "+q.Torque.String())
	}
	for _, l := range job.LookUps() {
		f.lookUps = append(f.lookUps, l.Name()+": "+l.What.String())
	}
	for i := range job.Steps {
		if job.Steps[i].MakersFigure() != "" {
			f.said++
		}
	}
	if all := visit.LookUps(v); len(all) < len(f.lookUps) {
		t.Errorf("%d to look up on the vehicle, %d for one job", len(all), len(f.lookUps))
	}
	return f
}
