package message

import (
	"cmp"
	"fmt"
	"html/template"
	"strings"
	"sync"

	"github.com/leonelquinteros/gotext"
	"golang.org/x/text/language"
)

// Language gives the words of one language for texts in English, which are its keys. The nil
// Language is English.
type Language struct {
	Tag    string // as BCP 47 has it
	pseudo bool
	po     *gotext.Po
	of     map[string]*gotext.Translation

	texts func() map[string]bool // of the catalogue of parts, for a language made by rule
}

// Read reads a language from a catalogue of messages in the PO format, whose msgid is the text
// in English as undertray.pot lists it. What it lacks stays in English.
func Read(tag string, po []byte) *Language {
	l := &Language{Tag: tag, po: gotext.NewPo()}
	l.po.Parse(po)
	l.of = l.po.GetDomain().GetTranslations()
	return l
}

// Code is the language's tag, for the page that is written in it.
func (l *Language) Code() string {
	if l == nil {
		return "en-GB"
	}
	return l.Tag
}

// Languages are those that a program has besides English.
type Languages struct {
	Pseudo  *Language
	shipped []*Language
}

// With gives the program's languages. The texts are those of the catalogue of parts, asked for when the
// pseudo-language first needs them: to any other its own catalogue says what it knows.
func With(texts func() map[string]bool, shipped ...*Language) Languages {
	return Languages{&Language{Tag: pseudoTag, pseudo: true, texts: sync.OnceValue(texts)}, shipped}
}

// Chosen is the language for what a browser asks for, as its Accept-Language says: nil, which is English, where it
// asks for none that there is. The pseudo-language is chosen only where its tag comes first.
func (l Languages) Chosen(accept string) *Language {
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
func (l Languages) Of(env func(name string) string) *Language {
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
func (l Languages) best(asked []language.Tag) *Language {
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
	case template.HTML, nil:
		return v
	case fmt.Stringer:
		return l.knowledge(v.String())
	}
	return v
}

// Markup is a message of a page's template in the language; "" where it has none, and it stays
// in English.
func (l *Language) Markup(key string) string {
	if l.pseudo {
		return pseudo(key, inMarkup)
	}
	if l.po.IsTranslated(key) {
		return l.of[key].Get()
	}
	return ""
}

// message is a format, or a text without arguments, in the language.
func (l *Language) message(format string) string {
	switch {
	case l == nil:
		return format
	case l.pseudo:
		return pseudo(format, inFormat)
	}
	return l.given(format)
}

// given is what a language's catalogue gives for a text without arguments, or the text.
func (l *Language) given(s string) string {
	if l.pseudo {
		return pseudo(s, nil)
	}
	if t := l.of[s]; t != nil {
		return t.Get()
	}
	return s
}

// counted is the format for a number.
func (l *Language) counted(one, many string, n int) string {
	switch {
	case l != nil && l.po != nil:
		return l.po.GetN(one, many, n)
	case n == 1:
		return l.message(one)
	}
	return l.message(many)
}

// knowledge is a text of the catalogue of parts in the language, however its first letter and its end are written
// in a sentence, or some sentences of one, and any other as it is.
func (l *Language) knowledge(s string) string {
	if l == nil || s == "" {
		return s
	}
	for _, as := range []struct{ is, then func(string) string }{{same, same}, {Capital, LowerFirst},
		{LowerFirst, Capital}, {full, open}, {open, full}} {
		if whole := as.is(s); l.knows(whole) {
			return as.then(l.given(whole))
		}
	}
	sentences := Sentences(s)
	for i := range sentences {
		if len(sentences) == 1 || !l.knows(sentences[i]) {
			return s
		}
		sentences[i] = l.given(sentences[i])
	}
	return strings.Join(sentences, " ")
}

func same(s string) string { return s }
func full(s string) string { return s + "." }
func open(s string) string { return strings.TrimSuffix(s, ".") }

func (l *Language) knows(s string) bool {
	if l.pseudo {
		return l.texts()[s]
	}
	return l.of[s] != nil
}
