package yard

import (
	"slices"

	"golang.org/x/text/currency"
	"golang.org/x/text/language"

	"undertray.example/undertray/units"
)

// Where miles are driven and where things are measured in inches: the measurement
// systems "UK" and "US" of Unicode CLDR (supplemental data, measurementData), with the
// territories that go with them.
var (
	ofBritain = []string{"GB", "IM", "JE", "GG"}
	ofAmerica = []string{"US", "LR", "PR", "VI", "GU", "AS", "MP"}
)

// Usual guesses from the languages that a browser asks for, as its Accept-Language says,
// in which units its reader is at home, and in which currency. It is an offer: who is
// asked may choose otherwise.
func Usual(accept string) (units.Preferences, string) {
	tags, _, err := language.ParseAcceptLanguage(accept)
	if err != nil || len(tags) == 0 {
		return units.Preferences{}, ""
	}
	region, _ := tags[0].Region()
	money := ""
	if unit, ok := currency.FromRegion(region); ok {
		money = unit.String()
	}
	switch {
	case slices.Contains(ofAmerica, region.String()):
		return units.Preferences{System: units.USCustomary}, money
	case slices.Contains(ofBritain, region.String()):
		return units.Chosen(map[units.Dimension]string{units.Distance: "mi", units.Pressure: "psi"}), money
	}
	return units.Preferences{}, money
}
