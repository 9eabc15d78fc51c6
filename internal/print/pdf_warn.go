package print

import (
	"fmt"
	"slices"
	"strings"
)

// warnings knows which sections of a sheet need which caution. Sentences that the same
// sections need are told together, once on a side, by a letter where a later section
// needs them too.
type warnings struct {
	of       []section
	groups   []*warning
	lettered int
}

// warning is some sentences and the sections that need them.
type warning struct {
	sentences []string
	needs     map[int]bool // by section: whether they hold for all of it
	letter    string
	page      int // on which it was told last
}

// warn sorts the cautions of sections.
func warn(of []section) *warnings {
	needs, order := map[string]map[int]bool{}, []string(nil)
	add := func(sentences []string, n int, all bool) {
		for _, sentence := range sentences {
			if needs[sentence] == nil {
				needs[sentence] = map[int]bool{}
				order = append(order, sentence)
			}
			needs[sentence][n] = needs[sentence][n] || all
		}
	}
	for i, sec := range of {
		add(sec.all, i, true)
		add(sec.some, i, false)
	}
	w := &warnings{of: of}
	by := map[string]*warning{}
	for _, sentence := range order {
		key := fmt.Sprint(needs[sentence])
		if by[key] == nil {
			by[key] = &warning{needs: needs[sentence]}
			w.groups = append(w.groups, by[key])
		}
		by[key].sentences = append(by[key].sentences, sentence)
	}
	return w
}

// before returns what is read before a section on a page, what holds for all of it by
// itself, and the letters of what stands further up on that page.
func (w *warnings) before(n, page int) (all, some, above string) {
	var letters []string
	next := w.lettered
	for _, g := range w.groups {
		whole, needed := g.needs[n]
		if !needed {
			continue
		}
		if g.page == page {
			letters = append(letters, g.letter)
			continue
		}
		words := strings.Join(g.sentences, " ")
		if letter := g.letterAt(n, &next); letter != "" {
			words = letter + ")\u00a0" + words
		}
		if whole {
			all += " " + words
		} else {
			some += " " + words
		}
	}
	slices.Sort(letters)
	return strings.TrimSpace(all), strings.TrimSpace(some), strings.Join(letters, ", ")
}

// say takes as told on a page what was read before a section.
func (w *warnings) say(n, page int) {
	for _, g := range w.groups {
		if _, needed := g.needs[n]; needed && g.page != page {
			g.letter, g.page = g.letterAt(n, &w.lettered), page
		}
	}
}

// letterAt is the letter by which sentences can be referred to after a section, the next
// one where they have none; "" where no later section needs them.
func (g *warning) letterAt(n int, next *int) string {
	later := false
	for other := range g.needs {
		later = later || other > n
	}
	if g.letter != "" || !later {
		return g.letter
	}
	*next++
	return letters(*next)
}

// letters counts A to Z, then AA.
func letters(n int) string {
	out := ""
	for ; n > 0; n = (n - 1) / 26 {
		out = string(rune('A'+(n-1)%26)) + out
	}
	return out
}
