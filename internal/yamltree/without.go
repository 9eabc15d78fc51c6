package yamltree

import (
	"bytes"
	"errors"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"
)

// Without returns a file with all that stands under some keys of its mappings, at any
// depth, taken out; every other line stays as it was typed, comments included. It fails
// where a file is laid out in a way that it does not know: then write it anew.
func Without(src []byte, keys ...string) ([]byte, error) {
	doc, err := Document(src)
	if err != nil || doc == nil {
		return src, err
	}
	starts := []int{0}
	for i, b := range src {
		if b == '\n' {
			starts = append(starts, i+1)
		}
	}
	var cuts [][2]int
	var walk func(n *Node) error
	walk = func(n *Node) error {
		if Indirect(n) {
			return errors.New("an anchor or an alias may repeat what is taken out")
		}
		pairs, ok := Pairs(n)
		if !ok {
			for _, c := range n.Content {
				if err := walk(c); err != nil {
					return err
				}
			}
			return nil
		}
		for _, p := range pairs {
			if !slices.Contains(keys, p.Key.Value) {
				if err := walk(p.Value); err != nil {
					return err
				}
				continue
			}
			at := starts[p.Key.Line-1]
			cut, err := lines(src, at, p.Key.Column-1)
			if n.Style&yaml.FlowStyle != 0 {
				cut, err = between(src, at+len(string([]rune(string(src[at:]))[:p.Key.Column-1])))
			}
			if err != nil {
				return err
			}
			cuts = append(cuts, cut)
		}
		return nil
	}
	if err := walk(doc); err != nil {
		return nil, err
	}
	slices.SortFunc(cuts, func(a, b [2]int) int { return a[0] - b[0] })
	var out []byte
	at := 0
	for _, c := range cuts {
		if c[0] < at { // the one before took the comma between them
			c[0] = at
		}
		out, at = append(out, src[at:c[0]]...), max(at, c[1])
	}
	return append(out, src[at:]...), nil
}

// lines are those of a key that begins a line, and of all that is indented below it.
func lines(src []byte, from, indent int) (cut [2]int, err error) {
	to := from
	for line := range bytes.Lines(src[from:]) {
		body := strings.TrimRight(string(line), " \r\n")
		depth := len(body) - len(strings.TrimLeft(body, " "))
		if to == from && depth != indent {
			return cut, errors.New("the key does not begin its line")
		}
		if to > from && (body == "" || depth <= indent) {
			break
		}
		to += len(line)
	}
	return [2]int{from, to}, nil
}

// between is a pair of a mapping in braces, with the comma behind it, or before it where
// it is the last.
func between(src []byte, from int) (cut [2]int, err error) {
	quote, depth := byte(0), 0
	for to := from; to < len(src); to++ {
		switch c := src[to]; {
		case quote != 0:
			if c == quote {
				quote = 0
			}
		case c == '"' || c == '\'':
			quote = c
		case c == '{' || c == '[':
			depth++
		case depth > 0 && (c == '}' || c == ']'):
			depth--
		case depth == 0 && c == ',':
			for to++; to < len(src) && src[to] == ' '; {
				to++
			}
			return [2]int{from, to}, nil
		case depth == 0 && c == '}':
			head := bytes.TrimRight(src[:from], " \r\n")
			if len(head) > 0 && head[len(head)-1] == ',' {
				from = len(head) - 1
			}
			return [2]int{from, to}, nil
		}
	}
	return cut, errors.New("the braces are not closed")
}
