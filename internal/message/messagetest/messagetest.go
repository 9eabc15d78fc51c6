// Package messagetest reads what is shown in the pseudo-language: what has a word without marks that nobody else wrote
// was left in English, messages side by side are pieces, and a bracket that does not close was cut off.
package messagetest

import (
	"fmt"
	"maps"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/message/languages"
	"undertray.example/undertray/units"
)

const months = "(Jan(uary)?|Feb(ruary)?|Mar(ch)?|Apr(il)?|May|June?|July?|Aug(ust)?|Sep(tember)?|Oct(ober)?|" +
	"Nov(ember)?|Dec(ember)?)"

var (
	dates      = regexp.MustCompile(`(\d{1,2} )?` + months + `( \d{4})?`)
	quantities = regexp.MustCompile(`[\d.,\x{202f}\x{a0}]+[ \x{a0}\x{202f}]?` +
		`(per[ \x{a0}\x{202f}][\d.,]*[ \x{a0}\x{202f}]?)?[A-Za-z°%·/²³]+`)
	unmarked = regexp.MustCompile(`[A-Za-z’]*[acdeghijklnorstuwyzACDEGHIJKLNORSTUWYZ][A-Za-z’]*`)
	digits   = regexp.MustCompile(`\d[\d\x{202f}]*([.,]\d+)?`)
	inPieces = regexp.MustCompile(`» *«\p{Ll}`)
	// symbols match what is printed on a belt, and units at the head of a column: the same in any language.
	symbols = regexp.MustCompile(`\b(\d*(PK|PJ|AV\d+X?)\d*|N|km|kB|Shore A)\b`)
	// unitFirst matches what may be a unit before its name, where units are chosen.
	unitFirst = regexp.MustCompile(`^[A-Za-z·]+( [A-Za-z]+)?, «`)
	// word matches what is no name but a key within files: "cracks", "ribbed-belt".
	word = regexp.MustCompile(`^[a-z0-9-]*$`)
)

// Known leaves out of a text what settings, sheets and entries hold: names and notes are the same in any language. Keys
// are words that are left out whatever they are.
func Known(keys []string, held ...any) *strings.Replacer {
	all := map[string]bool{}
	for _, key := range keys {
		all[key] = true
	}
	for _, h := range held {
		each(reflect.ValueOf(h), false, func(s string) string {
			if !strings.ContainsFunc(s, unicode.IsLetter) { // a figure, which may be a part of others
				return s
			}
			if word.MatchString(s) { // it may be a part of others: known in a list, and alone
				all[" "+s+","], all[" "+s+"."], all[message.Capital(s)+"."] = true, true, true
				return s
			}
			for _, s := range []string{s, strings.TrimRight(s, ".")} { // a sentence may go on after it
				all[s], all[message.Capital(s)], all[message.LowerFirst(s)] = true, true, true
			}
			return s
		})
	}
	var pairs []string
	for _, n := range slices.SortedFunc(maps.Keys(all), func(a, b string) int { return len(b) - len(a) }) {
		pairs = append(pairs, n, "")
	}
	return strings.NewReplacer(pairs...)
}

// Greek writes what settings, sheets and entries hold in Greek letters, for readings in which a name is parted
// by its neighbours: what is left in Latin ones is the program's.
func Greek(held ...any) {
	for _, h := range held {
		each(reflect.ValueOf(h), false, func(s string) string {
			return strings.Map(func(r rune) rune {
				switch l := unicode.ToLower(r); {
				case l < 'a' || l > 'z':
					return r
				case l == r:
					return 'α' + (r-'a')%17
				default:
					return 'Α' + (l-'a')%17
				}
			}, s)
		})
	}
}

// each hands over every text that somebody wrote, and puts what it is given in its place where it can. What is one word
// in small letters is a key, but for what is always a name.
func each(v reflect.Value, name bool, do func(string) string) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			each(v.Elem(), name, do)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			f := v.Type().Field(i).Name
			each(v.Field(i), f == "Tools" || f == "Where" || f == "What" && v.Type().Name() == "Fastener", do)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			each(v.Index(i), name, do)
		}
	case reflect.Map:
		for _, k := range v.MapKeys() {
			each(v.MapIndex(k), name, do)
		}
	case reflect.String:
		s := v.String()
		if v.Type() == reflect.TypeFor[string]() && (name || !word.MatchString(s) && len(s) > 2) {
			if s = do(s); v.CanSet() {
				v.SetString(s)
			}
		}
	}
}

