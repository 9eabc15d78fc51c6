package units

import (
	"math/big"
	"strconv"
	"strings"
	"unicode"

	"undertray.example/undertray/internal/message"
)

const (
	maxWholeDigits    = 15 // so that every whole number is exact in a float64
	maxDecimals       = 30
	maxFractionDigits = 6
)

// number is a figure as typed: its text in one spelling, and its value.
type number struct {
	text  string // "8200", "-1.50", "3/8", "1 1/2"
	value float64
}

// tidy brings the many spellings of spaces, signs and fractions into one: runs
// of any space become one space, the ends are trimmed, "−" becomes "-", and
// "1½" becomes "1 1/2".
func tidy(s string) string {
	var b strings.Builder
	b.Grow(len(s))
	for _, r := range s {
		switch {
		case unicode.IsSpace(r) || r == '\u200b' || r == '\u2060' || r == '\ufeff':
			b.WriteByte(' ')
		case r == '−' || r == '‐' || r == '‑' || r == '–':
			b.WriteByte('-')
		case r == '⁄':
			b.WriteByte('/')
		default:
			if fraction := vulgarFraction(r); fraction != "" {
				b.WriteString(" " + fraction)
				continue
			}
			b.WriteRune(r)
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// vulgarFraction returns "1/2" for "½", and nothing for other characters.
func vulgarFraction(r rune) string {
	switch r {
	case '½':
		return "1/2"
	case '¼':
		return "1/4"
	case '¾':
		return "3/4"
	case '⅓':
		return "1/3"
	case '⅔':
		return "2/3"
	case '⅛':
		return "1/8"
	case '⅜':
		return "3/8"
	case '⅝':
		return "5/8"
	case '⅞':
		return "7/8"
	default:
		return ""
	}
}

// splitNumber divides tidy text into the figure it begins with, sign included,
// and what follows it. The figure may still be malformed; it is empty when the
// text does not begin with one.
func splitNumber(s string) (figure, rest string) {
	start := 0
	if s != "" && (s[0] == '-' || s[0] == '+') {
		start = 1
	}
	end := start
	for end < len(s) && continuesNumber(s, end) {
		end++
	}
	if end == start {
		return "", s
	}
	return s[:end], strings.TrimSpace(s[end:])
}

// continuesNumber reports whether the byte at i belongs to a figure: a digit, a
// point, a comma, or a space, slash or the hyphen of 1-1/2 before a digit.
func continuesNumber(s string, i int) bool {
	switch c := s[i]; {
	case isDigit(c) || c == '.' || c == ',':
		return true
	case c == ' ' || c == '/':
		return i+1 < len(s) && isDigit(s[i+1])
	case c == '-':
		return i > 0 && isDigit(s[i-1]) && beginsFraction(s[i+1:])
	default:
		return false
	}
}

// beginsFraction reports whether s begins with digits, a slash and a digit.
func beginsFraction(s string) bool {
	i := 0
	for i < len(s) && isDigit(s[i]) {
		i++
	}
	return i > 0 && i+1 < len(s) && s[i] == '/' && isDigit(s[i+1])
}

// readNumber reads a figure as splitNumber returns it. On failure problem says
// what is wrong, to follow the quoted text, and better is the figure that was
// probably meant, or empty.
func readNumber(figure string) (n number, problem message.Text, better string) {
	sign, digits := "", figure
	if digits != "" && (digits[0] == '-' || digits[0] == '+') {
		sign, digits = strings.TrimPrefix(digits[:1], "+"), strings.TrimSpace(digits[1:])
	}
	if strings.Contains(digits, "/") {
		n, problem = readFraction(digits)
	} else {
		n, problem, better = readDecimal(digits)
	}
	if problem != "" {
		if better != "" {
			better = sign + better
		}
		return number{}, problem, better
	}
	if n.value != 0 && sign == "-" {
		n.text, n.value = "-"+n.text, -n.value
	}
	return n, "", ""
}

// readDecimal reads an unsigned whole or decimal figure, possibly with its
// digits grouped in threes.
func readDecimal(s string) (n number, problem message.Text, better string) {
	whole, decimals, hasPoint := strings.Cut(s, ".")
	if hasPoint && (decimals == "" || !allDigits(decimals)) {
		return number{}, "has a figure that ends or continues wrongly after the point", ""
	}
	if !hasPoint && strings.Count(s, ",") == 1 {
		before, after, _ := strings.Cut(s, ",")
		isGroup := len(after) == 3 && before != "" && before[0] != '0'
		if joined, ok := ungroup(before); ok && !isGroup && allDigits(after) && after != "" {
			return number{}, "has a comma where the decimal point belongs", trimZeros(joined) + "." + after
		}
	}
	whole, ok := ungroup(whole)
	if !ok {
		return number{}, "has digits that are not grouped in threes", ""
	}
	if whole == "" && !hasPoint {
		return number{}, "has no digits", ""
	}
	whole = trimZeros(whole)
	if len(whole) > maxWholeDigits || len(decimals) > maxDecimals {
		return number{}, "has more digits than can be kept", ""
	}
	text := whole
	if hasPoint {
		text += "." + decimals
	}
	value, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return number{}, "has a figure that cannot be read", ""
	}
	return number{text: text, value: value}, "", ""
}

// readFraction reads "3/8", "1 1/2" or "1-1/2".
func readFraction(s string) (number, message.Text) {
	whole := ""
	if cut := strings.LastIndexAny(s, " -"); cut >= 0 {
		whole, s = s[:cut], s[cut+1:]
	}
	top, bottom, _ := strings.Cut(s, "/")
	whole, ok := ungroup(whole)
	if !ok || !allDigits(top) || !allDigits(bottom) || top == "" || bottom == "" {
		return number{}, "has a fraction that cannot be read"
	}
	whole, top, bottom = trimZeros(whole), trimZeros(top), trimZeros(bottom)
	if len(whole) > maxFractionDigits || len(top) > maxFractionDigits || len(bottom) > maxFractionDigits {
		return number{}, "has a fraction with more digits than can be kept"
	}
	w, t, b := atoi(whole), atoi(top), atoi(bottom)
	if b == 0 {
		return number{}, "has a fraction that divides by zero"
	}
	if w > 0 && t >= b {
		return number{}, "has a fraction that is not smaller than one"
	}
	text := top + "/" + bottom
	if w > 0 {
		text = whole + " " + text
	}
	return number{text: text, value: float64(w*b+t) / float64(b)}, ""
}

// ungroup takes the separators out of a whole figure and reports whether they
// were right: one kind, the first group of one to three digits without a
// leading zero, the others of three.
func ungroup(s string) (string, bool) {
	separator := strings.IndexAny(s, " ,")
	if separator < 0 {
		return s, allDigits(s)
	}
	groups := strings.Split(s, s[separator:separator+1])
	if first := groups[0]; first == "" || len(first) > 3 || first[0] == '0' || !allDigits(first) {
		return "", false
	}
	for _, group := range groups[1:] {
		if len(group) != 3 || !allDigits(group) {
			return "", false
		}
	}
	return strings.Join(groups, ""), true
}

// rat returns the exact value of a figure's text.
func (n number) rat() *big.Rat {
	text, negative := strings.CutPrefix(n.text, "-")
	sum := new(big.Rat)
	for part := range strings.FieldsSeq(text) {
		if r, ok := new(big.Rat).SetString(part); ok {
			sum.Add(sum, r)
		}
	}
	if negative {
		sum.Neg(sum)
	}
	return sum
}

// isFraction reports whether the figure was typed as a fraction.
func (n number) isFraction() bool { return strings.Contains(n.text, "/") }

// decimals returns how many digits follow the point.
func (n number) decimals() int {
	_, after, _ := strings.Cut(n.text, ".")
	return len(after)
}

// significant returns how many significant digits the text claims; zeros that
// end a whole number count, because an odometer shows them. A fraction is a
// nominal size and claims four.
func (n number) significant() int {
	if n.isFraction() {
		return 4
	}
	digits := strings.Replace(strings.TrimPrefix(n.text, "-"), ".", "", 1)
	return max(1, len(strings.TrimLeft(digits, "0")))
}

// nominal is significant for a figure that was set and not read: zeros that end
// a whole number are rounding, so that 30 000 claims one digit.
func (n number) nominal() int {
	if n.isFraction() || n.decimals() > 0 {
		return n.significant()
	}
	return max(1, len(strings.Trim(strings.TrimPrefix(n.text, "-"), "0")))
}

// trimZeros takes leading zeros off a run of digits; nothing becomes "0".
func trimZeros(s string) string {
	s = strings.TrimLeft(s, "0")
	if s == "" {
		return "0"
	}
	return s
}

// atoi reads a short run of digits.
func atoi(s string) int {
	n := 0
	for i := range len(s) {
		n = n*10 + int(s[i]-'0')
	}
	return n
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// allDigits reports whether s holds nothing but digits; true for nothing.
func allDigits(s string) bool {
	for i := range len(s) {
		if !isDigit(s[i]) {
			return false
		}
	}
	return true
}
