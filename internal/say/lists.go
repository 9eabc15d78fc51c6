package say

import (
	"slices"
	"strings"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
)

// Sentence gives a phrase its capital and its full stop.
func Sentence[T ~string](s T) T { return whole(s, message.Text.Sentence, message.Sentence) }

// Few lists at most so many names of parts and counts those beyond: "belt, hose
// and two other parts".
func Few(names []string, most int) string { return told.Few(told.Names(names), most).String() }

// Most lists so many of some words, and counts the rest.
func Most(words []string, most int) string { return told.Most(told.Names(words), most).String() }

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

// Titles lists the names of some things as a title of its own: "Main belt and fan".
func Titles[T any](of []T, name func(T) string) string {
	names := make([]string, len(of))
	for i, t := range of {
		names[i] = LowerFirst(name(t))
	}
	return Capital(Listing(names))
}

// Unique returns words without those that stand before already.
func Unique[T ~string](words []T) []T {
	var out []T
	seen := map[T]bool{}
	for _, w := range words {
		if !seen[w] {
			seen[w] = true
			out = append(out, w)
		}
	}
	return out
}

// Capital raises the first letter.
func Capital[T ~string](s T) T { return whole(s, message.Text.Capital, message.Capital) }

// LowerFirst lowers the first letter of a name for use inside a sentence,
// unless its first word is an abbreviation.
func LowerFirst[T ~string](s T) T { return whole(s, message.Text.LowerFirst, message.LowerFirst) }

func whole[T ~string](s T, text func(message.Text) message.Text, plain func(string) string) T {
	if t, ok := any(s).(message.Text); ok {
		return T(text(t))
	}
	return T(plain(string(s)))
}

// HeadWords is how many words a headline has at most; what else there is to say
// stands below it.
const HeadWords = told.HeadWords

// Short returns the first of some ways to say a thing that is no longer than a
// headline, or the last.
func Short(ways ...string) string { return told.Brief(told.Names(ways)...).String() }

// FewWords lists as many names of parts as fit into so many words and counts
// the others; where none fits it counts all.
func FewWords(names []string, words int) string {
	return told.FewWords(told.Names(names), words).String()
}

// Told joins sentences, those that say nothing left out.
func Told(sentences ...string) []string {
	return slices.DeleteFunc(sentences, func(s string) bool { return strings.TrimSpace(s) == "" })
}

// Head is the first of some sentences, and Rest what the others say.
func Head(told []string) string {
	if len(told) == 0 {
		return ""
	}
	return told[0]
}

// Rest is what stands below a headline, or "".
func Rest(told []string) string { return strings.Join(told[min(1, len(told)):], " ") }
