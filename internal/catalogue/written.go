package catalogue

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Written is how owners write of parts and of work, beside the names that kinds have.
type Written struct {
	// Short are short forms and other spellings, each with what it stands for.
	Short map[string]string `yaml:"short" json:"short"`
	// Phrases are names that stand for more than one kind, or say what was done as well.
	Phrases []Phrase `yaml:"phrases" json:"phrases"`
	// Changed, Looked and Wanted are words by which a part was changed, was only looked at or
	// seen to, and was not changed (yet).
	Changed []string `yaml:"changed" json:"changed"`
	Looked  []string `yaml:"looked" json:"looked"`
	Wanted  []string `yaml:"wanted" json:"wanted"`
}

// Phrase is a name of one kind or more.
type Phrase struct {
	Say   string   `yaml:"say" json:"say"`
	Kinds []string `yaml:"kinds" json:"kinds"`
	All   bool     `yaml:"all,omitempty" json:"all,omitempty"` // it names all of them at once
	Did   string   `yaml:"did,omitempty" json:"did,omitempty"` // DidChange, or ""
}

// What words say of a part.
const (
	DidChange = "changed" // it was changed
	DidLook   = "looked"  // it was looked at or seen to, and stayed
	DidWant   = "wanted"  // it wants something, or was not changed
)

func (v *validator) written(w *Written) {
	for i, p := range w.Phrases {
		path := fmt.Sprintf("written.phrases.%d", i)
		v.text(path, "say", p.Say)
		for _, k := range p.Kinds {
			v.oneOf(path+".kinds", "kind", k, v.c.order)
		}
		if p.Did != "" && p.Did != DidChange {
			v.d.Note(path+".did", "did is %q: write %s or leave it out", p.Did, DidChange)
		}
	}
}

// Mention is a stretch of words, From to To (exclusive), that names parts or says what was done.
type Mention struct {
	From, To int
	Kinds    []string // that it may name; nil for a verb
	All      bool     // it names all of them, as "oil and filter" does
	Did      string   // DidChange, DidLook, DidWant, or ""
}

// lexicon holds every name of a part and every verb by its words.
type lexicon struct {
	mentions map[string]*Mention
	longest  int // words
}

// Words splits a text into the words that Mentions reads: lower case, short forms and other
// spellings in full, nouns in the singular. Each comes with where it began in the text, in bytes.
func (c *Catalogue) Words(text string) (words []string, at []int) {
	for start := 0; start < len(text); {
		end := len(text)
		if n := strings.IndexFunc(text[start:], splits); n >= 0 {
			end = start + n
		}
		if end == start {
			if strings.IndexByte(",;:.!?&+()", text[start]) >= 0 {
				words, at = append(words, text[start:start+1]), append(at, start)
			}
			_, size := utf8.DecodeRuneInString(text[start:])
			start += size
			continue
		}
		raw := strings.ToLower(text[start:end])
		full, known := c.words.Written.Short[raw]
		if !known {
			full = raw
			if strings.Contains(raw, "-") && !c.isVerb(raw) {
				full = strings.ReplaceAll(raw, "-", " ")
			}
		}
		for _, w := range strings.Fields(full) {
			words, at = append(words, singular(w)), append(at, start)
		}
		start = end
	}
	return words, at
}

func splits(r rune) bool {
	return unicode.IsSpace(r) || strings.ContainsRune(",;:.!?&+()\"", r)
}

// singular takes the s off a word, so that belts are found as belt; plain words that end in it
// lose it on both sides of a comparison.
func singular(w string) string {
	if len(w) > 4 && strings.HasSuffix(w, "ies") {
		return w[:len(w)-3] + "y"
	}
	if len(w) > 3 && strings.HasSuffix(w, "s") && !strings.HasSuffix(w, "ss") {
		return w[:len(w)-1]
	}
	return w
}

// Spelt is a text as Words has it.
func (c *Catalogue) Spelt(text string) string {
	words, _ := c.Words(text)
	return strings.Join(words, " ")
}

func (c *Catalogue) isVerb(word string) bool {
	w := &c.words.Written
	return slices.Contains(w.Changed, word) || slices.Contains(w.Looked, word) || slices.Contains(w.Wanted, word)
}

// lexicon gathers what kinds are called. A name that two kinds share may be either.
func (c *Catalogue) lexicon() *lexicon {
	l := &lexicon{mentions: map[string]*Mention{}}
	add := func(say string, m Mention) {
		key := c.Spelt(say)
		if old := l.mentions[key]; old != nil && !m.All && m.Did == "" {
			for _, k := range m.Kinds {
				if !slices.Contains(old.Kinds, k) {
					old.Kinds = append(old.Kinds, k)
				}
			}
			return
		}
		l.mentions[key] = &m
		l.longest = max(l.longest, len(strings.Fields(key)))
	}
	for _, k := range c.Kinds() {
		for _, say := range append([]string{k.Name, k.Plural}, k.Also...) {
			if say != "" {
				add(say, Mention{Kinds: []string{k.ID}})
			}
		}
	}
	w := &c.words.Written
	for _, says := range []struct {
		did   string
		verbs []string
	}{{DidChange, w.Changed}, {DidLook, w.Looked}, {DidWant, w.Wanted}} {
		for _, verb := range says.verbs {
			add(verb, Mention{Did: says.did})
		}
	}
	for _, p := range w.Phrases {
		add(p.Say, Mention{Kinds: slices.Clone(p.Kinds), All: p.All, Did: p.Did})
	}
	return l
}

// Mentions finds what words, as Words splits a text, name and say, the longest names first, in
// the order of the words. No two overlap.
func (c *Catalogue) Mentions(words []string) []Mention {
	l := c.names()
	var out []Mention
	for i := 0; i < len(words); {
		n := min(l.longest, len(words)-i)
		for ; n > 0; n-- {
			if m := l.mentions[strings.Join(words[i:i+n], " ")]; m != nil {
				found := *m
				found.From, found.To = i, i+n
				out = append(out, found)
				break
			}
		}
		i += max(n, 1)
	}
	return out
}
