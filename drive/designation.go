package drive

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// Designation is what is printed on a belt: 6PK1885, 10PJ1230, AV10X1000.
type Designation struct {
	Section  string // PK, PJ, AV10 or AV13
	Ribs     int    // 1 for a V-belt
	LengthMM int    // effective length
	Cogged   bool   // V-belts only: AVX
}

var (
	ribbedPattern = regexp.MustCompile(`^(\d{1,2})\s*(PK|PJ)\s*(\d{3,4})$`)
	veePattern    = regexp.MustCompile(`^AV(X?)\s*(10|13)\s*[X×]\s*(\d{3,4})(?:\s*LA)?$`)
	inchPattern   = regexp.MustCompile(`^\d{0,2}\s*[A-Z]\s*\d{5,6}$`)
)

// ParseDesignation reads a belt designation; case and inner spaces don't
// matter. PK and PJ are ribs, profile, effective length in mm (ISO 9982); V
// belts for vehicles are AV, top width, effective length (ISO 2790; the exact
// spelling is from memory). Inch part numbers are refused: makers count them
// differently.
func ParseDesignation(text string) (Designation, error) {
	t := strings.ToUpper(strings.TrimSpace(text))
	if m := ribbedPattern.FindStringSubmatch(t); m != nil {
		return checked(text, Designation{Section: m[2], Ribs: number(m[1]), LengthMM: number(m[3])})
	}
	if m := veePattern.FindStringSubmatch(t); m != nil {
		return checked(text, Designation{Section: "AV" + m[2], Ribs: 1, LengthMM: number(m[3]), Cogged: m[1] != ""})
	}
	r := &Refusal{Reason: BadDesignation, Code: "not a designation", Args: []Arg{called("text", text)}}
	if inchPattern.MatchString(t) {
		r.Code = "inch part number"
	}
	return Designation{}, r
}

func number(digits string) int {
	n, _ := strconv.Atoi(digits) // at most four digits by the patterns
	return n
}

func checked(text string, d Designation) (Designation, error) {
	if d.Ribs < 1 || d.LengthMM < 100 {
		return Designation{}, &Refusal{Reason: BadDesignation,
			Code: "designation too small", Args: []Arg{called("text", text), figure("ribs", float64(d.Ribs), ""),
				figure("length", float64(d.LengthMM), "mm")}}
	}
	return d, nil
}

// String is the designation as printed.
func (d Designation) String() string {
	if width, vee := strings.CutPrefix(d.Section, "AV"); vee {
		x := ""
		if d.Cogged {
			x = "X"
		}
		return fmt.Sprintf("AV%s%sX%d", x, width, d.LengthMM)
	}
	return fmt.Sprintf("%d%s%d", d.Ribs, d.Section, d.LengthMM)
}

// Belt is the belt so designated, its section ready made.
func (d Designation) Belt() (Belt, error) {
	s, err := SectionNamed(d.Section)
	if err != nil {
		return Belt{}, err
	}
	return Belt{Section: s, Ribs: float64(d.Ribs), LengthMM: float64(d.LengthMM)}, nil
}

// Designation is how a belt would be printed, its length rounded to a mm; false
// for a section without one or an unknown length.
func (b Belt) Designation() (Designation, bool) {
	d := Designation{Section: b.Section.Name, Ribs: int(b.Ribs), LengthMM: int(b.LengthMM + 0.5)}
	_, err := ParseDesignation(d.String())
	return d, err == nil
}
