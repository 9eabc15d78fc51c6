package web

import (
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// parsed is a page as a browser takes it apart.
type parsed struct{ root *html.Node }

func parse(t testing.TB, body string) parsed {
	t.Helper()
	root, err := html.ParseWithOptions(strings.NewReader(body), html.ParseOptionEnableScripting(false))
	if err != nil {
		t.Fatal(err)
	}
	return parsed{root}
}

// find returns the elements that a selector means: compounds of a tag, .class,
// #id, [attr] and [attr=value], with blanks between ancestors and descendants.
func (p parsed) find(selector string) []*html.Node {
	at := []*html.Node{p.root}
	for _, part := range strings.Fields(selector) {
		var next []*html.Node
		for _, n := range at {
			for d := range n.Descendants() {
				if d.Type == html.ElementNode && matches(d, part) && !slices.Contains(next, d) {
					next = append(next, d)
				}
			}
		}
		at = next
	}
	return at
}

func (p parsed) text(selector string) string {
	var out []string
	for _, n := range p.find(selector) {
		out = append(out, text(n))
	}
	return strings.Join(out, " | ")
}

func text(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data)
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

func attr(n *html.Node, key string) (string, bool) {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val, true
		}
	}
	return "", false
}

func value(n *html.Node, key string) string {
	v, _ := attr(n, key)
	return v
}

// matches reports whether an element answers one compound.
func matches(n *html.Node, compound string) bool {
	for compound != "" {
		end := strings.IndexAny(compound[1:], ".#[")
		piece := compound
		if end >= 0 && compound[0] != '[' {
			piece = compound[:end+1]
		} else if compound[0] == '[' {
			piece = compound[:strings.Index(compound, "]")+1]
		}
		compound = compound[len(piece):]
		if !matchesPiece(n, piece) {
			return false
		}
	}
	return true
}

func matchesPiece(n *html.Node, piece string) bool {
	switch piece[0] {
	case '.':
		return slices.Contains(strings.Fields(value(n, "class")), piece[1:])
	case '#':
		return value(n, "id") == piece[1:]
	case '[':
		key, want, valued := strings.Cut(strings.Trim(piece, "[]"), "=")
		got, ok := attr(n, key)
		return ok && (!valued || got == want)
	}
	return n.Data == piece
}

func TestSelectors(t *testing.T) {
	p := parse(t, `<main><p class="a b" id="x">one <b data-k="v">two</b></p><p>three</p></main>`)
	for selector, want := range map[string]string{"p": "one two | three", "p.a.b#x b": "two", "[data-k=v]": "two",
		"main b[data-k]": "two", ".c": ""} {
		if got := p.text(selector); got != want {
			t.Errorf("%s: %q, want %q", selector, got, want)
		}
	}
}
