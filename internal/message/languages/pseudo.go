package languages

import (
	"regexp"
	"strings"
	"unicode"
)

// pseudoTag names the pseudo-language, which is made by rule out of English: marks on its letters, 40 % longer, each
// message in brackets. What is shown without is left out of the catalogue, what lacks a bracket is cut off, and
// brackets side by side in one sentence are pieces. The tag is one of those that ISO 639-2 reserves for local use (qaa
// to qtz; RFC 5646, section 2.2.1): no language has it, and no browser sends it unless told to.
const pseudoTag = "qps"

// Opens and Closes stand about each message of the pseudo-language.
const Opens, Closes = "«", "»"

// Longer is how many letters the pseudo-language has for one of English.
const Longer = 1.4

// byRule are the words of the pseudo-language.
type byRule struct{ texts func() map[string]bool }

// Say implements message.Words.
func (byRule) Say(s string) string { return pseudo(s, inFormat) }

// Counted implements message.Words.
func (byRule) Counted(one, many string, n int) string {
	if n == 1 {
		return pseudo(one, inFormat)
	}
	return pseudo(many, inFormat)
}

// Markup implements message.Words.
func (byRule) Markup(key string) string { return pseudo(key, inMarkup) }

// Known implements message.Words.
func (b byRule) Known(s string) (string, bool) {
	if !b.texts()[s] {
		return s, false
	}
	return pseudo(s, nil), true
}

// marked are letters with marks, all of Latin-1 and Latin Extended-A.
var marked = strings.NewReplacer(
	"A", "Å", "C", "Ç", "D", "Ď", "E", "Ë", "G", "Ĝ", "H", "Ĥ", "I", "Î", "J", "Ĵ", "K", "Ķ", "L", "Ĺ",
	"N", "Ñ", "O", "Ö", "R", "Ř", "S", "Š", "T", "Ť", "U", "Û", "W", "Ŵ", "Y", "Ý", "Z", "Ž",
	"a", "å", "c", "ç", "d", "ď", "e", "ë", "g", "ĝ", "h", "ĥ", "i", "î", "j", "ĵ", "k", "ķ", "l", "ĺ",
	"n", "ñ", "o", "ö", "r", "ř", "s", "š", "t", "ť", "u", "û", "w", "ŵ", "y", "ý", "z", "ž")

// What of a message is no text: verbs of a format; tags, places and entities of markup.
var (
	inFormat = regexp.MustCompile(`%[-+# 0]*(\[\d+\])?\d*(\.\d+)?[a-zA-Z%]|\{[a-z0-9 ]+(:[^}]*)?\}`)
	inMarkup = regexp.MustCompile(`</?[a-z0-9]+/?>|\{[a-z0-9]+\}|&[a-z0-9#]+;`)
)

// pseudo makes a message of the pseudo-language; one without letters is none.
func pseudo(s string, kept *regexp.Regexp) string {
	var b strings.Builder
	from, due := 0, 0.0
	text := func(s string) {
		for _, r := range s {
			letter := string(r)
			b.WriteString(marked.Replace(letter))
			if !unicode.IsLetter(r) {
				continue
			}
			for due += Longer - 1; due > 0 && strings.ContainsAny(letter, "aeiouy"); due-- {
				b.WriteString(marked.Replace(letter))
			}
		}
	}
	if kept != nil {
		for _, at := range kept.FindAllStringIndex(s, -1) {
			text(s[from:at[0]])
			b.WriteString(s[at[0]:at[1]])
			from = at[1]
		}
	}
	text(s[from:])
	if due > 0 {
		b.WriteString(strings.Repeat("~", int(due)+1))
	}
	if !strings.ContainsFunc(s, unicode.IsLetter) || from > 0 && !lettered(s, kept) {
		return s
	}
	return Opens + b.String() + Closes
}

// lettered reports whether a message has letters beside what is kept of it.
func lettered(s string, kept *regexp.Regexp) bool {
	return strings.ContainsFunc(kept.ReplaceAllString(s, ""), unicode.IsLetter)
}
