package drive

import (
	"strings"
	"testing"

	"undertray.example/undertray/internal/harm"
)

func TestDesignations(t *testing.T) {
	for text, want := range map[string]string{
		"6PK1885": "6PK1885", "6 pk 1885": "6PK1885", "6PK2120": "6PK2120", // pattern: ISO 9982 glossary entry
		"10PJ1230": "10PJ1230", " 4pk 900 ": "4PK900",
		"AV10X1000": "AV10X1000", "avx13x1075 La": "AVX13X1075", "AV13 × 950": "AV13X950",
	} {
		d, err := ParseDesignation(text)
		if err != nil || d.String() != want {
			t.Errorf("%q: %v, %v; want %s", text, d, err, want)
			continue
		}
		b, err := d.Belt()
		if err != nil || b.LengthMM != float64(d.LengthMM) {
			t.Errorf("%q: belt %+v, %v", text, b, err)
		}
		if back, ok := b.Designation(); !ok || back.LengthMM != d.LengthMM || back.Section != d.Section {
			t.Errorf("%q comes back as %v", text, back)
		}
	}
	for text, word := range map[string]string{
		"": "not a designation", "6PX1885": "not a designation", "PK1885": "not a designation", "0PK1885": "too small",
		"6PK50": "not a designation", "K060750": "inch part number", "6PK18850": "not a designation",
		"6PK099": "too small",
	} {
		if _, err := ParseDesignation(text); reason(err) != BadDesignation || !strings.Contains(err.Error(), word) {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func FuzzDesignation(f *testing.F) {
	harm.Add(f, "6PK1885", "10 PJ 1200", "AV10X1000", "AVX13 x 1075 La", "K060750", "6PK", "١PK1885")
	f.Fuzz(func(t *testing.T, s string) {
		d, err := ParseDesignation(s)
		if err != nil {
			if err.Error() == "" {
				t.Error("refused without words")
			}
			return
		}
		again, err := ParseDesignation(d.String())
		if err != nil || again != d {
			t.Errorf("%q parses as %v, printed %q parses as %v, %v", s, d, d.String(), again, err)
		}
	})
}
