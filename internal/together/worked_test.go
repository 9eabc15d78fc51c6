package together_test

import (
	"encoding/json"
	"testing"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/demo"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/together"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/units"
)

// TestWorkedAgreesWithWorkingOutAnew: what is kept is never older than the
// entries, the day and the sheet it is asked with.
func TestWorkedAgreesWithWorkingOutAnew(t *testing.T) {
	dir := t.TempDir()
	if _, err := demo.Create(t.Context(), dir); err != nil {
		t.Fatal(err)
	}
	y, err := yard.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	entries, err := demo.Told(dir)
	if err != nil {
		t.Fatal(err)
	}
	store := journal.NewMemory()
	w := together.Worked{Folds: journal.FoldsOf(store, "")}
	for _, ask := range []struct {
		entries int
		days    int
	}{{len(entries) / 2, 0}, {len(entries) - 1, 0}, {len(entries) - 1, 40}, {len(entries), 40}, {len(entries), 40},
		{len(entries), 0}, {len(entries), -400}} {
		on := demo.Today.AddDays(ask.days)
		if _, err := store.Append(t.Context(), entries[:ask.entries]); err != nil {
			t.Fatal(err)
		}
		look, err := w.Look(t.Context(), y.Catalogue, y, on)
		if err != nil {
			t.Fatal(err)
		}
		got, err := look.Yard(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		anew := advise.Yard(y.Catalogue, y.Vehicles(), entries[:ask.entries], on)
		for i, v := range y.Vehicles() {
			one, err := look.Among(t.Context(), v)
			if err != nil {
				t.Fatal(err)
			}
			want := said(t, anew[i])
			if said(t, got[i]) != want || said(t, one) != want {
				t.Fatalf("%s with %d entries %d days on is not worked out anew", v.ID, ask.entries, ask.days)
			}
			for k := range anew[i].Judgements { // with what the others tell
				j := &anew[i].Judgements[k]
				was, is, alone := ahead.Glance(anew[i], j), ahead.Glance(got[i], got[i].Judgement(j.Position.ID)),
					ahead.Glance(one, one.Judgement(j.Position.ID))
				lines := message.Joined(was.Lines(units.Preferences{}, true), "\n").String()
				if message.Joined(is.Lines(units.Preferences{}, true), "\n").String() != lines ||
					message.Joined(alone.Lines(units.Preferences{}, true), "\n").String() != lines {
					t.Fatalf("%s, %s: the outlook is another", v.ID, j.Position.ID)
				}
			}
		}
	}
}

func said(t *testing.T, r *advise.Report) string {
	t.Helper()
	alone := *r
	alone.Experience = nil
	text, err := json.Marshal(ahead.View(&alone, units.Preferences{}))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
