package templates

import (
	"slices"
	"strings"
	"text/template/parse"
)

// items takes a list apart into texts, tags and values; false where a tag goes beyond it.
func (s *set) items(l *parse.ListNode) ([]item, bool) {
	var sc scanner
	for _, n := range l.Nodes {
		t, isText := n.(*parse.TextNode)
		switch {
		case isText:
			sc.text(string(t.Text))
		case sc.in != nil:
			sc.in.nodes = append(sc.in.nodes, n)
		default:
			sc.out = append(sc.out, s.item(n))
		}
	}
	return valued(sc.out), sc.in == nil
}

// scanner takes text with tags apart.
type scanner struct {
	out   []item
	in    *item // the tag, or the opaque element, that is being read
	quote byte
	until string // the end of an opaque element
}

func (sc *scanner) text(s string) {
	for s != "" {
		if sc.in != nil {
			n, ends := sc.rest(s)
			sc.in.nodes = append(sc.in.nodes, textNode(s[:n]))
			if s = s[n:]; ends {
				sc.out, sc.in = append(sc.out, *sc.in), nil
			}
			continue
		}
		n := strings.IndexByte(s, '<')
		if n < 0 {
			n = len(s)
		}
		if n > 0 {
			sc.out = append(sc.out, item{sort: words, text: s[:n]})
		}
		if s = s[n:]; s != "" {
			sc.begin(s)
		}
	}
}

// valued gives options that have none the value that is sent for them: their English text.
func valued(items []item) []item {
	for n := range items {
		i := &items[n]
		if i.name != "option" || i.end || slices.ContainsFunc(i.nodes, func(n parse.Node) bool {
			return strings.Contains(n.String(), "value=")
		}) {
			continue
		}
		last := len(i.nodes) - 1
		nodes := append(slices.Clone(i.nodes[:last]),
			textNode(strings.TrimSuffix(i.nodes[last].String(), ">")+` value="`))
		for _, in := range items[n+1:] {
			if in.name == "option" {
				break
			}
			if in.sort == words {
				nodes = append(nodes, textNode(in.text))
			}
			nodes = append(nodes, copies(in.nodes)...)
		}
		i.nodes = append(nodes, textNode(`">`))
	}
	return items
}

// begin notes the tag that a text begins with.
func (sc *scanner) begin(s string) {
	i := &item{sort: tag, end: strings.HasPrefix(s, "</")}
	i.name = strings.TrimLeft(s, "</!")
	if n := strings.IndexFunc(i.name, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9')
	}); n >= 0 {
		i.name = i.name[:n]
	}
	if !slices.Contains(inline, i.name) {
		i.sort = block
	}
	if slices.Contains(opaque, i.name) && !i.end {
		sc.until = "</" + i.name + ">"
	}
	sc.in = i
}

// rest is how much of a text belongs to the tag that is being read, and whether that ends there.
func (sc *scanner) rest(s string) (n int, ends bool) {
	if sc.until != "" {
		n := strings.Index(s, sc.until)
		if n < 0 {
			return len(s), false
		}
		n += len(sc.until)
		sc.until = ""
		return n, true
	}
	for n := range len(s) {
		switch c := s[n]; {
		case sc.quote != 0 && c == sc.quote:
			sc.quote = 0
		case sc.quote != 0:
		case c == '"':
			sc.quote = c
		case c == '>':
			return n + 1, true
		}
	}
	return len(s), false
}

// item makes an item of a node that is no text.
func (s *set) item(n parse.Node) item {
	i := item{sort: block, nodes: []parse.Node{n}}
	switch n := n.(type) {
	case *parse.ActionNode:
		if len(n.Pipe.Decl) == 0 {
			i.sort = value
		}
	case *parse.TemplateNode:
		if s.inline(n.Name) {
			i.sort = value
		}
	case *parse.IfNode:
		i.branch(s, &n.BranchNode, branch)
	case *parse.WithNode:
		i.branch(s, &n.BranchNode, branch)
	case *parse.RangeNode:
		i.branch(s, &n.BranchNode, value)
	}
	return i
}

// branch makes an item of a control that holds no block element.
func (i *item) branch(s *set, b *parse.BranchNode, as sort) {
	for n, l := range []*parse.ListNode{b.List, b.ElseList} {
		if l == nil {
			continue
		}
		items, ok := s.items(l)
		items = paired(items)
		if !ok || slices.ContainsFunc(items, func(i item) bool { return i.sort == block }) {
			return
		}
		i.ways[n] = items
	}
	if i.sort = as; as == value {
		i.ways = [2][]item{}
	}
}

