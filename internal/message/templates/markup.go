// Package templates finds the messages of a page in its template, and sets them in another language.
//
// A message is a sentence, or what else stands between two block elements, with its inline
// elements and values as places: "Buy by {by}: <a>{buy}</a>." A branch within one makes a
// message of each way it can read, so that none is put together from pieces; where that would
// be too many, the pieces are named. English is never rewritten.
package templates

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"text/template/parse"
	"unicode"
)

// Told is the function that templates call, in a language that is not English, on each value
// that is shown.
const Told = "told"

// most is how many ways to read one message may have before it is taken in pieces.
const most = 8

// Setting is how the templates of a page are set in a language.
type Setting struct {
	// Message gives a message in the language, "" for one that stays as it is.
	Message func(key string) string

	// Pieces, if set, hears of each sentence that is put together from pieces.
	Pieces func(template, text string)
}

// set is a page's templates while they are rewritten.
type set struct {
	Setting
	trees   map[string]*parse.Tree
	inlined map[string]bool // templates that hold no block element
	name    string
	vars    int
}

// Rewrite sets the templates of a page, each under its name, none of which has been shown yet.
func Rewrite(trees map[string]*parse.Tree, how Setting) {
	s := &set{Setting: how, trees: trees, inlined: map[string]bool{}}
	for _, name := range slices.Sorted(maps.Keys(trees)) {
		s.name = name
		trees[name].Root = s.list(trees[name].Root)
	}
}

// item is a piece of a template between two block elements.
type item struct {
	sort  sort
	nodes []parse.Node // of a tag, in parts; of any other the node itself
	text  string       // of a text
	name  string       // of a tag
	end   bool         // a closing tag
	in    []item       // of an element: what it holds
	close []parse.Node // of an element: its closing tag
	ways  [2][]item    // of a branch
}

type sort int

const (
	words   sort = iota
	tag          // inline, with no pair or not yet matched with it
	element      // inline, with what it holds
	value        // what is put in when the page is set
	branch       // if or with, inline
	block        // what ends a sentence: a block element, or a control around one
)

var inline = []string{"a", "b", "i", "em", "strong", "span", "small", "sub", "sup", "abbr", "q", "cite", "time", "code",
	"kbd", "var", "mark", "svg", "img", "wbr", "input"}

// opaque are elements whose text is no message: of these svg and code stand within sentences.
var opaque = []string{"script", "style", "textarea", "pre", "svg", "code"}

// single are inline elements without an end.
var single = []string{"img", "wbr", "input", "svg", "code"}

// worded are the attributes whose values are read or heard.
var worded = []string{"title", "aria-label", "placeholder", "alt", "label", "data-l", "data-title", "data-caution"}

// list rewrites a list of nodes.
func (s *set) list(l *parse.ListNode) *parse.ListNode {
	if l == nil {
		return nil
	}
	out := &parse.ListNode{NodeType: parse.NodeList, Pos: l.Pos}
	items, ok := s.items(l)
	if !ok { // it begins or ends within a tag
		out.Nodes = s.attributes(l.Nodes)
		return out
	}
	out.Nodes = s.sequence(items)
	return out
}

// sequence rewrites what stands between block elements, one after the other.
func (s *set) sequence(items []item) []parse.Node {
	var out []parse.Node
	for len(items) > 0 {
		n := slices.IndexFunc(items, func(i item) bool { return i.sort == block })
		if n < 0 {
			n = len(items)
		}
		for _, sentence := range sentences(paired(items[:n])) {
			out = append(out, s.sentence(sentence)...)
		}
		if n < len(items) {
			out = append(out, s.block(items[n])...)
			n++
		}
		items = items[n:]
	}
	return out
}

// block rewrites what ends a sentence.
func (s *set) block(i item) []parse.Node {
	if i.name != "" {
		return s.attributes(i.nodes)
	}
	return []parse.Node{s.control(i.nodes[0])}
}

// control rewrites what a control holds.
func (s *set) control(n parse.Node) parse.Node {
	switch n := n.(type) {
	case *parse.IfNode:
		return &parse.IfNode{BranchNode: s.branches(n.BranchNode)}
	case *parse.WithNode:
		return &parse.WithNode{BranchNode: s.branches(n.BranchNode)}
	case *parse.RangeNode:
		return &parse.RangeNode{BranchNode: s.branches(n.BranchNode)}
	}
	return n.Copy()
}

func (s *set) branches(b parse.BranchNode) parse.BranchNode {
	return parse.BranchNode{NodeType: b.NodeType, Pos: b.Pos, Line: b.Line, Pipe: b.Pipe.CopyPipe(),
		List: s.list(b.List), ElseList: s.list(b.ElseList)}
}

