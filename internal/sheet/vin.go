package sheet

import (
	"strings"

	"undertray.example/undertray/internal/message"
)

// vinLength is the length of a vehicle identification number since 1981.
const vinLength = 17

// vinWeights are the position weights of 49 CFR 565.15(c), table IV. The
// ninth position holds the check digit itself and has no weight.
var vinWeights = [vinLength]int{8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2}

// vinYearCodes are the codes of the tenth position in order, the first
// standing for 1980 and again for 2010 (49 CFR 565.15(d), table VI).
const vinYearCodes = "ABCDEFGHJKLMNPRSTVWXY123456789"

// VIN is what a vehicle identification number tells by itself.
type VIN struct {
	Text   string // upper case, without blanks and hyphens
	WMI    string // world manufacturer identifier, the first three characters
	Region string // where the identifier was given out; "" where unassigned

	// CheckDigit is the character the ninth position should hold. It is
	// compulsory in North America only; elsewhere the position may hold
	// anything.
	CheckDigit byte
	CheckOK    bool

	// Years are the two model years, thirty years apart, that the tenth
	// position can stand for; nil where it holds no year code. Outside North
	// America the position need not be a year.
	Years []int
	// RuleYear is the one of Years that the rule for passenger cars and light
	// trucks in the United States picks by the seventh position: a digit
	// means 1980 to 2009, a letter 2010 to 2039. The rule does not hold for
	// heavy vehicles, trailers, motorcycles and many VINs from elsewhere.
	RuleYear int
	// LowVolume says that the maker builds few vehicles: the third character
	// is 9, and positions 12 to 14 belong to the maker's identifier.
	LowVolume bool
}

// Decode reads a 17-character VIN by its published structure. It refuses a
// wrong length and the letters I, O and Q, which are never used. A wrong
// check digit is reported in the result, not as an error.
func Decode(vin string) (VIN, error) {
	text, err := cleanVIN(vin)
	if err != nil {
		return VIN{}, err
	}
	v := VIN{
		Text:       text,
		WMI:        text[:3],
		Region:     vinRegion(text[0]),
		CheckDigit: remainderChar(text),
		LowVolume:  text[2] == '9',
	}
	v.CheckOK = v.CheckDigit == text[8]
	i := strings.IndexByte(vinYearCodes, text[9])
	if i < 0 {
		return v, nil
	}
	v.Years = []int{1980 + i, 2010 + i}
	v.RuleYear = v.Years[1]
	if text[6] >= '0' && text[6] <= '9' {
		v.RuleYear = v.Years[0]
	}
	return v, nil
}

// cleanVIN returns the VIN in upper case without blanks and hyphens, or an
// error that names the first wrong character.
func cleanVIN(vin string) (string, error) {
	text := strings.ToUpper(strings.NewReplacer(" ", "", "-", "").Replace(vin))
	n := 0
	for _, c := range text {
		n++
		switch {
		case c == 'I' || c == 'O' || c == 'Q':
			return "", message.Errorf("VIN %q has the letter %c at position %d: I, O and Q are never used, so it is "+
				"1 or 0", vin, c, n)
		case (c < '0' || c > '9') && (c < 'A' || c > 'Z'):
			return "", message.Errorf("VIN %q has %q at position %d: only digits and capital letters are used", vin, c,
				n)
		}
	}
	if n != vinLength {
		return "", message.Errorf("VIN %q has %d characters: it should have %d", vin, n, vinLength)
	}
	return text, nil
}

// vinValue is the value of a character (49 CFR 565.15(c), table III).
func vinValue(c byte) int {
	switch {
	case c >= '0' && c <= '9':
		return int(c - '0')
	case c <= 'H':
		return int(c-'A') + 1
	case c <= 'R':
		return int(c-'J') + 1
	}
	return int(c-'S') + 2
}

// vinProducts returns value times weight for each position of a clean VIN.
func vinProducts(text string) [vinLength]int {
	var p [vinLength]int
	for i := range p {
		p[i] = vinValue(text[i]) * vinWeights[i]
	}
	return p
}

func remainderChar(text string) byte {
	sum := 0
	for _, p := range vinProducts(text) {
		sum += p
	}
	if sum%11 == 10 {
		return 'X'
	}
	return byte('0' + sum%11)
}

// vinRegion names the region of a first character after ISO 3780 (from
// memory; single codes have been reassigned since).
func vinRegion(c byte) string {
	switch {
	case c >= 'A' && c <= 'C':
		return "Africa"
	case c >= 'J' && c <= 'R':
		return "Asia"
	case c >= 'S' && c <= 'Z':
		return "Europe"
	case c >= '1' && c <= '5':
		return "North America"
	case c == '6' || c == '7':
		return "Oceania"
	case c == '8' || c == '9':
		return "South America"
	}
	return ""
}
