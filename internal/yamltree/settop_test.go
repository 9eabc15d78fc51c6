package yamltree

import "testing"

func TestSetTopTouchesItsKeyAlone(t *testing.T) {
	const yard = "# ours\nyard: Alder Fen # the reserve\ncurrency: EUR # for parts\nvisits: {hours_per_month: 20}\n" +
		"units:\n  system: metric\n\n  units: {distance: mi}\n# the end\n"
	for _, c := range []struct{ in, key, value, want string }{
		{yard, "currency", "GBP", "# ours\nyard: Alder Fen # the reserve\ncurrency: GBP # for parts\n" +
			"visits: {hours_per_month: 20}\nunits:\n  system: metric\n\n  units: {distance: mi}\n# the end\n"},
		{yard, "units", "{system: imperial}", "# ours\nyard: Alder Fen # the reserve\ncurrency: EUR # for parts\n" +
			"visits: {hours_per_month: 20}\nunits: {system: imperial}\n# the end\n"},
		{yard, "units", "", "# ours\nyard: Alder Fen # the reserve\ncurrency: EUR # for parts\n" +
			"visits: {hours_per_month: 20}\n# the end\n"},
		{"yard: A\nlist:\n- a\n- b\nx: 1", "new", "2", "yard: A\nnew: 2\nlist:\n- a\n- b\nx: 1"},
		{"x: 1", "new", "2", "x: 1\nnew: 2\n"},
		{"list:\n- a\n\n- b\nx: 1\n", "list", "[c]", "list: [c]\nx: 1\n"},
		{"", "units", "{}", "units: {}\n"},
		{"x: 1\n", "y", "", "x: 1\n"},
	} {
		if got := string(SetTop([]byte(c.in), c.key, c.value, "yard")); got != c.want {
			t.Errorf("%s set to %q in %q:\n%q, want\n%q", c.key, c.value, c.in, got, c.want)
		}
	}
}