// inline reports whether a template holds no block element.
func (s *set) inline(name string) bool {
	in, known := s.inlined[name]
	if !known {
		s.inlined[name] = false // while it is looked at
		if t := s.trees[name]; t != nil {
			items, ok := s.items(t.Root)
			in = ok && !slices.ContainsFunc(paired(items), func(i item) bool { return i.sort == block })
		}
		s.inlined[name] = in
	}
	return in
}

// attributes rewrites a tag: the values of its attributes that are read or heard are messages.
func (s *set) attributes(nodes []parse.Node) []parse.Node {
	var out []parse.Node
	var val []item // of a worded attribute that is being read
	var sofar string
	quoted, wordy := false, false
	for _, n := range nodes {
		t, isText := n.(*parse.TextNode)
		switch {
		case !isText && wordy:
			val = append(val, s.item(n))
			continue
		case !isText && quoted:
			out = append(out, n.Copy())
			continue
		case !isText:
			out = append(out, s.within(n))
			continue
		}
		for text := string(t.Text); text != ""; {
			end := strings.IndexByte(text, '"')
			piece := text[:max(end, 0)]
			if end < 0 {
				piece = text
			}
			if wordy {
				val = append(val, item{sort: words, text: piece})
			} else {
				out = append(out, textNode(piece))
			}
			if end < 0 {
				sofar += text
				break
			}
			if wordy {
				for _, sentence := range sentences(val) {
					out = append(out, s.sentence(sentence)...)
				}
				val = nil
			}
			sofar = piece
			quoted = !quoted
			wordy = quoted && isWorded(sofar)
			out = append(out, textNode(`"`))
			text = text[end+1:]
		}
	}
	return out
}

// within rewrites a control that stands in a tag between its attributes.
func (s *set) within(n parse.Node) parse.Node {
	list := func(l *parse.ListNode) *parse.ListNode {
		if l == nil {
			return nil
		}
		return &parse.ListNode{NodeType: parse.NodeList, Nodes: s.attributes(l.Nodes)}
	}
	of := func(b parse.BranchNode) parse.BranchNode {
		b.Pipe, b.List, b.ElseList = b.Pipe.CopyPipe(), list(b.List), list(b.ElseList)
		return b
	}
	switch n := n.(type) {
	case *parse.IfNode:
		return &parse.IfNode{BranchNode: of(n.BranchNode)}
	case *parse.WithNode:
		return &parse.WithNode{BranchNode: of(n.BranchNode)}
	}
	return n.Copy()
}

// isWorded reports whether the value of a worded attribute begins.
func isWorded(before string) bool {
	name, ok := strings.CutSuffix(before, "=")
	return ok && slices.Contains(worded, name[strings.LastIndexAny(name, " \n\t")+1:])
}

// about makes items that are about a value, as within {{with}}, be about a variable.
func about(items []item, name string) []item {
	out := slices.Clone(items)
	for n := range out {
		i := &out[n]
		i.nodes = copies(i.nodes)
		for _, node := range i.nodes {
			rebase(node, name)
		}
		i.in, i.ways[1] = about(i.in, name), about(i.ways[1], name)
		if len(i.nodes) == 0 || i.nodes[0].Type() != parse.NodeWith { // which is about its own
			i.ways[0] = about(i.ways[0], name)
		}
	}
	return out
}

// rebase makes what a node says of the dot be of a variable.
func rebase(n parse.Node, name string) {
	switch n := n.(type) {
	case *parse.ListNode:
		if n != nil {
			for _, in := range n.Nodes {
				rebase(in, name)
			}
		}
	case *parse.ActionNode:
		rebase(n.Pipe, name)
	case *parse.TemplateNode:
		if n.Pipe != nil {
			rebase(n.Pipe, name)
		}
	case *parse.IfNode:
		rebase(n.Pipe, name)
		rebase(n.List, name)
		rebase(n.ElseList, name)
	case *parse.WithNode:
		rebase(n.Pipe, name)
		rebase(n.ElseList, name)
	case *parse.RangeNode:
		rebase(n.Pipe, name)
		rebase(n.ElseList, name)
	case *parse.PipeNode:
		for _, cmd := range n.Cmds {
			for i, arg := range cmd.Args {
				cmd.Args[i] = rebased(arg, name)
			}
		}
	}
}

// rebased is an argument with the dot replaced by a variable.
func rebased(arg parse.Node, name string) parse.Node {
	switch arg := arg.(type) {
	case *parse.DotNode:
		return &parse.VariableNode{NodeType: parse.NodeVariable, Pos: arg.Pos, Ident: []string{name}}
	case *parse.FieldNode:
		return &parse.VariableNode{NodeType: parse.NodeVariable, Pos: arg.Pos,
			Ident: append([]string{name}, arg.Ident...)}
	case *parse.ChainNode:
		arg.Node = rebased(arg.Node, name)
	case *parse.PipeNode:
		rebase(arg, name)
	}
	return arg
}
