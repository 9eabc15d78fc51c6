package yamltree

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"
)

// Manner says how a sort of file is laid out by those who write it by hand.
type Manner struct {
	// Brackets names keys whose group of keys, or whose list's items, stand in brackets
	// on one line; Lines names lists of single values whose items have a line each.
	Brackets, Lines []string
	Quoted          []string // keys whose value stands in quotation marks, a part number for one
}

// Splice puts the difference between two trees into a text: was is what the text
// says and now what it is to say, both as [Write] and [Document] give them. Only the
// lines of what differs are touched. Items of lists that have an id keep to it. The
// error says that the text is laid out in a way in which a value's end cannot be
// found; a caller has to read the result again.
func Splice(src []byte, was, now *Node, m Manner) ([]byte, error) {
	text, err := Document(src)
	if err != nil {
		return nil, err
	}
	s := splicer{span: newSpan(src), manner: m}
	s.merge(text, was, now, held{})
	return s.apply()
}

// SameTree reports whether two trees say the same, places and spelling aside.
func SameTree(a, b *Node) bool {
	return a.Kind == b.Kind && a.Value == b.Value && slices.EqualFunc(a.Content, b.Content, SameTree)
}

type splicer struct {
	span
	manner Manner
	cuts   []cut
	errs   []error
}

// cut puts a text in place of a part of the file.
type cut struct {
	from, to int
	text     string
}

// held says what holds a value: the key it stands under, how far its holder is
// indented, and whether that stands in brackets.
type held struct {
	key  string
	hang int
	flow bool
}

func (s *splicer) cut(from, to int, text string) {
	s.cuts = append(s.cuts, cut{from, to, text})
}

// must keeps an error for the end and returns the value.
func (s *splicer) must(at int, err error) int {
	s.errs = append(s.errs, err)
	if err != nil {
		return 0
	}
	return at
}

func (s *splicer) apply() ([]byte, error) {
	if err := errors.Join(s.errs...); err != nil {
		return nil, err
	}
	slices.SortStableFunc(s.cuts, func(a, b cut) int {
		return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to))
	})
	eol := "\n"
	if i := bytes.IndexByte(s.src, '\n'); i > 0 && s.src[i-1] == '\r' {
		eol = "\r\n"
	}
	var out bytes.Buffer
	at := 0
	for _, c := range s.cuts {
		if c.from < at {
			return nil, errors.New("two changes touch the same words")
		}
		out.Write(s.src[at:c.from])
		if c.from == len(s.src) && at < len(s.src) && s.src[len(s.src)-1] != '\n' && c.text != "" {
			out.WriteString(eol)
		}
		out.WriteString(strings.ReplaceAll(c.text, "\n", eol))
		at = c.to
	}
	out.Write(s.src[at:])
	return out.Bytes(), nil
}

// merge makes a value of the text say what now says; was is what it says.
func (s *splicer) merge(n, was, now *Node, in held) {
	if SameTree(was, now) {
		return
	}
	block := n.Style&yaml.FlowStyle == 0
	switch kind := n.Kind; {
	case kind != was.Kind || kind != now.Kind || kind == yaml.ScalarNode:
		s.replace(n, now, in)
	case kind == yaml.MappingNode:
		s.mapping(n, was, now, held{in.key, n.Column - 1, in.flow || !block})
	case block:
		s.list(n, was, now, held{in.key, n.Column - 1, in.flow})
	case len(n.Content) == len(now.Content) && len(n.Content) == len(was.Content) &&
		n.Content[0].Kind != yaml.ScalarNode:
		for i := range n.Content {
			s.merge(n.Content[i], was.Content[i], now.Content[i], held{in.key, in.hang, true})
		}
	default:
		s.replace(n, now, in)
	}
}

// replace writes a value anew in its place.
func (s *splicer) replace(n, now *Node, in held) {
	from := s.must(s.begin(n))
	to := s.must(s.end(n, in.hang, in.flow))
	if n.Kind != yaml.ScalarNode && n.Style&yaml.FlowStyle == 0 {
		from = s.must(s.inLine(from))
	}
	text := s.inline(now, in.flow, n)
	if !plain(n) {
		text = s.quoted(in.key, now, text)
	}
	s.cut(from, to, text)
}

