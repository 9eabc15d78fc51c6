package fleet

import "testing"

func TestInstead(t *testing.T) {
	known := []string{"ribbed-belt", "v-belt", "top-hose"}
	for word, want := range map[string]string{
		"ribed-belt":  `did you mean "ribbed-belt"?`,
		"belt ribbed": `did you mean "ribbed-belt"?`, // the same parts in another order
		"Hose_top":    `did you mean "top-hose"?`,
		"awning":      "write one of ribbed-belt, v-belt, top-hose",
	} {
		if got := Instead(word, known); got.String() != want {
			t.Errorf("%s: %s, want %s", word, got, want)
		}
	}
	if got := Instead("x", nil); got != "there is none to name" {
		t.Errorf("of nothing: %s", got)
	}
	if got := Offer([]string{"a", "b", "c", "d", "e", "f", "g", "h", "i", "j", "k", "l", "m",
		"n"}).String(); got != "a, b, c, d, e, f, g, h, i, j, k, l and 2 more" {
		t.Errorf("offered: %s", got)
	}
}
