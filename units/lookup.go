package units

import (
	"strings"
	"sync"

	"undertray.example/undertray/internal/message"
)

// index finds rows of the table by every accepted spelling. It is built once
// and never changed.
type index struct {
	bySymbol map[string]*unit
	byKey    map[string]*unit
	ordered  []*unit
}

// table returns the index of all units.
var table = sync.OnceValue(func() *index {
	rows := allUnits()
	ix := &index{bySymbol: map[string]*unit{}, byKey: map[string]*unit{}}
	for i := range rows {
		row := &rows[i]
		ix.ordered = append(ix.ordered, row)
		ix.bySymbol[row.symbol] = row
		ix.byKey[key(row.symbol)] = row
		for _, alias := range row.aliases {
			ix.byKey[key(alias)] = row
		}
	}
	return ix
})

// key reduces a spelling to what tells units apart: lower case, without spaces,
// stops, hyphens and product signs.
func key(spelling string) string {
	return strings.ToLower(squeeze(spelling))
}

// squeeze takes spaces, stops, hyphens and product signs out of a spelling.
func squeeze(spelling string) string {
	return strings.Map(func(r rune) rune {
		if strings.ContainsRune(" .-*·⋅•×", r) {
			return -1
		}
		return r
	}, spelling)
}

// isOtherUnit reports whether a spelling, case kept, is the symbol of a
// different unit that must not be read as the one it resembles: mPa is a
// thousandth of a pascal, not MPa.
func isOtherUnit(squeezed string) bool {
	switch squeezed {
	case "mPa", "Mm", "MV", "MA", "Ml", "ML", "Mbar", "M", "kn", "Kn":
		return true
	default:
		return false
	}
}

// lookup finds a unit by any accepted spelling, tidy or not; nil when there is
// none. The empty spelling is no unit.
func lookup(spelling string) *unit {
	if spelling == "" {
		return nil
	}
	if row := table().bySymbol[spelling]; row != nil {
		return row
	}
	spelling = tidy(spelling)
	if isOtherUnit(squeeze(spelling)) {
		return nil
	}
	if row := table().byKey[key(spelling)]; row != nil {
		return row
	}
	if row := perLength(spelling); row != nil {
		return row
	}
	return currencyUnit(spelling)
}

// perLength reads the unit of a count per length, "per 75 mm" or "per in"; nil
// when the spelling is none. The length is kept as typed in the symbol.
func perLength(spelling string) *unit {
	const prefix = "per "
	if after, ok := strings.CutPrefix(spelling, "/"); ok && after != "" && !isDigit(after[0]) {
		spelling = prefix + strings.TrimSpace(after) // "12/in"
	}
	if len(spelling) < len(prefix) || !strings.EqualFold(spelling[:len(prefix)], prefix) {
		return nil
	}
	figure, rest := splitNumber(spelling[len(prefix):])
	n := number{text: "1", value: 1}
	if figure != "" {
		problem := message.Text("")
		if n, problem, _ = readNumber(figure); problem != "" {
			return nil
		}
	}
	length := table().byKey[key(rest)]
	if length == nil || length.dim != Length || isOtherUnit(squeeze(rest)) || n.value <= 0 {
		return nil
	}
	exact := n.rat()
	const largest = 1e9 // times the largest factor of a length, 1000, stays within int64
	if !exact.Num().IsInt64() || !exact.Denom().IsInt64() || exact.Num().Int64() > largest ||
		exact.Denom().Int64() > largest {
		return nil
	}
	symbol := prefix + n.text + " " + length.symbol
	if n.text == "1" {
		symbol = prefix + length.symbol
	}
	return &unit{
		symbol: symbol, dim: Density, systems: length.systems,
		num: exact.Denom().Int64() * length.den,
		den: exact.Num().Int64() * length.num,
	}
}

// Units returns the symbols of the units of a dimension in the order of the
// table, for forms. Money, whose units are currencies, and Density, whose units
// hold a length, give the few that are usual; Number gives none.
func Units(d Dimension) []string {
	if d == Money || d == Density {
		return append([]string(nil), traitOf(d).suggest...)
	}
	var symbols []string
	for _, row := range table().ordered {
		if row.dim == d {
			symbols = append(symbols, row.symbol)
		}
	}
	return symbols
}

// Lookup returns the canonical symbol and the dimension of a unit given in any
// accepted spelling; ok is false when there is no such unit.
func Lookup(spelling string) (symbol string, d Dimension, ok bool) {
	row := lookup(spelling)
	if row == nil {
		return "", 0, false
	}
	return row.symbol, row.dim, true
}