// Words are those of a text without marks that are no name, date or quantity.
func Words(s string, known *strings.Replacer) []string {
	unit := strings.TrimSuffix(unitFirst.FindString(s), ", «")
	if _, err := units.ParseAny("1 " + unit); err == nil {
		s = s[len(unit):]
	}
	rest := quantities.ReplaceAllStringFunc(dates.ReplaceAllString(symbols.ReplaceAllString(known.Replace(s), ""), ""),
		func(q string) string {
			if _, err := units.ParseAny(q); err == nil {
				return ""
			}
			return q
		})
	return unmarked.FindAllString(rest, -1)
}

// Read adds a text to those of a page that are left in English or put together from messages. Figures are left out of
// them, so that a day's passing makes none.
func (l *Left) Read(s string, known *strings.Replacer) {
	l.Open += strings.Count(s, languages.Opens) - strings.Count(s, languages.Closes)
	plain := digits.ReplaceAllString(strings.Join(strings.Fields(s), " "), "0")
	if inPieces.MatchString(s) {
		l.Pieces = append(l.Pieces, plain)
	}
	if len(Words(s, known)) > 0 {
		l.English = append(l.English, plain)
	}
}

// Left is what of a page, a sheet or an answer is no whole message.
type Left struct {
	English, Pieces []string
	Open            int // brackets that do not close
}

// Held are how many different texts each page, sheet or answer leaves in English, and how many are pieces, as a file
// holds them. Each may only go down; with UNDERTRAY_LEFT set it is written anew, with UNDERTRAY_SHOW=NAME what is left
// of one is shown, or of all.
type Held struct {
	file string
	held map[string][2]int
	now  map[string]string
	all  map[string]bool
}

// Hold reads such a file.
func Hold(t *testing.T, file string) *Held {
	t.Helper()
	src, err := os.ReadFile(file)
	if err != nil && os.Getenv("UNDERTRAY_LEFT") == "" {
		t.Fatal(err)
	}
	h := &Held{file, map[string][2]int{}, map[string]string{}, map[string]bool{}}
	for line := range strings.Lines(string(src)) {
		var n [2]int
		if _, err := fmt.Sscanf(line, "%d %d", &n[0], &n[1]); err != nil {
			t.Fatalf("%s: %q: %v", file, line, err)
		}
		h.held[strings.TrimSpace(strings.SplitN(line, " ", 3)[2])] = n
	}
	return h
}

// Check fails where more is left than was, or a message is cut off.
func (h *Held) Check(t *testing.T, name string, l Left) {
	t.Helper()
	slices.Sort(l.English)
	slices.Sort(l.Pieces)
	left, pieces := slices.Compact(l.English), slices.Compact(l.Pieces)
	if l.Open != 0 {
		t.Errorf("%s: %d messages are cut off", name, l.Open)
	}
	most, ok := h.held[name]
	if ok && (len(left) > most[0] || len(pieces) > most[1]) || !ok && len(left)+len(pieces) > 0 {
		t.Errorf("%s: %d texts are left in English and %d in pieces, at most %v:\n%s", name, len(left), len(pieces),
			most, strings.Join(append(left, pieces...), "\n"))
	}
	if show := os.Getenv("UNDERTRAY_SHOW"); show == name || show == "all" {
		t.Log(strings.Join(append(left, pieces...), "\n"))
	}
	for _, s := range left {
		h.all[s] = true
	}
	h.now[name] = fmt.Sprintf("%d %d %s\n", len(left), len(pieces), name)
}

// Done fails where the file holds what is not there.
func (h *Held) Done(t *testing.T) {
	t.Helper()
	for name := range h.held {
		if h.now[name] == "" {
			t.Errorf("%s holds %s, which is not there", h.file, name)
		}
	}
	t.Logf("%d texts are left in English in %d places", len(h.all), len(h.now))
	if os.Getenv("UNDERTRAY_LEFT") == "" {
		return
	}
	var b strings.Builder
	for _, name := range slices.Sorted(maps.Keys(h.now)) {
		b.WriteString(h.now[name])
	}
	if err := os.WriteFile(h.file, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}