// paired makes elements of tags that open and close one. What has no pair ends a sentence.
func paired(items []item) []item {
	var out []item
	for n := 0; n < len(items); n++ {
		i := items[n]
		if i.sort != tag || slices.Contains(single, i.name) {
			out = append(out, i)
			continue
		}
		end := n + 1
		for deep := 1; end < len(items) && !i.end; end++ {
			if items[end].sort == tag && items[end].name == i.name {
				if items[end].end {
					deep--
				} else {
					deep++
				}
				if deep == 0 {
					break
				}
			}
		}
		if i.end || end == len(items) {
			i.sort = block
			out = append(out, i)
			continue
		}
		out = append(out, item{sort: element, name: i.name, nodes: i.nodes, in: paired(items[n+1 : end]),
			close: items[end].nodes})
		n = end
	}
	return out
}

// sentences parts what stands between two block elements at the ends of its sentences.
func sentences(items []item) [][]item {
	var out [][]item
	var at []item
	end := func() {
		if len(at) > 0 {
			out = append(out, at)
		}
		at = nil
	}
	for _, i := range items {
		switch {
		case i.sort == block || i.sort == branch && whole(i) && (len(at) == 0 || ended(at)):
			end()
			out = append(out, []item{i})
		case i.sort == words:
			for rest := i.text; rest != ""; {
				n := sentenceEnd(rest)
				at = append(at, item{sort: words, text: rest[:n]})
				if rest = rest[n:]; rest != "" || ended(at) {
					end()
				}
			}
		default:
			at = append(at, i)
		}
	}
	end()
	return out
}

// sentenceEnd is how much of a text belongs to its first sentence.
func sentenceEnd(s string) int {
	for n, r := range s {
		if strings.ContainsRune(".?!", r) && n+1 < len(s) && unicode.IsSpace(rune(s[n+1])) {
			rest := strings.TrimLeftFunc(s[n+1:], unicode.IsSpace)
			if rest == "" || strings.ContainsFunc(rest[:1], unicode.IsUpper) || rest[0] >= 0x80 {
				return len(s) - len(rest)
			}
		}
	}
	return len(s)
}

// ended reports whether a sentence has come to its end.
func ended(items []item) bool {
	last := items[len(items)-1]
	if last.sort != words {
		return false
	}
	t := strings.TrimSpace(last.text)
	return t == "" && len(items) == 1 || t != "" && strings.ContainsAny(t[len(t)-1:], ".?!")
}

// whole reports whether each way of a branch that says something is of sentences of its own.
func whole(i item) bool {
	for _, way := range i.ways {
		if len(way) == 0 {
			continue
		}
		if way[0].sort != words && way[0].sort != element || !lettered(way) {
			return false
		}
		first := strings.TrimSpace(plain(way))
		r := []rune(first)[0]
		if !unicode.IsUpper(r) || !strings.ContainsAny(first[len(first)-1:], ".?!:") {
			return false
		}
	}
	return true
}

// plain is the text of some items, places left out.
func plain(items []item) string {
	var b strings.Builder
	for _, i := range items {
		switch i.sort {
		case words:
			b.WriteString(i.text)
		case element:
			b.WriteString(plain(i.in))
		case value:
			b.WriteString("…")
		case branch:
			b.WriteString("{" + plain(i.ways[0]) + "|" + plain(i.ways[1]) + "}")
		}
	}
	return b.String()
}

// lettered reports whether items have words.
func lettered(items []item) bool {
	return slices.ContainsFunc(items, func(i item) bool {
		return i.sort == words && strings.ContainsFunc(i.text, unicode.IsLetter) ||
			lettered(i.in) || lettered(i.ways[0]) || lettered(i.ways[1])
	})
}

// sentence rewrites one sentence.
func (s *set) sentence(items []item) []parse.Node {
	own := slices.ContainsFunc(items, func(i item) bool { return lettered([]item{i}) && i.sort == words })
	joined := slices.ContainsFunc(items, within)
	blank := func(i item) bool {
		return i.sort == block || i.sort == words && strings.TrimSpace(i.text) == ""
	}
	others := len(items) - 1 - count(items, blank)
	if !own && !(joined && others > 0) || !lettered(items) {
		var out []parse.Node
		for _, i := range items {
			out = append(out, s.apart(i)...)
		}
		return out
	}
	ways := readings(items)
	if ways > most {
		if s.Pieces != nil {
			s.Pieces(s.name, strings.Join(strings.Fields(plain(items)), " "))
		}
		return s.message(items)
	}
	return s.read(items)
}

// within reports whether a branch holds words of a sentence that goes on around it: not only links beside others.
func within(i item) bool {
	return i.sort == branch && slices.ContainsFunc(slices.Concat(i.ways[0], i.ways[1]), func(i item) bool {
		return i.sort == words && lettered([]item{i}) || within(i)
	})
}

func count(items []item, is func(item) bool) int {
	n := 0
	for _, i := range items {
		if is(i) {
			n++
		}
	}
	return n
}