// quoted is how a value is written if those of its key stand in quotation marks.
func (s *splicer) quoted(key string, n *Node, text string) string {
	if n.Kind == yaml.ScalarNode && slices.Contains(s.manner.Quoted, key) {
		return s.quote(n.Value)
	}
	return text
}

// inLine is the place on the line above to which a block can be drawn up: behind
// its key's colon.
func (s *splicer) inLine(from int) (int, error) {
	at := len(bytes.TrimRight(s.src[:from], " \r\n"))
	if at == 0 || s.src[at-1] != ':' {
		return 0, errLayout
	}
	return at, nil
}

// mapping changes, adds and takes out entries of a group of keys.
func (s *splicer) mapping(n, was, now *Node, in held) {
	had, has := keyed(was), keyed(now)
	pairs, _ := Pairs(n)
	stays := func(p Pair) bool { return had[p.Key.Value] == nil || has[p.Key.Value] != nil }
	first := slices.IndexFunc(pairs, stays)
	if first < 0 {
		s.replace(n, now, in)
		return
	}
	for i, p := range pairs {
		key := p.Key.Value
		switch w := has[key]; {
		case !stays(p) && in.flow && i < first:
			if i == 0 {
				s.cut(s.must(s.begin(p.Key)), s.must(s.begin(pairs[first].Key)), "")
			}
		case !stays(p) && in.flow:
			s.cut(s.must(s.end(pairs[i-1].Value, 0, true)), s.must(s.end(p.Value, 0, true)), "")
		case !stays(p):
			s.takeOut(p, in.hang)
		case w == nil, had[key] != nil && SameTree(had[key], w):
		case bare(p.Value):
			at := s.must(s.colon(p.Key))
			s.cut(at, at, s.value(key, w, in.hang, in.flow))
		case had[key] != nil:
			s.merge(p.Value, had[key], w, held{key, in.hang, in.flow})
		default:
			s.replace(p.Value, w, held{key, in.hang, in.flow})
		}
	}
	order, _ := Pairs(now)
	var before *Pair // in the text, the last one so far
	for _, p := range order {
		i := slices.IndexFunc(pairs, func(o Pair) bool { return o.Key.Value == p.Key.Value })
		if i >= 0 {
			before = &pairs[i]
			continue
		}
		s.add(before, pairs, p, in)
	}
}

func keyed(n *Node) map[string]*Node {
	out := map[string]*Node{}
	pairs, _ := Pairs(n)
	for _, p := range pairs {
		out[p.Key.Value] = p.Value
	}
	return out
}

// add puts an entry behind another one, or before the first.
func (s *splicer) add(before *Pair, pairs []Pair, p Pair, in held) {
	text := s.scalar(p.Key, true, nil) + ":" + s.value(p.Key.Value, p.Value, in.hang, in.flow)
	switch {
	case before == nil && in.flow:
		at := s.must(s.begin(pairs[0].Key))
		s.cut(at, at, text+", ")
	case in.flow:
		at := s.must(s.end(before.Value, 0, true))
		s.cut(at, at, ", "+text)
	case before == nil:
		at, lead := s.must(s.begin(pairs[0].Key)), strings.Repeat(" ", in.hang)
		if begins := s.lineBegin(at); len(bytes.TrimSpace(s.src[begins:at])) == 0 {
			s.cut(begins, begins, lead+text+"\n")
			return
		}
		s.cut(at, at, text+"\n"+lead) // behind the hyphen of its item
	default:
		at := s.lineEnd(s.must(s.entryEnd(*before, in.hang)))
		s.cut(at, at, strings.Repeat(" ", in.hang)+text+"\n")
	}
}

func (s *splicer) entryEnd(p Pair, hang int) (int, error) {
	if bare(p.Value) {
		return s.colon(p.Key)
	}
	return s.end(p.Value, hang, false)
}

