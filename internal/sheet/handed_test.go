package sheet

import (
	"bytes"
	"strings"
	"testing"
)

func TestWithoutMoneyAndNames(t *testing.T) {
	const awkward = `
undertray: 1
vehicle: wren
name: Wren
costs:
  recovery: 190 EUR
visits: {hours: 3, hour_worth: 20 EUR} # mine
positions:
  - {id: belt, name: Belt, kind: ribbed-belt, from: above, x: 1, y: 2, part: {cost: 5 EUR, supplier: "Ann, the shop"}}
  - id: hose
    name: Hose
    kind: coolant-hose
    from: above
    x: 1
    y: 2
    part:
      supplier: Ann
      name: moulded # keep this
    consumables:
      - what: coolant
        cost: 9 EUR
`
	for _, c := range []struct {
		src, want string
		gone      []string
	}{
		{awkward, "# keep this", []string{"EUR", "Ann"}},
		// Laid out so that only writing it anew gets them out: its comments are lost.
		{strings.Replace(awkward, "- what: coolant\n        cost: 9 EUR", "- cost: 9 EUR\n        what: coolant", 1),
			"what: coolant", []string{"EUR", "Ann"}},
	} {
		out, err := Without("wren.yaml", []byte(c.src), true, true)
		if err != nil || !strings.Contains(string(out), c.want) {
			t.Fatalf("%v\n%s", err, out)
		}
		for _, words := range c.gone {
			if bytes.Contains(out, []byte(words)) {
				t.Errorf("%q is still there:\n%s", words, out)
			}
		}
		if only, err := Without("wren.yaml", []byte(c.src), false, true); err != nil ||
			bytes.Contains(only, []byte("Ann")) || !bytes.Contains(only, []byte("190 EUR")) {
			t.Errorf("%v\n%s", err, only)
		}
	}
	for id, src := range old(t) {
		out, err := Without(id, src, true, true)
		lost := bytes.Count(src, []byte("#")) - bytes.Count(out, []byte("#"))
		if err != nil || bytes.Contains(out, []byte("cost:")) || lost > bytes.Count(src, []byte("cost")) {
			t.Errorf("%s: %v, %d comments lost", id, err, lost)
		}
	}
}

func TestNamed(t *testing.T) {
	for id, src := range old(t) {
		out, err := Named(id, src, "another-1")
		if err != nil || topText(out, "vehicle") != "another-1" || bytes.Count(out, []byte("\n")) !=
			bytes.Count(src, []byte("\n")) {
			t.Error(id, err)
		}
	}
	if _, err := Named("x", []byte("{vehicle: x}"), "y"); err == nil {
		t.Error("a sheet in braces got another id")
	}
}
