package catalogue

import (
	"fmt"
	"strings"
)

// longestWord is the length beyond which a word is no misspelling of ours.
const longestWord = 64

// Nearest returns the word of known that differs least from word, or "" if
// none is near: up to a third of the letters, and two in a short word, may be
// wrong. Case, underscores and spaces do not count.
func Nearest(word string, known []string) string {
	word = plain(word)
	n := len([]rune(word))
	if n == 0 || n > longestWord {
		return ""
	}
	best, bestAt := "", min(max(2, n/3), 6)+1
	for _, k := range known {
		if d := editDistance(word, plain(k)); d < bestAt && d < n {
			best, bestAt = k, d
		}
	}
	return best
}

func plain(word string) string {
	return strings.ToLower(strings.NewReplacer("_", "-", " ", "-").Replace(word))
}

// editDistance counts the letters to insert, drop, change or swap with a
// neighbour to turn a into b (optimal string alignment; Damerau 1964,
// restricted form).
func editDistance(a, b string) int {
	x, y := []rune(a), []rune(b)
	before, above, row := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range above {
		above[j] = j
	}
	for i := 1; i <= len(x); i++ {
		row[0] = i
		for j := 1; j <= len(y); j++ {
			change := above[j-1]
			if x[i-1] != y[j-1] {
				change++
			}
			row[j] = min(change, above[j]+1, row[j-1]+1)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, above, row = above, row, before
	}
	return above[len(y)]
}

// instead ends a message about an unknown word: it names the nearest known
// one, or lists them.
func instead(word string, known []string) string {
	const shown = 12
	if near := Nearest(word, known); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	switch {
	case len(known) == 0:
		return "there is none to name"
	case len(known) > shown:
		return fmt.Sprintf("write one of %s and %d more", strings.Join(known[:shown], ", "), len(known)-shown)
	}
	return "write one of " + strings.Join(known, ", ")
}
