package message

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Text is a message as data: its English format and its arguments, which may be texts again.
// A plain string is a Text without arguments; "" says nothing. Texts compare, key maps and
// stand in templates as strings do, and print in English. What stands between two that were
// joined belongs to neither: it is to be a mark, never a word.
type Text string

// Kept is a text as it is stored, to be told in any language later: its JSON is not its English.
type Kept Text

// Texts with arguments are written "\x01format\x02argument\x02argument\x03", where an argument
// begins with its sort: s a name or a figure as it is, k a key, t a text, d a whole number, f another.
const (
	begins, parts, ends = '\x01', '\x02', '\x03'
	marks               = "\x01\x02\x03"
)

// What is done to a text as a whole stands in place of its format.
const (
	capital  = "^"
	lower    = "_"
	sentence = "."
	unended  = ","
	filled   = "{"
)

// Key is what is typed or stands in files, and the same in every language where it is an English word, too.
type Key string

// Teller is what has a name in words, such as a verdict.
type Teller interface{ Message() Text }

// Of makes a text of an English format, as fmt.Sprintf has them, and its arguments. A string
// among them is a name or a figure, and the same in every language, unless it stands word for
// word among the texts of the catalogue of parts.
func Of(format string, args ...any) Text {
	if false {
		_ = fmt.Sprintf(format, args...) // go vet reads from it that formats are to be checked
	}
	var b strings.Builder
	b.WriteByte(begins)
	b.WriteString(format)
	for _, a := range args {
		b.WriteByte(parts)
		b.WriteString(written(a))
	}
	b.WriteByte(ends)
	return Text(b.String())
}

// With gives a text that is a format its arguments.
func (t Text) With(args ...any) Text { return Of(string(t), args...) }

// Name is a text that is the same in every language: what somebody typed, a date, a figure.
func Name(s string) Text {
	if s == "" {
		return ""
	}
	return Of("%s", s)
}

// Is makes what tells itself, or a name, into a text.
func Is(v any) Text {
	switch v := v.(type) {
	case Text:
		return v
	case Teller:
		return v.Message()
	}
	return Name(fmt.Sprint(v))
}

func written(a any) string {
	switch a := a.(type) {
	case Text:
		return "t" + string(a)
	case Teller:
		return "t" + string(a.Message())
	case Key:
		return "k" + unmarked(string(a))
	case []byte:
		return "s" + unmarked(string(a))
	case fmt.Stringer, error, nil:
		return "s" + unmarked(fmt.Sprint(a))
	}
	switch v := reflect.ValueOf(a); {
	case v.CanInt():
		return "d" + strconv.FormatInt(v.Int(), 10)
	case v.CanUint():
		return "d" + strconv.FormatUint(v.Uint(), 10)
	case v.CanFloat():
		return "f" + strconv.FormatFloat(v.Float(), 'g', -1, 64)
	}
	return "s" + unmarked(fmt.Sprint(a))
}

// unmarked is a string without the marks of a text.
func unmarked(s string) string {
	if strings.ContainsAny(s, marks) {
		s = strings.Map(func(r rune) rune {
			if r == begins || r == parts || r == ends {
				return -1
			}
			return r
		}, s)
	}
	return s
}

// Capital raises the first letter of a text.
func (t Text) Capital() Text { return t.whole(capital) }

// LowerFirst lowers the first letter of a text, unless its first word is an abbreviation.
func (t Text) LowerFirst() Text { return t.whole(lower) }

// Sentence gives a text its capital and its full stop.
func (t Text) Sentence() Text { return t.whole(sentence) }

// Open takes the full stop off a text, to go on after it.
func (t Text) Open() Text { return t.whole(unended) }

func (t Text) whole(what string) Text {
	if t == "" {
		return ""
	}
	return Text(string(begins) + what + string(parts) + "t" + string(t) + string(ends))
}

// Filled puts into a text what stands in its braces: pairs of a place, as the text has it with its braces, and what
// takes it, as for Of.
func (t Text) Filled(places ...any) Text { return Text(filled).With(append([]any{t}, places...)...) }

// Named is the text with its names, which are the strings among its arguments, changed.
func (t Text) Named(change func(string) string) Text {
	s := string(t)
	at := strings.IndexByte(s, begins)
	if at < 0 {
		return t
	}
	fields, rest := cut(s[at+1:])
	var b strings.Builder
	b.WriteString(s[:at+1])
	b.WriteString(fields[0])
	for _, f := range fields[1:] {
		b.WriteByte(parts)
		switch f[0] {
		case 's', 'k':
			f = f[:1] + unmarked(change(f[1:]))
		case 't':
			f = "t" + string(Text(f[1:]).Named(change))
		}
		b.WriteString(f)
	}
	b.WriteByte(ends)
	return Text(b.String()) + Text(rest).Named(change)
}

