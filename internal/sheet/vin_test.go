package sheet

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Worked examples. The first is the sample of the regulation itself (49 CFR
// 565, table V); the second is a widely printed teaching example, the third a
// public worked example for a motorcycle; the fourth is constructed and shows
// that a plainly false number can pass. The last four are synthetic; their sums
// were computed independently from the tables of the regulation.
func TestCheckDigitWorkedExamples(t *testing.T) {
	tests := []struct {
		vin      string
		products []int
		sum      int
		digit    byte
	}{
		{"1G4AH59H45G118341", []int{8, 49, 24, 5, 32, 15, 18, 80, 0, 45, 56, 7, 6, 40, 12, 12, 2}, 411, '4'},
		{"1M8GDM9AXKP042788", []int{8, 28, 48, 35, 16, 12, 18, 10, 0, 18, 56, 0, 24, 10, 28, 24, 16}, 351, 'X'},
		{"JH2RC3605MM101581", []int{8, 56, 12, 45, 12, 9, 12, 0, 0, 36, 32, 7, 0, 5, 20, 24, 2}, 280, '5'},
		{"11111111111111111", nil, 89, '1'},
		{"ZZ9AB12C98X000123", nil, 383, '9'},
		{"ZZ9AB1KC2JX004567", nil, 376, '2'},
		{"ZZ9TE5T19BX900001", nil, 394, '9'},
		{"ZZ9XA44D7TX123450", nil, 436, '7'},
	}
	for _, tt := range tests {
		got := vinProducts(tt.vin)
		if tt.products != nil {
			if diff := cmp.Diff(tt.products, got[:]); diff != "" {
				t.Errorf("%s: products (-want +got):\n%s", tt.vin, diff)
			}
		}
		sum := 0
		for _, p := range got {
			sum += p
		}
		if sum != tt.sum {
			t.Errorf("%s: sum %d, want %d", tt.vin, sum, tt.sum)
		}
		v, err := Decode(tt.vin)
		if err != nil || v.CheckDigit != tt.digit || !v.CheckOK {
			t.Errorf("%s: check digit %q, right: %v, %v; want %q", tt.vin, v.CheckDigit, v.CheckOK, err, tt.digit)
		}
	}
}

// Of the 16 x 32 single wrong characters outside position 9, 39 slip through
// on the second worked example, every one because both characters share a
// value. The number was computed independently.
func TestCheckDigitSubstitutions(t *testing.T) {
	const vin = "1M8GDM9AXKP042788"
	const letters = "0123456789ABCDEFGHJKLMNPRSTUVWXYZ"
	tried, slipped := 0, 0
	for i := range vin {
		if i == 8 {
			continue
		}
		for j := range letters {
			if letters[j] == vin[i] {
				continue
			}
			tried++
			wrong := vin[:i] + letters[j:j+1] + vin[i+1:]
			v, err := Decode(wrong)
			if err != nil {
				t.Fatalf("%s: %v", wrong, err)
			}
			if !v.CheckOK {
				continue
			}
			slipped++
			if vinValue(vin[i]) != vinValue(letters[j]) {
				t.Errorf("%s passes although %c and %c differ in value", wrong, vin[i], letters[j])
			}
		}
	}
	if tried != 512 || slipped != 39 {
		t.Errorf("%d of %d substitutions slip through, want 39 of 512", slipped, tried)
	}
}

func TestDecode(t *testing.T) {
	tests := []struct {
		vin    string
		region string
		years  []int
		rule   int
	}{
		{"1G4AH59H45G118341", "North America", []int{2005, 2035}, 2005}, // position 7 a digit
		{"1M8GDM9AXKP042788", "North America", []int{1989, 2019}, 1989},
		{"ZZ9AB1KC2JX004567", "Europe", []int{1988, 2018}, 2018}, // position 7 a letter
		{"zz9ab12c9 8x-000123", "Europe", []int{2008, 2038}, 2008},
		{"JH2RC3605MM101581", "Asia", []int{1991, 2021}, 1991},
		{"ZZ9AB12C90X000123", "Europe", nil, 0}, // 0 is no year code
		{"DZ9AB12C98X000123", "", []int{2008, 2038}, 2008},
	}
	for _, tt := range tests {
		v, err := Decode(tt.vin)
		if err != nil {
			t.Errorf("%s: %v", tt.vin, err)
			continue
		}
		if v.Region != tt.region || v.RuleYear != tt.rule || !cmp.Equal(v.Years, tt.years) {
			t.Errorf("%s: region %q years %v rule %d; want %q %v %d",
				tt.vin, v.Region, v.Years, v.RuleYear, tt.region, tt.years, tt.rule)
		}
		if v.WMI != strings.ToUpper(tt.vin[:3]) {
			t.Errorf("%s: WMI %q", tt.vin, v.WMI)
		}
	}
}

// The year codes as printed in 49 CFR 565.15(d), table VI: I, O, Q, U, Z and
// 0 are not used.
func TestYearCodes(t *testing.T) {
	want := map[byte]int{'A': 1980, 'H': 1987, 'J': 1988, 'N': 1992, 'P': 1993, 'R': 1994,
		'T': 1996, 'V': 1997, 'Y': 2000, '1': 2001, '9': 2009}
	for code, year := range want {
		v, err := Decode("1G4AH59H4" + string(code) + "G118341")
		if err != nil || len(v.Years) != 2 || v.Years[0] != year || v.Years[1] != year+30 {
			t.Errorf("code %c: years %v, %v; want %d and %d", code, v.Years, err, year, year+30)
		}
	}
	for _, code := range "UZ0" {
		v, err := Decode("1G4AH59H4" + string(code) + "G118341")
		if err != nil || v.Years != nil {
			t.Errorf("code %c: years %v, %v; want none", code, v.Years, err)
		}
	}
}

func TestDecodeRefuses(t *testing.T) {
	tests := map[string]string{
		"":                   "has 0 characters",
		"1G4AH59H45G11834":   "has 16 characters: it should have 17",
		"1G4AH59H45G118341X": "has 18 characters",
		"1G4AH59H45GI18341":  "letter I at position 12",
		"1G4AH59H45G11O341":  "letter O at position 14",
		"1G4AH59H45Gé18341":  "at position 12: only digits and capital letters",
	}
	for vin, want := range tests {
		_, err := Decode(vin)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: error %v, want %q", vin, err, want)
		}
	}
}