// takeOut takes an entry's lines out; a remark behind a single value keeps its key.
func (s *splicer) takeOut(p Pair, hang int) {
	from, to := s.must(s.begin(p.Key)), s.must(s.entryEnd(p, hang))
	rest := strings.TrimSpace(string(s.src[to:s.lineEnd(to)]))
	begins := s.lineBegin(from)
	switch {
	case rest != "" && s.lineEnd(from) == s.lineEnd(to):
		s.cut(s.must(s.colon(p.Key)), to, "")
	case strings.TrimSpace(string(s.src[begins:from])) != "": // behind the hyphen of its item
		s.cut(from, to+len(s.src[to:s.skip(s.lineEnd(to), "")]), "")
	default:
		s.cut(begins, s.lineEnd(to), s.apart(begins, s.lineEnd(to)))
	}
}

// list changes, adds and takes out items of a list whose items stand on lines of
// their own.
func (s *splicer) list(n, was, now *Node, in held) {
	if len(n.Content) != len(was.Content) || len(now.Content) == 0 {
		s.errs = append(s.errs, errLayout)
		return
	}
	pair := paired(was.Content, now.Content)
	kept := map[int]bool{}
	at := s.lineBegin(s.must(s.hyphen(n.Content[0]))) // where the next new item goes
	for i, w := range now.Content {
		j := pair[i]
		if j < 0 {
			s.cut(at, at, s.item(in.key, w, in.hang, n))
			continue
		}
		kept[j] = true
		s.merge(n.Content[j], was.Content[j], w, in)
		at = s.lineEnd(s.must(s.end(n.Content[j], in.hang, false)))
	}
	for j, item := range n.Content {
		if !kept[j] {
			from := s.lineBegin(s.must(s.hyphen(item)))
			to := s.lineEnd(s.must(s.end(item, in.hang, false)))
			s.cut(from, to, s.apart(from, to))
		}
	}
}

// apart is what stays of an item: a blank line between the remark above it and what
// follows, which that remark is not about.
func (s *splicer) apart(from, to int) string {
	if from == 0 || to == len(s.src) || len(bytes.TrimSpace(s.src[to:s.lineEnd(to)])) == 0 ||
		!bytes.HasPrefix(bytes.TrimSpace(s.src[s.lineBegin(from-1):from]), []byte("#")) {
		return ""
	}
	return "\n"
}

// hyphen is where the hyphen of an item stands, alone before it.
func (s *splicer) hyphen(item *Node) (int, error) {
	from, err := s.begin(item)
	at := len(bytes.TrimRight(s.src[:from], " \r\n")) - 1
	if err == nil && (at < 0 || s.src[at] != '-' || len(bytes.TrimSpace(s.src[s.lineBegin(at):at])) > 0) {
		err = errLayout
	}
	return max(at, 0), err
}

// paired tells for each new item which old one it is, -1 for none: the one of its
// id, or else of its words; of what lies between, items without ids go by their order.
func paired(was, now []*Node) []int {
	long := make([][]int, len(was)+1) // the longest common subsequence from there on
	for i := range long {
		long[i] = make([]int, len(now)+1)
	}
	for i := len(was) - 1; i >= 0; i-- {
		for j := len(now) - 1; j >= 0; j-- {
			if long[i][j] = max(long[i+1][j], long[i][j+1]); alike(was[i], now[j]) {
				long[i][j] = long[i+1][j+1] + 1
			}
		}
	}
	out := slices.Repeat([]int{-1}, len(now))
	i, j, gapI, gapJ := 0, 0, 0, 0
	between := func(toI, toJ int) {
		for ; gapI < toI && gapJ < toJ; gapI, gapJ = gapI+1, gapJ+1 {
			if idOf(was[gapI]) == "" && idOf(now[gapJ]) == "" {
				out[gapJ] = gapI
			}
		}
	}
	for i < len(was) && j < len(now) {
		switch {
		case alike(was[i], now[j]):
			between(i, j)
			out[j] = i
			i, j = i+1, j+1
			gapI, gapJ = i, j
		case long[i+1][j] >= long[i][j+1]:
			i++
		default:
			j++
		}
	}
	between(len(was), len(now))
	return out
}

func alike(a, b *Node) bool {
	if id := idOf(a); id != "" || idOf(b) != "" {
		return id == idOf(b)
	}
	return SameTree(a, b)
}

func idOf(n *Node) string {
	pairs, _ := Pairs(n)
	for _, p := range pairs {
		if p.Key.Value == "id" {
			return p.Value.Value
		}
	}
	return ""
}