// String is the text in English.
func (t Text) String() string { return t.In(nil) }

// Kept is the text with its arguments apart, as a program keeps it for itself: made a Text it is the same again.
func (t Text) Kept() string { return string(t) }

// MarshalText is the text in English: files and answers in JSON are read by programs.
func (t Text) MarshalText() ([]byte, error) { return []byte(t.String()), nil }

// In is the text in a language.
func (t Text) In(l *Language) string {
	s := string(t)
	at := strings.IndexByte(s, begins)
	if at < 0 {
		return l.message(s)
	}
	var b strings.Builder
	for ; at >= 0; at = strings.IndexByte(s, begins) {
		b.WriteString(s[:at])
		var fields []string
		fields, s = cut(s[at+1:])
		b.WriteString(made(fields, l))
	}
	b.WriteString(s)
	return b.String()
}

// cut takes the format and the arguments off a text's beginning.
func cut(s string) (fields []string, rest string) {
	deep, from := 0, 0
	for i := range len(s) {
		switch {
		case s[i] == begins:
			deep++
		case s[i] == parts && deep == 0:
			fields, from = append(fields, s[from:i]), i+1
		case s[i] == ends && deep == 0:
			return append(fields, s[from:i]), s[i+1:]
		case s[i] == ends:
			deep--
		}
	}
	return append(fields, s[from:]), ""
}

// made puts arguments into a format.
func made(fields []string, l *Language) string {
	args := make([]any, len(fields)-1)
	for i, f := range fields[1:] {
		args[i] = read(f, l)
	}
	switch fields[0] {
	case capital:
		return Capital(args[0].(string))
	case lower:
		return LowerFirst(args[0].(string))
	case sentence:
		return Sentence(args[0].(string))
	case unended:
		return strings.TrimRight(args[0].(string), ".")
	case filled:
		places := make([]string, len(args)-1)
		for i, a := range args[1:] {
			places[i] = a.(string)
		}
		return strings.NewReplacer(places...).Replace(args[0].(string))
	}
	one, many, counted := strings.Cut(fields[0], counts)
	if !counted {
		return fmt.Sprintf(l.message(one), args...)
	}
	return fmt.Sprintf(l.counted(one, many, args[0].(int)), args[1:]...)
}

func read(field string, l *Language) any {
	sort, s := field[:1], field[1:]
	switch sort {
	case "t":
		return Text(s).In(l)
	case "d":
		n, _ := strconv.Atoi(s)
		return n
	case "f":
		x, _ := strconv.ParseFloat(s, 64)
		return x
	case "k":
		return s
	}
	return l.knowledge(s)
}

// counts stands between the formats of one and of several.
const counts = "\x04"

// Counted is a text that depends on a number: the formats for one and for several take the
// arguments, of which the number is one only where it is to be shown.
func Counted(n int, one, many string, args ...any) Text {
	return Of(one+counts+many, append([]any{n}, args...)...)
}

// Capital raises the first letter, of what is quoted within its mark, as each message of the pseudo-language is.
func Capital(s string) string {
	if in, ok := strings.CutPrefix(s, "«"); ok {
		return "«" + Capital(in)
	}
	r, size := utf8.DecodeRuneInString(s)
	if size == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[size:]
}

// LowerFirst lowers the first letter of a name for use inside a sentence, unless its first
// word is an abbreviation.
func LowerFirst(s string) string {
	r, size := utf8.DecodeRuneInString(s)
	second, _ := utf8.DecodeRuneInString(s[size:])
	if size == 0 || unicode.IsUpper(second) {
		return s
	}
	return string(unicode.ToLower(r)) + s[size:]
}

// Sentence gives a phrase its capital and its full stop.
func Sentence(s string) string {
	s = strings.TrimRight(strings.TrimSpace(s), ".")
	if s == "" {
		return ""
	}
	return Capital(s) + "."
}

// Sentences parts a text of the catalogue of parts into its sentences.
func Sentences(s string) []string {
	out := strings.SplitAfter(s, ". ")
	for i := range out {
		out[i] = strings.TrimSpace(out[i])
	}
	return out
}

// Joined puts a mark between texts.
func Joined(texts []Text, by string) Text {
	var out Text
	for i, t := range texts {
		if i > 0 {
			out += Text(by)
		}
		out += Of("%s", t)
	}
	return out
}
