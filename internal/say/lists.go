package say

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Sentence gives a phrase its capital and its full stop.
func Sentence(s string) string {
	s = strings.TrimRight(strings.TrimSpace(s), ".")
	if s == "" {
		return ""
	}
	return Capital(s) + "."
}

// Few lists at most so many names of parts and counts those beyond: "belt, hose
// and two other parts".
func Few(names []string, most int) string {
	if n := len(names); n > most {
		names = append(names[:most-1:most-1], Count(n-most+1, "other part", "other parts"))
	}
	return Listing(names)
}

// Listing joins words as in a sentence: "a, b and c".
func Listing(parts []string) string {
	switch n := len(parts); n {
	case 0:
		return ""
	case 1:
		return parts[0]
	default:
		sep := ", "
		if slices.ContainsFunc(parts, func(p string) bool { return strings.Contains(p, ",") }) {
			sep = "; "
		}
		return strings.Join(parts[:n-1], sep) + " and " + parts[n-1]
	}
}

// Unique returns words without those that stand before already.
func Unique(words []string) []string {
	var out []string
	seen := map[string]bool{}
	for _, w := range words {
		if !seen[w] {
			seen[w] = true
			out = append(out, w)
		}
	}
	return out
}

// Capital raises the first letter.
func Capital(s string) string {
	r, size := utf8.DecodeRuneInString(s)
	if size == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[size:]
}

// LowerFirst lowers the first letter of a name for use inside a sentence,
// unless its first word is an abbreviation.
func LowerFirst(s string) string {
	r, size := utf8.DecodeRuneInString(s)
	second, _ := utf8.DecodeRuneInString(s[size:])
	if size == 0 || unicode.IsUpper(second) {
		return s
	}
	return string(unicode.ToLower(r)) + s[size:]
}
