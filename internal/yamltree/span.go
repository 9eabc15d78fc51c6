package yamltree

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
)

// span finds where values begin and end in the text they were read from.
type span struct {
	src   []byte
	lines []int // where each line begins
}

func newSpan(src []byte) span {
	s := span{src: src}
	at := 0
	for line := range bytes.Lines(src) {
		s.lines = append(s.lines, at)
		at += len(line)
	}
	return s
}

// begin is where a value begins: a block mapping at its first key, a block list at
// its first hyphen.
func (s span) begin(n *Node) (int, error) {
	if n.Line < 1 || n.Line > len(s.lines) {
		return 0, fmt.Errorf("line %d is not in the text", n.Line)
	}
	at := s.lines[n.Line-1]
	for range n.Column - 1 {
		_, size := utf8.DecodeRune(s.src[at:])
		at += size
	}
	return at, nil
}

var errLayout = errors.New("it cannot be told where a value ends")

// end is where a value ends, behind its last character; hang is how far what holds
// it is indented, and flow says that it stands in brackets.
func (s span) end(n *Node, hang int, flow bool) (int, error) {
	at, err := s.begin(n)
	switch {
	case err != nil:
		return 0, err
	case n.Kind == yaml.ScalarNode:
		return s.scalarEnd(n, at, hang, flow)
	case n.Kind != yaml.MappingNode && n.Kind != yaml.SequenceNode:
		return 0, errLayout
	case n.Style&yaml.FlowStyle != 0:
		at++
		if len(n.Content) > 0 {
			if at, err = s.end(n.Content[len(n.Content)-1], 0, true); err != nil {
				return 0, err
			}
		}
		if at = s.skip(at, ","); at < len(s.src) && (s.src[at] == ']' || s.src[at] == '}') {
			return at + 1, nil
		}
		return 0, errLayout
	case n.Kind == yaml.MappingNode:
		key, value := n.Content[len(n.Content)-2], n.Content[len(n.Content)-1]
		if bare(value) {
			return s.colon(key)
		}
		return s.end(value, key.Column-1, false)
	}
	return s.end(n.Content[len(n.Content)-1], n.Column-1, false)
}

// bare reports whether a value is not written at all.
func bare(n *Node) bool { return n.Kind == yaml.ScalarNode && n.Value == "" && Empty(n) }

// colon is the place behind the colon of a key.
func (s span) colon(key *Node) (int, error) {
	at, err := s.end(key, 0, true)
	if at = s.skip(at, ""); err == nil && (at >= len(s.src) || s.src[at] != ':') {
		err = errLayout
	}
	return at + 1, err
}

// skip passes over blanks, line breaks, remarks and the marks given.
func (s span) skip(at int, marks string) int {
	for at < len(s.src) {
		switch c := s.src[at]; {
		case c == '#':
			at = s.lineEnd(at)
		case strings.IndexByte(" \t\r\n", c) >= 0, strings.IndexByte(marks, c) >= 0:
			at++
		default:
			return at
		}
	}
	return at
}

// lineBegin is where the line begins that a place lies in; lineEnd is behind its
// line break.
func (s span) lineBegin(at int) int { return 1 + bytes.LastIndexByte(s.src[:at], '\n') }

func (s span) lineEnd(at int) int {
	if i := bytes.IndexByte(s.src[at:], '\n'); i >= 0 {
		return at + i + 1
	}
	return len(s.src)
}

func (s span) scalarEnd(n *Node, at, hang int, flow bool) (int, error) {
	switch {
	case bare(n):
		return 0, errLayout
	case n.Style&yaml.DoubleQuotedStyle != 0, n.Style&yaml.SingleQuotedStyle != 0:
		return s.quotedEnd(at)
	case n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		return s.blockEnd(at, hang), nil
	}
	words := ""
	for line := at; line < len(s.src); line = s.lineEnd(line) {
		part := s.src[line:s.lineEnd(line)]
		part = part[:plainLen(part, flow)]
		words = strings.TrimSpace(words + " " + strings.TrimSpace(string(part)))
		if words == n.Value {
			return line + len(bytes.TrimRight(part, " \t\r\n")), nil
		}
		if len(words) >= len(n.Value) {
			break
		}
	}
	return 0, errLayout
}

// plainLen is how far a scalar without quotes can go on a line.
func plainLen(line []byte, flow bool) int {
	for i, c := range line {
		switch {
		case c == '#' && i > 0 && (line[i-1] == ' ' || line[i-1] == '\t'),
			flow && strings.IndexByte(",[]{}", c) >= 0,
			c == ':' && (i+1 == len(line) || strings.IndexByte(" \t\r\n", line[i+1]) >= 0 ||
				flow && strings.IndexByte(",[]{}", line[i+1]) >= 0):
			return i
		}
	}
	return len(line)
}

// quotedEnd is behind the quotation mark that answers the one at a place.
func (s span) quotedEnd(at int) (int, error) {
	mark := s.src[at]
	for i := at + 1; i < len(s.src); i++ {
		switch c := s.src[i]; {
		case c == '\\' && mark == '"':
			i++
		case c == mark && mark == '\'' && i+1 < len(s.src) && s.src[i+1] == mark:
			i++
		case c == mark:
			return i + 1, nil
		}
	}
	return 0, errLayout
}

// blockEnd is behind the last line of a block of text, which is indented further
// than what holds it.
func (s span) blockEnd(at, hang int) int {
	end := s.lineEnd(at)
	for line := end; line < len(s.src); line = s.lineEnd(line) {
		text := s.src[line:s.lineEnd(line)]
		body := bytes.TrimLeft(text, " ")
		if len(bytes.TrimSpace(body)) == 0 {
			continue
		}
		if len(text)-len(body) <= hang {
			break
		}
		end = line + len(text)
	}
	return len(bytes.TrimRight(s.src[:end], "\r\n"))
}
