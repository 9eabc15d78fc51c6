package units

import (
	"strings"
	"testing"

	"golang.org/x/text/currency"

	"undertray.example/undertray/internal/message"
)

// No spelling may stand for two units, in whatever case, and none may be read as
// a currency instead.
func TestSpellingsAreUnambiguous(t *testing.T) {
	owner := map[string]string{}
	for _, row := range allUnits() {
		for _, spelling := range append([]string{row.symbol}, row.aliases...) {
			k := key(spelling)
			if other, taken := owner[k]; taken && other != row.symbol {
				t.Errorf("%q stands for %s and %s", spelling, other, row.symbol)
			}
			owner[k] = row.symbol
			if isCurrency(strings.ToUpper(spelling)) {
				t.Errorf("%q of %s is a currency as well", spelling, row.symbol)
			}
			if strings.ContainsAny(k[:1], "0123456789-+.,") && spelling != "1/min" {
				t.Errorf("%q would be taken for a figure", spelling)
			}
		}
	}
}

func TestTableIsSound(t *testing.T) {
	seen := map[Dimension]int{}
	bases := map[Dimension]int{}
	for _, row := range allUnits() {
		if row.num <= 0 || row.den <= 0 || !row.dim.IsValid() || row.systems == 0 {
			t.Errorf("row %+v is not complete", row)
		}
		if got := lookup(row.symbol); got == nil || got.symbol != row.symbol {
			t.Errorf("%q is not found by its own symbol", row.symbol)
		}
		if isOtherUnit(squeeze(row.symbol)) {
			t.Errorf("%q is refused", row.symbol)
		}
		seen[row.dim]++
		if row.num == row.den && row.shift == 0 {
			bases[row.dim]++
		}
	}
	for _, d := range Dimensions() {
		switch d {
		case Number, Money, Density:
			continue
		}
		if seen[d] == 0 || bases[d] == 0 {
			t.Errorf("%s has %d units and %d base units", d, seen[d], bases[d])
		}
	}
}

// What errors and forms offer must be right itself.
func TestTraitsParse(t *testing.T) {
	names := map[message.Text]bool{}
	for _, d := range Dimensions() {
		tr := traitOf(d)
		if names[tr.name] || tr.name == "" {
			t.Errorf("name %q is used twice or empty", tr.name)
		}
		names[tr.name] = true
		q, err := Parse(tr.example, d)
		if err != nil || q.String() != tr.example || q.dim != d {
			t.Errorf("example %q of %s reads %q, %v", tr.example, d, q, err)
		}
		for _, symbol := range tr.suggest {
			if row := lookup(symbol); row == nil || row.dim != d || row.symbol != symbol {
				t.Errorf("%s suggests %q", d, symbol)
			}
		}
	}
}

// The codes agree with the currency table of the general-purpose text library
// (CLDR 32, 2017) but for those introduced since, and so do the numbers of
// decimals that are not two.
func TestCurrenciesAgreeWithLibrary(t *testing.T) {
	introducedSince := map[string]bool{"MRU": true, "STN": true, "VES": true, "SLE": true, "XCG": true, "ZWG": true}
	codes := strings.Fields(currencies)
	if len(codes) < 150 {
		t.Fatalf("only %d codes", len(codes))
	}
	for _, code := range codes {
		known, err := currency.ParseISO(code)
		if err != nil {
			if !introducedSince[code] {
				t.Errorf("%s is no currency: %v", code, err)
			}
			continue
		}
		scale, _ := currency.Standard.Rounding(known)
		// custom has dropped the thousandths of the dinar, ISO 4217 has not
		if places := minorDigits(code); places != 2 && places != scale && code != "IQD" {
			t.Errorf("%s has %d decimals, the library says %d", code, places, scale)
		}
	}
	for _, code := range strings.Fields(currenciesWithout + currenciesOfThree) {
		if !isCurrency(code) {
			t.Errorf("%s is not in the list", code)
		}
	}
	for _, code := range []string{"gbp", "AAA", "ED ", "D A", " AE", "XAU", "", "£"} {
		if isCurrency(code) {
			t.Errorf("%q is taken for a currency", code)
		}
	}
}
