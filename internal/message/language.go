package message

import (
	"fmt"
	"strings"
)

// Language gives the words of one language for texts in English, which are its keys. The nil
// Language is English.
type Language struct {
	Tag string // as BCP 47 has it
	Words
}

// Words are those of a language by their English. What it lacks it says in English.
type Words interface {
	// Say is a format, or a text without arguments.
	Say(s string) string
	// Counted is the format for a number.
	Counted(one, many string, n int) string
	// Markup is a message of a page's template; "" where it has none, and it stays in English.
	Markup(key string) string
	// Known is a text of the catalogue of parts, and whether it has that.
	Known(s string) (string, bool)
}

// Code is the language's tag, for the page that is written in it.
func (l *Language) Code() string {
	if l == nil {
		return "en-GB"
	}
	return l.Tag
}

// Told gives what a page or a sheet shows in the language: texts, what has a name in words and
// texts of the catalogue of parts; anything else as it is.
func (l *Language) Told(v any) any {
	switch v := v.(type) {
	case Text:
		return v.In(l)
	case Teller:
		return v.Message().In(l)
	case string:
		return l.knowledge(v)
	case fmt.Stringer:
		return l.knowledge(v.String())
	}
	return v
}

// message is a format, or a text without arguments, in the language.
func (l *Language) message(format string) string {
	if l == nil {
		return format
	}
	return l.Say(format)
}

// counted is the format for a number.
func (l *Language) counted(one, many string, n int) string {
	switch {
	case l != nil:
		return l.Counted(one, many, n)
	case n == 1:
		return one
	}
	return many
}

// knowledge is a text of the catalogue of parts in the language, however its first letter and its end are written
// in a sentence, or some sentences of one, and any other as it is.
func (l *Language) knowledge(s string) string {
	if l == nil || s == "" {
		return s
	}
	for _, as := range []struct{ is, then func(string) string }{{same, same}, {Capital, LowerFirst},
		{LowerFirst, Capital}, {full, open}, {open, full}} {
		if whole, ok := l.Known(as.is(s)); ok {
			return as.then(whole)
		}
	}
	sentences := Sentences(s)
	for i, of := range sentences {
		whole, ok := l.Known(of)
		if len(sentences) == 1 || !ok {
			return s
		}
		sentences[i] = whole
	}
	return strings.Join(sentences, " ")
}

func same(s string) string { return s }
func full(s string) string { return s + "." }
func open(s string) string { return strings.TrimSuffix(s, ".") }
