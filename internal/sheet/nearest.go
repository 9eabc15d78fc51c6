package sheet

import (
	"fmt"
	"slices"
	"strings"

	"undertray/internal/catalogue"
)

// offered is how many words a message lists before it says how many more
// there are.
const offered = 12

// instead ends a message about an unknown word: it names the nearest of the
// known ones, or lists them.
func instead(word string, known []string) string {
	if near := nearest(word, known); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	if len(known) == 0 {
		return "there is none to name"
	}
	return "write one of " + list(known)
}

// list joins words with commas and shortens a long list.
func list(words []string) string {
	if len(words) <= offered {
		return strings.Join(words, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(words[:offered], ", "), len(words)-offered)
}

// nearest returns the known word that is spelt most like word, or else the one
// with the same parts in another order, or "".
func nearest(word string, known []string) string {
	if near := catalogue.Nearest(word, known); near != "" {
		return near
	}
	parts := sortedParts(word)
	for _, k := range known {
		if slices.Equal(parts, sortedParts(k)) {
			return k
		}
	}
	return ""
}

// sortedParts splits a hyphenated word and puts its parts in alphabetical order.
func sortedParts(word string) []string {
	parts := strings.FieldsFunc(strings.ToLower(word), func(c rune) bool { return c == '-' || c == '_' || c == ' ' })
	slices.Sort(parts)
	return parts
}
