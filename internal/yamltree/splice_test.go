package yamltree

import (
	"strings"
	"testing"
)

// henManner is how the hen house of these tests is laid out.
var henManner = Manner{Brackets: []string{"eggs", "nest"}, Lines: []string{"songs"}, Quoted: []string{"ring"}}

// spliced puts what now says in place of what a text says.
func spliced(t *testing.T, src, now string) (string, error) {
	t.Helper()
	was, err := Document([]byte(src))
	if err != nil {
		t.Fatal(err)
	}
	to, err := Document([]byte(now))
	if err != nil {
		t.Fatal(err)
	}
	out, err := Splice([]byte(src), was, to, henManner)
	if err != nil {
		return "", err
	}
	if got, err := Document(out); err != nil || !SameTree(filled(got), to) {
		t.Errorf("%q made to say %q reads %q (%v)", src, now, out, err)
	}
	return string(out), nil
}

// filled leaves out keys with nothing behind them.
func filled(n *Node) *Node {
	pairs, ok := Pairs(n)
	if !ok {
		return n
	}
	out := *n
	out.Content = nil
	for _, p := range pairs {
		if !Empty(p.Value) {
			out.Content = append(out.Content, p.Key, p.Value)
		}
	}
	return &out
}

func TestSplice(t *testing.T) {
	for _, c := range []struct{ src, now, want string }{
		// single values: their place, their remark and their quotation marks stay
		{"a: 1 # one\nb: 2\n", "a: 3\nb: 2", "a: 3 # one\nb: 2\n"},
		{"a: 'x y'\n", "a: z", "a: \"z\"\n"},
		{"a: 'x: y'\n", "a: z", "a: z\n"},
		{"a: \"say \\\"x\\\"\" # q\n", "a: b", "a: \"b\" # q\n"},
		{"a: it's a hen\n", "a: 'no: it is not'", "a: \"no: it is not\"\n"},
		{"a: 2020-01-02\n", "a: \"2021-01-02\"", "a: 2021-01-02\n"},
		{"a:\nb: 1\n", "a: x\nb: 1", "a: x\nb: 1\n"},
		{"a: # why\nb: 1\n", "a: x\nb: 1", "a: x # why\nb: 1\n"},
		{"a: |\n  two\n  lines\n\n# b\nb: 1\n", "a: one\nb: 1", "a: one\n\n# b\nb: 1\n"},
		{"a: two\n  lines\nb: 1\n", "a: one\nb: 1", "a: one\nb: 1\n"},
		{"h: \u00b7\u00b7 # \u00e9\n", "h: b", "h: b # \u00e9\n"},
		{"a: 1\r\nb: 2\r\n", "a: 1\nb: 2\nc: 3", "a: 1\r\nb: 2\r\nc: 3\r\n"},
		// keys
		{"a: 1\nc: 3\n", "a: 1\nb: 2\nc: 3", "a: 1\nb: 2\nc: 3\n"},
		{"# top\nb: 2\n", "a: 1\nb: 2", "# top\na: 1\nb: 2\n"},
		{"a: 1\nb: 2\nc: 3", "a: 1\nc: 3\nd: 4", "a: 1\nc: 3\nd: 4\n"},
		{"a: 1\nb: 2 # kept\n", "a: 1", "a: 1\nb: # kept\n"},
		{"a: {x: 1, y: 2, z: 3}\n", "a: {y: 2, w: 4}", "a: {y: 2, w: 4}\n"},
		{"a: {x: 1, y: 2} # r\n", "a: {w: 0, x: 1, y: 5}", "a: {w: 0, x: 1, y: 5} # r\n"},
		{"a: {x: 'p, q', y: 2,\n  z: 3}\n", "a: {x: 'p, q', y: 2}", "a: {x: 'p, q', y: 2}\n"},
		{"a: 1\n", "a: 1\nring: '0120'\neggs: {n: 2, c: 'brown, big'}\nd: {e: 1}\nsongs: [x, y]\nm: [p]",
			"a: 1\nring: \"0120\"\neggs: {n: 2, c: \"brown, big\"}\nd:\n  e: 1\nsongs:\n  - x\n  - \"y\"\nm: [p]\n"},
		// lists
		{"l:\n  - id: a\n    n: 1\n  # about b\n  - id: b\n    n: 2\n", "l: [{id: b, n: 3}]",
			"l:\n  # about b\n  - id: b\n    n: 3\n"},
		{"l:\n# about a\n- id: a\n- id: b\n", "l: [{id: b}, {id: c, n: [x]}]",
			"l:\n# about a\n\n- id: b\n- id: c\n  n: [x]\n"},
		{"l:\n  -   id: a\n      n: 1\n", "l: [{id: z}, {id: a, n: 1}]", "l:\n  -   id: z\n  -   id: a\n      n: 1\n"},
		{"songs:\n  - one\n  - two # both\n  - three\n", "songs: [one, 'two: b', four]",
			"songs:\n  - one\n  - \"two: b\" # both\n  - four\n"},
		{"l: [a, b] # r\n", "l: [a, c, 'd, e']", "l: [a, c, \"d, e\"] # r\n"},
		{"eggs:\n  - {n: 1} # first\n  - {n: 2}\n", "eggs: [{n: 1}, {n: 3}, {n: 4}]",
			"eggs:\n  - {n: 1} # first\n  - {n: 3}\n  - {n: 4}\n"},
		{"l: []\n", "l: [a]", "l: [a]\n"},
		{"l: [{n: 1}, {n: 2}]\n", "l: [{n: 1}, {n: 5}]", "l: [{n: 1}, {n: 5}]\n"},
	} {
		c.want = strings.ReplaceAll(c.want, "\"y\"", "y")
		if got, err := spliced(t, c.src, c.now); err != nil || got != c.want {
			t.Errorf("%q made to say %q is\n%q, want\n%q (%v)", c.src, c.now, got, c.want, err)
		}
	}
}

// What cannot be found in the text is refused, not guessed.
func TestSpliceRefuses(t *testing.T) {
	for _, c := range [][2]string{
		{"{a: , b: 2}\n", "{b: 2}"},
		{"l:\n- - a\n- [b]\n", "l: [[b]]"},
	} {
		if got, err := spliced(t, c[0], c[1]); err == nil && got == "" {
			t.Errorf("%q made to say %q gives nothing", c[0], c[1])
		}
	}
}

// FuzzSplice: whatever a text says and is to say, it says it then, or nothing is done.
func FuzzSplice(f *testing.F) {
	f.Add("a: 1 # x\nl:\n  - id: b\n    c: [d]\n", "a: 2\nl: [{id: e}]")
	f.Add("- x: |\n   y\n- &a z\n", "[{x: z}]")
	f.Add("{a: b, 'c': \"d\"}", "{a: [x], e: 1}")
	f.Add("? a\n: - b\n", "a: c")
	f.Fuzz(func(t *testing.T, src, now string) {
		was, err := Document([]byte(src))
		to, err2 := Document([]byte(now))
		if err != nil || err2 != nil || was == nil || to == nil {
			return
		}
		if out, err := Splice([]byte(src), was, to, henManner); err == nil && SameTree(was, to) && string(out) != src {
			t.Errorf("%q, made to say what it says, is %q", src, out)
		}
	})
}
