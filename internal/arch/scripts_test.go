package arch

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// unsaid are texts of scripts that look like words and never come onto a page.
var unsaid = map[string]string{
	"not coded":        "an error that its caller puts into words",
	"no canvas":        "likewise",
	"it does not tell": "likewise",
	"somebody else":    "likewise",
	"OpusHead":         "what a sound file begins with",
	"waiting ":         "what a key of this device's store begins with",
	"round ":           "likewise",
	"of ":              "what the name of a cache begins with",
	" on":              "a class",
	" lossy=":          "what is written into a sound file",
	" cut=":            "likewise",
	"WAVEfmt ":         "likewise",
}

// Where a text of a script stands when it is no word: what selects elements, their class, what is compared, files and
// names of headers.
var (
	noWord = regexp.MustCompile(`(querySelector(All)?|closest(\?\.)?|matches|\.get)\((\w+ \+ )?$|class(Name)?(: | = )$|[!=]== $` +
		`|className = [^,;]*[?:] $|class: [^,{}]*[?:] $`)
	fileName = regexp.MustCompile(`^[./]*[\w-]+\.(js|wasm|jpg|wav)$|^https?://`)
	header   = regexp.MustCompile(`^[A-Z][A-Za-z]+(-[A-Z][A-Za-z]+)+$`)
	shownAs  = regexp.MustCompile(`(\.(textContent|innerText|title|alt|placeholder|ariaLabel) = |new Option\(|` +
		`setAttribute\("(title|alt|placeholder|aria-label)", |confirm\(|alert\()$`)
	markup    = regexp.MustCompile(`<[^>]*(>|$)|^"[^<>]*>|[a-z-]+="[^"]*("|$)|&[a-z0-9#]+;`)
	attribute = regexp.MustCompile(`(title|alt|placeholder|aria-label)="[^"$]*[A-Za-z]`)
	words     = regexp.MustCompile(`[A-Za-z]{2,}[ ,.]+[A-Za-z]|^\W*[A-Z][a-z]|^\s+.*[a-z]|[a-z]\s+$`)
)

// TestScriptsSpeakInMessages: a script puts no words onto a page but those that it gives to inWords. A text with two
// words, a capital letter or a space at its end that is in none, and any that is put straight onto the page, is one.
func TestScriptsSpeakInMessages(t *testing.T) {
	files, err := filepath.Glob("../web/static/*.js")
	if err != nil || len(files) < 20 {
		t.Fatal(len(files), err)
	}
	said, met := 0, map[string]bool{}
	for _, file := range files {
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, text := range textsOf(string(src)) {
			if strings.HasSuffix(text.before, "inWords(") {
				said++
				continue
			}
			if _, ok := unsaid[text.says]; ok {
				met[text.says] = true
				continue
			}
			if text.isWords() {
				t.Errorf("%s:%d: %q is said in English alone: give it to inWords", file, text.line, text.says)
			}
		}
	}
	for text := range unsaid {
		if !met[text] {
			t.Errorf("no script has %q: take it off the list", text)
		}
	}
	if said < 100 {
		t.Errorf("only %d messages are read", said)
	}
}

// The law is broken by each of these, and by none of those.
func TestWordsOfScriptsAreFound(t *testing.T) {
	for src, want := range map[string]int{
		`p.textContent = "sound";`: 1, `say(far + " at " + n)`: 1, `b.append("Stop")`: 1, "x = `<p>${n} to go</p>`": 1,
		"x = `<b title=\"go\">${n}</b>`": 1, `new Option("choose", "")`: 1, `x = ok ? "too loud" : ""; // "not this"`: 1,
		`say("It’s late")`: 1, `x = s.replace(/"a b"/g, "") + "on it"`: 1, `e.setAttribute("aria-label", "mark")`: 1,
		`say(inWords("Too loud: %s.", n))`: 0, `e.setAttribute("role", "status")`: 0, `/* "a b" */ x = "svg"`: 0,
		`r.headers.get("Date")`: 0, `if (e.key === "Enter") f()`: 0, `x.querySelector(".walk, li")`: 0,
		"x = `M${p.x - s} ${p.y}h${2 * s}`": 0, `h = { "Content-Type": "text/html" }`: 0, `import { a } from "./b.js"`: 0,
	} {
		n := 0
		for _, text := range textsOf(src) {
			if !strings.HasSuffix(text.before, "inWords(") && text.isWords() {
				n++
			}
		}
		if n != want {
			t.Errorf("%s: %d texts of words, want %d", src, n, want)
		}
	}
}

// scriptText is a text that a script holds, or what of a template literal stands between its values.
type scriptText struct {
	says, before string
	line         int
}

func (s scriptText) isWords() bool {
	letters := regexp.MustCompile(`[A-Za-z]`).MatchString(s.says)
	switch {
	case letters && shownAs.MatchString(s.before) || attribute.MatchString(s.says):
		return true
	case noWord.MatchString(s.before), fileName.MatchString(s.says), header.MatchString(s.says):
		return false
	}
	return words.MatchString(markup.ReplaceAllString(s.says, ""))
}

// textsOf reads the texts of a script: comments and regular expressions are none.
func textsOf(src string) (out []scriptText) {
	var depth []int // of braces, in each value of a template literal that is open
	take := func(from, to int) {
		line := src[strings.LastIndexByte(src[:from], '\n')+1 : max(from-1, 0)]
		out = append(out, scriptText{src[from:to], line, 1 + strings.Count(src[:from], "\n")})
	}
	past := func(i int, ends func(int) bool) int { // a backslash takes what follows along
		for i < len(src) && !ends(i) {
			if src[i] == '\\' {
				i++
			}
			i++
		}
		return min(i, len(src))
	}
	template := func(i int) int {
		end := past(i, func(i int) bool { return src[i] == '`' || strings.HasPrefix(src[i:], "${") })
		take(i, end)
		if end < len(src) && src[end] == '$' {
			depth = append(depth, 0)
			return end + 2
		}
		return end + 1
	}
	for i := 0; i < len(src); {
		switch c := src[i]; {
		case strings.HasPrefix(src[i:], "//"):
			i = past(i, func(i int) bool { return src[i] == '\n' })
		case strings.HasPrefix(src[i:], "/*"):
			i += 4 + strings.Index(src[i+2:]+"*/", "*/")
		case c == '/' && regularAfter(src[:i]):
			set := false
			i = 1 + past(i+1, func(i int) bool {
				set = src[i] == '[' || set && src[i] != ']'
				return src[i] == '\n' || src[i] == '/' && !set
			})
		case c == '"' || c == '\'':
			end := past(i+1, func(i int) bool { return src[i] == c || src[i] == '\n' })
			take(i+1, end)
			i = end + 1
		case c == '`':
			i = template(i + 1)
		case c == '}' && len(depth) > 0 && depth[len(depth)-1] == 0:
			depth = depth[:len(depth)-1]
			i = template(i + 1)
		default:
			if len(depth) > 0 && c == '{' {
				depth[len(depth)-1]++
			} else if len(depth) > 0 && c == '}' {
				depth[len(depth)-1]--
			}
			i++
		}
	}
	return out
}

// regularAfter reports whether a slash after this begins a regular expression: it divides only what is a value.
func regularAfter(src string) bool {
	src = strings.TrimRight(src, " \t\n")
	return src == "" || strings.ContainsAny(src[len(src)-1:], "(,=:[!&|?{};<>+-*%~^")
}
