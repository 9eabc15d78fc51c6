package units

import (
	"strconv"
	"strings"

	"undertray.example/undertray/internal/message"
)

// Minor returns an amount of money in the minor unit of its currency, pence or
// cents: "24.50 GBP" is 2450. Other dimensions, and amounts beyond an int64,
// give an *Error.
func (q Quantity) Minor() (int64, error) {
	if q.dim != Money {
		return 0, q.misuse(Money)
	}
	whole, decimals, _ := strings.Cut(q.num.text, ".")
	decimals += strings.Repeat("0", minorDigits(q.unit)-len(decimals))
	minor, err := strconv.ParseInt(whole+decimals, 10, 64)
	if err != nil {
		return 0, &Error{Text: q.String(), Problem: "is too large to add", Want: want(Money),
			Suggestion: "give a smaller amount"}
	}
	return minor, nil
}

// FromMinor returns an amount of money given in the minor unit of its currency:
// 2450 and "GBP" make "24.50 GBP".
func FromMinor(minor int64, code string) (Quantity, error) {
	row := currencyUnit(code)
	if row == nil {
		return Quantity{}, &Error{Text: code, Problem: "is no currency", Want: want(Money),
			Suggestion: "write a three-letter code such as GBP, EUR or USD"}
	}
	digits, negative := strings.CutPrefix(strconv.FormatInt(minor, 10), "-")
	text := digits
	if places := minorDigits(row.symbol); places > 0 {
		digits = strings.Repeat("0", max(0, places+1-len(digits))) + digits
		text = digits[:len(digits)-places] + "." + digits[len(digits)-places:]
	}
	if negative {
		text = "-" + text
	}
	n, problem, _ := readNumber(text)
	if problem != "" {
		return Quantity{}, &Error{Text: text, Problem: problem, Want: want(Money), Suggestion: "give a smaller amount"}
	}
	return Quantity{num: n, unit: row.symbol, dim: Money}, nil
}

// Sum adds amounts of money of one currency exactly, in minor units. None among
// them is passed over; nothing to add gives none. Different currencies, other
// dimensions and totals beyond an int64 give an *Error.
func Sum(amounts ...Quantity) (Quantity, error) {
	var total int64
	code := ""
	for _, amount := range amounts {
		if amount.IsZero() {
			continue
		}
		minor, err := amount.Minor()
		if err != nil {
			return Quantity{}, err
		}
		if code != "" && code != amount.unit {
			return Quantity{}, &Error{Text: amount.String(),
				Problem: message.Of("is not in %s like the amounts before it", code),
				Want:    want(Money), Suggestion: "add each currency on its own"}
		}
		code = amount.unit
		sum := total + minor
		if (sum > total) != (minor > 0) && minor != 0 {
			return Quantity{}, &Error{Text: amount.String(), Problem: "makes the total too large to add",
				Want: want(Money), Suggestion: "give smaller amounts"}
		}
		total = sum
	}
	if code == "" {
		return Quantity{}, nil
	}
	return FromMinor(total, code)
}

// currencyUnit returns the unit of a currency given by its code in capitals or
// by one of £, $ and €; nil when there is no such currency. The dollar sign
// alone means USD. Small letters are refused because many codes are words: "12
// all" is no amount in Albanian lek.
func currencyUnit(spelling string) *unit {
	switch spelling {
	case "£":
		spelling = "GBP"
	case "$":
		spelling = "USD"
	case "€":
		spelling = "EUR"
	}
	if !isCurrency(spelling) {
		return nil
	}
	return &unit{symbol: spelling, dim: Money, num: 1, den: 1, systems: everyone}
}

// isCurrency reports whether s is a code of ISO 4217.
func isCurrency(s string) bool {
	return len(s) == 3 && !strings.Contains(s, " ") && strings.Contains(currencies, s)
}

// minorDigits returns how many decimals amounts of the currency have.
func minorDigits(code string) int {
	switch {
	case strings.Contains(currenciesWithout, " "+code+" "):
		return 0
	case strings.Contains(currenciesOfThree, " "+code+" "):
		return 3
	default:
		return 2
	}
}

// The currencies of ISO 4217:2015, list one (current currencies of countries),
// without funds, metals and test codes; then those whose minor unit has no or
// three decimals instead of two.
const (
	currencies = " AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BGN BHD BIF BMD BND BOB BRL BSD BTN BWP BYN BZD" +
		" CAD CDF CHF CLP CNY COP CRC CUP CVE CZK DJF DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GNF " +
		"GTQ GYD" +
		" HKD HNL HTG HUF IDR ILS INR IQD IRR ISK JMD JOD JPY KES KGS KHR KMF KPW KRW KWD KYD KZT LAK LBP LKR LRD " +
		"LSL LYD" +
		" MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD OMR PAB PEN PGK PHP PKR " +
		"PLN PYG" +
		" QAR RON RSD RUB RWF SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TND TOP TRY " +
		"TTD TWD TZS" +
		" UAH UGX USD UYU UZS VES VND VUV WST XAF XCD XCG XOF XPF YER ZAR ZMW ZWG "
	currenciesWithout = " BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF "
	currenciesOfThree = " BHD IQD JOD KWD LYD OMR TND "
)
