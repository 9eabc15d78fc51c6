package web

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"undertray.example/undertray/internal/demo/demotest"
	"undertray.example/undertray/internal/visit"
)

// A round for the minutes there are has the stops that the same choice of looks
// has by command, in walking order, and says what is left unseen and what that
// costs.
func TestARoundForTheMinutesThereAre(t *testing.T) {
	s, unseen := demoSite(t), 0
	for _, v := range []string{"heron", "dunnock", "bittern"} {
		path := "/v/" + v + "/round?open=all"
		p, all, last := s.page(path+"&minutes=60"), stopsOf(s.page(path)), -1
		got := stopsOf(p)
		for _, id := range got {
			i := slices.Index(all[last+1:], id) // a stop may come again, with a second person
			if i < 0 {
				t.Errorf("%s: %s is out of walking order", v, id)
			}
			last += 1 + i
		}
		if len(got) == 0 || len(got) >= len(all) {
			t.Errorf("%s: %d of %d stops", v, len(got), len(all))
		}
		r, err := visit.NewRound(demotest.Reports(t)[v], visit.RoundOptions{Open: []string{visit.OpenAll}, Minutes: 60})
		if err != nil {
			t.Fatal(err)
		}
		var want []string
		for _, st := range r.Stages {
			for _, stop := range st.Stops {
				want = append(want, stop.Position.ID)
			}
		}
		if !slices.Equal(got, want) || !strings.Contains(p.text("main"), r.PickedWords().String()) {
			t.Errorf("%s: the page has the stops %v, the choice %v: %s", v, got, want, r.PickedWords())
		}
		unseen += strings.Count(r.PickedWords().String(), "Left unseen: ")
	}
	if unseen == 0 {
		t.Error("nothing is left unseen anywhere: this test shows too little")
	}
	if says := s.page("/v/heron/round?minutes=8").text("main"); !strings.Contains(says,
		"No look in that time would change anything") {
		t.Errorf("where no look is worth it: %.300s", says)
	}
	if a := s.get("/v/dunnock/round?minutes=soon"); a.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("a round of %q minutes: %s", "soon", a.Status)
	}
}

func stopsOf(p parsed) []string {
	var out []string
	for _, n := range p.find("#round [data-stop]") {
		if id := value(n, "data-stop"); id != "" {
			out = append(out, id)
		}
	}
	return out
}
