// Package languages holds the languages that texts are told in: those read from catalogues of messages, and one made by
// rule. Who tells texts alone, as the reader of pictures in a browser does, needs none of it.
package languages

import (
	"cmp"
	"strings"
	"sync"

	"github.com/leonelquinteros/gotext"
	"golang.org/x/text/language"

	"undertray.example/undertray/internal/message"
)

// Read reads a language from a catalogue of messages in the PO format, whose msgid is the text
// in English as undertray.pot lists it. What it lacks stays in English.
func Read(tag string, po []byte) *message.Language {
	c := catalogue{po: gotext.NewPo()}
	c.po.Parse(po)
	c.of = c.po.GetDomain().GetTranslations()
	return &message.Language{Tag: tag, Words: c}
}

// catalogue are the words that were read.
type catalogue struct {
	po *gotext.Po
	of map[string]*gotext.Translation
}

// Say implements message.Words.
func (c catalogue) Say(s string) string {
	if t := c.of[s]; t != nil {
		return t.Get()
	}
	return s
}

// Counted implements message.Words.
func (c catalogue) Counted(one, many string, n int) string { return c.po.GetN(one, many, n) }

// Markup implements message.Words.
func (c catalogue) Markup(key string) string {
	if c.po.IsTranslated(key) {
		return c.of[key].Get()
	}
	return ""
}

// Known implements message.Words.
func (c catalogue) Known(s string) (string, bool) { return c.Say(s), c.of[s] != nil }

// All are the languages that a program has besides English.
type All struct {
	Pseudo  *message.Language
	shipped []*message.Language
}

// With gives the program's languages. The texts are those of the catalogue of parts, asked for when the
// pseudo-language first needs them: to any other its own catalogue says what it knows.
func With(texts func() map[string]bool, shipped ...*message.Language) All {
	return All{&message.Language{Tag: pseudoTag, Words: byRule{sync.OnceValue(texts)}}, shipped}
}

// Chosen is the language for what a browser asks for, as its Accept-Language says: nil, which is English, where it
// asks for none that there is. The pseudo-language is chosen only where its tag comes first.
func (l All) Chosen(accept string) *message.Language {
	if len(l.shipped) == 0 && !strings.Contains(accept, pseudoTag) {
		return nil
	}
	asked, _, err := language.ParseAcceptLanguage(accept)
	if err != nil {
		return nil
	}
	return l.best(asked)
}

// Of is the language of an environment: what LC_ALL says, or else LC_MESSAGES, or else LANG, the first of them that
// says anything (POSIX.1-2017, Base Definitions, 8.2). They name a locale, language[_territory][.codeset][@modifier];
// "C" and "POSIX" are English.
func (l All) Of(env func(name string) string) *message.Language {
	locale := cmp.Or(env("LC_ALL"), env("LC_MESSAGES"), env("LANG"))
	locale, _, _ = strings.Cut(locale, "@")
	locale, _, _ = strings.Cut(locale, ".")
	tag, err := language.Parse(strings.ReplaceAll(locale, "_", "-"))
	if err != nil || locale == "C" {
		return nil
	}
	return l.best([]language.Tag{tag})
}

// best is the language that serves best whoever reads these, the first of them most of all.
func (l All) best(asked []language.Tag) *message.Language {
	if len(asked) == 0 {
		return nil
	}
	if asked[0].String() == pseudoTag {
		return l.Pseudo
	}
	tags := []language.Tag{language.BritishEnglish}
	for _, l := range l.shipped {
		tags = append(tags, language.Make(l.Tag))
	}
	_, i, sure := language.NewMatcher(tags).Match(asked...)
	if sure == language.No || i == 0 {
		return nil
	}
	return l.shipped[i-1]
}
