package yamltree

import "testing"

func TestWithout(t *testing.T) {
	for _, c := range []struct{ src, want string }{
		{"a: 1\ncost: 3 EUR # dear\nb: 2\n", "a: 1\nb: 2\n"},
		{"a: 1\ncosts:\n  x: 1\n  # one\n  y: 2\n# two\nb: 2\n", "a: 1\n# two\nb: 2\n"},
		{"l:\n  - {what: oil, cost: 3 EUR}\n  - {cost: '3, 4', what: \"b}\"}\n",
			"l:\n  - {what: oil}\n  - {what: \"b}\"}\n"},
		{"l: {cost: 1, costs: {a: 1, b: [2]}, äö: ü, cost: 2}\n", "l: {äö: ü}\n"},
		{"l: {cost: 1,\n  costs: 2}\n", "l: {}\n"},
		{"p:\n  - id: a\n    part:\n      name: n\n      cost: 1\n    x: 1\n",
			"p:\n  - id: a\n    part:\n      name: n\n    x: 1\n"},
	} {
		got, err := Without([]byte(c.src), "cost", "costs")
		if err != nil || string(got) != c.want {
			t.Errorf("%q: %q, %v; want %q", c.src, got, err, c.want)
		}
	}
	for _, src := range []string{"l:\n  - cost: 1\n    b: 2\n", "a: &x 1\nb: *x\n", "a: ["} {
		if got, err := Without([]byte(src), "cost"); err == nil {
			t.Errorf("%q: %q", src, got)
		}
	}
}