// item writes an item of a list, hyphen and all, in the manner of those there are.
func (s *splicer) item(key string, n *Node, hang int, among *Node) string {
	lead := strings.Repeat(" ", hang)
	gap := 2
	if among != nil && among.Content[0].Line == among.Line {
		gap = among.Content[0].Column - among.Column
	}
	dash := lead + "-" + strings.Repeat(" ", gap-1)
	if n.Kind != yaml.MappingNode || slices.Contains(s.manner.Brackets, key) {
		return dash + s.inline(n, n.Kind != yaml.ScalarNode, nil) + "\n"
	}
	text := s.block(n, hang+gap)
	return dash + strings.TrimLeft(text, " ")
}

// block writes a group of keys, each on a line.
func (s *splicer) block(n *Node, hang int) string {
	var b strings.Builder
	pairs, _ := Pairs(n)
	for _, p := range pairs {
		b.WriteString(strings.Repeat(" ", hang) + s.scalar(p.Key, true, nil) + ":" +
			s.value(p.Key.Value, p.Value, hang, false) + "\n")
	}
	return b.String()
}

// value writes what stands behind the colon of a key.
func (s *splicer) value(key string, n *Node, hang int, flow bool) string {
	single := func(n *Node) bool { return n.Kind == yaml.ScalarNode }
	switch {
	case flow, single(n), len(n.Content) == 0,
		n.Kind == yaml.MappingNode && slices.Contains(s.manner.Brackets, key),
		n.Kind == yaml.SequenceNode && single(n.Content[0]) && !slices.Contains(s.manner.Lines, key):
		return " " + s.quoted(key, n, s.inline(n, flow, nil))
	case n.Kind == yaml.MappingNode:
		return "\n" + strings.TrimRight(s.block(n, hang+2), "\n")
	}
	out := "\n"
	for _, item := range n.Content {
		out += s.item(key, item, hang+2, nil)
	}
	return strings.TrimRight(out, "\n")
}

// inline writes a value on one line; like is the one it replaces, or nil.
func (s *splicer) inline(n *Node, flow bool, like *Node) string {
	var parts []string
	switch n.Kind {
	case yaml.MappingNode:
		pairs, _ := Pairs(n)
		for _, p := range pairs {
			parts = append(parts, s.scalar(p.Key, true, nil)+": "+s.inline(p.Value, true, nil))
		}
		return "{" + strings.Join(parts, ", ") + "}"
	case yaml.SequenceNode:
		for _, item := range n.Content {
			parts = append(parts, s.inline(item, true, nil))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	}
	return s.scalar(n, flow, like)
}

// scalar writes a single value: without quotation marks where it then reads the
// same, unless the one it replaces has them without need.
func (s *splicer) scalar(n *Node, flow bool, like *Node) string {
	tag := n.ShortTag()
	if like != nil && like.Kind == yaml.ScalarNode && plain(like) && like.ShortTag() != "!!str" &&
		readsAs(n.Value, like.ShortTag(), flow) {
		return n.Value // such as a date
	}
	needless := like != nil && like.Kind == yaml.ScalarNode && !plain(like) && like.ShortTag() == "!!str" &&
		readsAs(like.Value, "!!str", flow)
	if readsAs(n.Value, tag, flow) && !needless {
		return n.Value
	}
	return s.quote(n.Value)
}

func (s *splicer) quote(text string) string {
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(text); err != nil {
		s.errs = append(s.errs, fmt.Errorf("%q cannot be written: %w", text, err))
	}
	return strings.TrimSuffix(b.String(), "\n")
}

func plain(n *Node) bool { return n.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle) == 0 }

// readsAs reports whether a text without quotation marks is read as itself.
func readsAs(text, tag string, flow bool) bool {
	if text == "" || strings.ContainsAny(text, "\r\n\t#") || strings.TrimSpace(text) != text {
		return false
	}
	before, after := "k: ", "\n"
	if flow {
		before, after = "k: {k: ", ", l: [m]}\n"
	}
	n, err := Document([]byte(before + text + after))
	for err == nil && n.Kind == yaml.MappingNode {
		n = n.Content[1]
	}
	return err == nil && n.Kind == yaml.ScalarNode && n.Value == text && n.ShortTag() == tag && plain(n) && !Indirect(n)
}