// apart rewrites an item that is no part of a message.
func (s *set) apart(i item) []parse.Node {
	switch i.sort {
	case words:
		return []parse.Node{textNode(i.text)}
	case element:
		out := s.attributes(i.nodes)
		for _, sentence := range sentences(i.in) {
			out = append(out, s.sentence(sentence)...)
		}
		return append(out, copies(i.close)...)
	case value:
		return []parse.Node{s.shown(i.nodes[0])}
	case branch:
		return []parse.Node{s.control(i.nodes[0])}
	case tag:
		return s.attributes(i.nodes)
	}
	return s.block(i)
}

// readings is how many ways to read some items have.
func readings(items []item) int {
	n := 1
	for _, i := range items {
		if i.sort == branch && lettered([]item{i}) {
			n *= readings(i.ways[0]) + readings(i.ways[1])
		} else if i.sort == element {
			n *= readings(i.in)
		}
	}
	return n
}

// read rewrites a sentence with its branches drawn out of it: each way to read it becomes a
// message.
func (s *set) read(items []item) []parse.Node {
	at, i := firstBranch(items)
	if i == nil {
		return s.message(items)
	}
	var out []parse.Node
	var b *parse.BranchNode
	then := i.ways[0]
	pipe := (*parse.PipeNode)(nil)
	switch n := i.nodes[0].(type) {
	case *parse.IfNode:
		b, pipe = &n.BranchNode, n.Pipe.CopyPipe()
	case *parse.WithNode: // its value becomes a variable, so that the rest stays what it is about
		b = &n.BranchNode
		s.vars++
		name := fmt.Sprintf("$told%d%s", s.vars, lastName.FindString(n.Pipe.Cmds[0].String()))
		set := n.Pipe.CopyPipe()
		set.IsAssign = false
		decl := set.Decl
		set.Decl = []*parse.VariableNode{{NodeType: parse.NodeVariable, Ident: []string{name}}}
		out = append(out, &parse.ActionNode{NodeType: parse.NodeAction, Pos: n.Pos, Line: n.Line, Pipe: set})
		if len(decl) > 0 {
			also := pipeOf(name)
			also.Decl = decl
			out = append(out, &parse.ActionNode{NodeType: parse.NodeAction, Pos: n.Pos, Line: n.Line, Pipe: also})
		}
		pipe, then = pipeOf(name), about(then, name)
	}
	with := func(way []item) *parse.ListNode {
		return &parse.ListNode{NodeType: parse.NodeList, Nodes: s.read(replaced(items, at, way))}
	}
	return append(out, &parse.IfNode{BranchNode: parse.BranchNode{NodeType: parse.NodeIf, Pos: b.Pos, Line: b.Line,
		Pipe: pipe, List: with(then), ElseList: with(i.ways[1])}})
}

// firstBranch finds the first branch with words, and the way to it through elements.
func firstBranch(items []item) ([]int, *item) {
	for n := range items {
		i := &items[n]
		if i.sort == branch && lettered([]item{*i}) {
			return []int{n}, i
		}
		if i.sort == element {
			if at, found := firstBranch(i.in); found != nil {
				return append([]int{n}, at...), found
			}
		}
	}
	return nil, nil
}

// replaced are items with others in the place of one.
func replaced(items []item, at []int, by []item) []item {
	if len(at) == 1 {
		return merged(slices.Concat(items[:at[0]], by, items[at[0]+1:]))
	}
	out := slices.Clone(items)
	out[at[0]].in = replaced(out[at[0]].in, at[1:], by)
	return out
}

// merged are items with texts beside each other joined.
func merged(items []item) []item {
	var out []item
	for _, i := range items {
		if n := len(out); n > 0 && i.sort == words && out[n-1].sort == words {
			out[n-1].text += i.text
			continue
		}
		out = append(out, i)
	}
	return out
}

func textNode(s string) *parse.TextNode {
	return &parse.TextNode{NodeType: parse.NodeText, Text: []byte(s)}
}

func pipeOf(variable string) *parse.PipeNode {
	return &parse.PipeNode{NodeType: parse.NodePipe, Cmds: []*parse.CommandNode{{NodeType: parse.NodeCommand,
		Args: []parse.Node{&parse.VariableNode{NodeType: parse.NodeVariable, Ident: []string{variable}}}}}}
}

func copies(nodes []parse.Node) []parse.Node {
	var out []parse.Node
	for _, n := range nodes {
		out = append(out, n.Copy())
	}
	return out
}

// shown makes a value one that is shown in the language.
func (s *set) shown(n parse.Node) parse.Node {
	a, ok := n.(*parse.ActionNode)
	if !ok {
		return s.control(n)
	}
	a = a.Copy().(*parse.ActionNode)
	if len(a.Pipe.Decl) == 0 {
		a.Pipe.Cmds = append(a.Pipe.Cmds, &parse.CommandNode{NodeType: parse.NodeCommand,
			Args: []parse.Node{parse.NewIdentifier(Told)}})
	}
	return a
}
