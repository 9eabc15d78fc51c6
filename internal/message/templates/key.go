package templates

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"text/template/parse"
	"unicode"
)

// message sets a sentence without branches. Blanks and what is no part of it stay outside.
func (s *set) message(items []item) []parse.Node {
	items = merged(items)
	var before, after []parse.Node
	outside := func(i item) bool {
		return i.sort == tag && i.name != "code" || i.sort == words && strings.TrimSpace(i.text) == ""
	}
	for len(items) > 0 && outside(items[0]) {
		before, items = append(before, s.apart(items[0])...), items[1:]
	}
	for n := len(items); n > 0 && outside(items[n-1]); n = len(items) {
		after, items = append(s.apart(items[n-1]), after...), items[:n-1]
	}
	if len(items) == 0 || !lettered(items) {
		return s.around(before, items, after)
	}
	if len(items) == 1 && items[0].sort == element {
		one := items[0]
		before = append(before, s.attributes(one.nodes)...)
		after = append(copies(one.close), after...)
		return append(append(before, s.message(one.in)...), after...)
	}
	if i := items[0]; i.sort == words {
		cut := strings.TrimLeftFunc(i.text, unicode.IsSpace)
		before = append(before, textNode(i.text[:len(i.text)-len(cut)]))
		items = slices.Clone(items)
		items[0].text = cut
	}
	if n := len(items) - 1; items[n].sort == words {
		cut := strings.TrimRightFunc(items[n].text, unicode.IsSpace)
		after = append([]parse.Node{textNode(items[n].text[len(cut):])}, after...)
		items = slices.Clone(items)
		items[n].text = cut
	}
	k := &key{places: map[string]item{}}
	k.write(items)
	in := s.Message(k.text.String())
	if in == "" {
		return s.around(before, items, after)
	}
	if out, ok := s.placed(in, k); ok {
		return append(append(before, out...), after...)
	}
	return s.around(before, items, after)
}

func (s *set) around(before []parse.Node, items []item, after []parse.Node) []parse.Node {
	for _, i := range items {
		if i.sort == element {
			before = append(append(before, s.attributes(i.nodes)...), s.around(nil, i.in, copies(i.close))...)
			continue
		}
		before = append(before, s.apart(i)...)
	}
	return append(before, after...)
}

// key writes a message's name, and notes what stands at its places.
type key struct {
	text   strings.Builder
	places map[string]item
}

func (k *key) write(items []item) {
	for _, i := range items {
		switch i.sort {
		case words:
			k.text.WriteString(collapsed(i.text))
		case element:
			name := k.place(i.name, i)
			k.text.WriteString("<" + name + ">")
			k.write(i.in)
			k.text.WriteString("</" + name + ">")
		case tag:
			k.text.WriteString("<" + k.place(i.name, i) + "/>")
		default:
			k.text.WriteString("{" + k.place(called(i), i) + "}")
		}
	}
}

// place gives a place a name of its own.
func (k *key) place(name string, i item) string {
	own := name
	for n := 2; ; n++ {
		if _, taken := k.places[own]; !taken {
			k.places[own] = i
			return own
		}
		own = fmt.Sprintf("%s%d", name, n)
	}
}

var blanks = regexp.MustCompile(`\s+`)

func collapsed(s string) string { return blanks.ReplaceAllString(s, " ") }

var lastName = regexp.MustCompile(`[A-Za-z]+[0-9]*$`)

// called names a value after its last field, such as {by} for .Visit.By.
func called(i item) string {
	switch n := i.nodes[0].(type) {
	case *parse.ActionNode:
		for _, cmd := range slices.Backward(n.Pipe.Cmds) {
			for _, arg := range slices.Backward(cmd.Args) {
				if name := lastName.FindString(arg.String()); name != "" && !strings.HasPrefix(name, "told") {
					return strings.ToLower(name)
				}
			}
		}
	case *parse.TemplateNode:
		return "mark"
	case *parse.RangeNode:
		return "list"
	}
	return "it"
}

var places = regexp.MustCompile(`<(/?)([a-z0-9]+)(/?)>|\{([a-z0-9]+)\}`)

// placed makes nodes of a message in the language; false where it lacks a place of its key, or
// has one twice.
func (s *set) placed(in string, k *key) ([]parse.Node, bool) {
	var out []parse.Node
	var open []string
	used := map[string]bool{}
	from := 0
	for _, m := range places.FindAllStringSubmatchIndex(in, -1) {
		out = append(out, textNode(in[from:m[0]]))
		from = m[1]
		part := func(n int) string {
			if m[2*n] < 0 {
				return ""
			}
			return in[m[2*n]:m[2*n+1]]
		}
		name := part(2) + part(4)
		i, ok := k.places[name]
		switch {
		case !ok:
			return nil, false
		case part(1) != "":
			if len(open) == 0 || open[len(open)-1] != name {
				return nil, false
			}
			open = open[:len(open)-1]
			out = append(out, copies(i.close)...)
			continue
		case used[name]:
			return nil, false
		case i.sort == element:
			open = append(open, name)
			out = append(out, s.attributes(i.nodes)...)
		default:
			out = append(out, s.apart(i)...)
		}
		used[name] = true
	}
	return append(out, textNode(in[from:])), len(open) == 0 && len(used) == len(k.places)
}
