package fleet

import (
	"slices"
	"strings"

	"undertray.example/undertray/internal/message"
)

// longestWord is the length beyond which a word is no misspelling of ours.
const longestWord = 64

// shortestStart is how many letters may stand for the word that begins with them.
const shortestStart = 3

// offered is how many words a message lists before it says how many more
// there are.
const offered = 12

// Nearest returns the word of known that differs least from word, or else one
// with the same parts in another order, or the only one that goes on as word
// begins, or "": up to a third of the letters, and two in a short word, may be
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
	if i := slices.IndexFunc(known, func(k string) bool { return SameParts(word, k) }); best == "" && i >= 0 {
		return known[i]
	}
	if best != "" || n < shortestStart {
		return best
	}
	for _, k := range known {
		if strings.HasPrefix(plain(k), word) {
			if best != "" {
				return ""
			}
			best = k
		}
	}
	return best
}

// SameParts reports whether two names have the same parts, in whatever order:
// belt-ribbed and "Ribbed belt".
func SameParts(a, b string) bool {
	parts := func(name string) []string {
		out := strings.Split(plain(name), "-")
		slices.Sort(out)
		return out
	}
	return slices.Equal(parts(a), parts(b))
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

// Instead ends a message about an unknown word: it names the nearest known
// one, or lists them.
func Instead(word string, known []string) message.Text {
	if near := Nearest(word, known); near != "" {
		return message.Of("did you mean %q?", near)
	}
	if len(known) == 0 {
		return "there is none to name"
	}
	return message.Of("write one of %s", Offer(known))
}

// Offer joins words with commas and shortens a long list.
func Offer(words []string) message.Text {
	if len(words) <= offered {
		return message.Name(strings.Join(words, ", "))
	}
	return message.Of("%s and %d more", strings.Join(words[:offered], ", "), len(words)-offered)
}
