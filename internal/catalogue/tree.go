package catalogue

import (
	"errors"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
)

// pairsOf returns the pairs of a mapping, however the parser shaped it.
func pairsOf(n ast.Node) ([]*ast.MappingValueNode, bool) {
	switch m := n.(type) {
	case *ast.MappingNode:
		return m.Values, true
	case *ast.MappingValueNode:
		return []*ast.MappingValueNode{m}, true
	}
	return nil, false
}

// textOf returns the text of a scalar as it was typed.
func textOf(n ast.Node) (string, bool) {
	switch s := n.(type) {
	case *ast.StringNode:
		return s.Value, true
	case *ast.LiteralNode:
		if s.Value == nil {
			return "", true
		}
		return s.Value.Value, true
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode:
		return n.GetToken().Value, true
	}
	return "", false
}

// placeOf returns where a node begins; a block mapping begins at its first
// key, which is where a person looks for it.
func placeOf(n ast.Node) place {
	if m, ok := n.(*ast.MappingNode); ok && !m.IsFlowStyle && len(m.Values) > 0 {
		n = m.Values[0]
	}
	if m, ok := n.(*ast.MappingValueNode); ok && m.Key != nil {
		n = m.Key
	}
	t := n.GetToken()
	if t == nil || t.Position == nil {
		return place{1, 1}
	}
	return place{max(1, t.Position.Line), max(1, t.Position.Column)}
}

// syntaxError returns where and what is wrong with a file that is no YAML.
func syntaxError(err error) (place, string) {
	at := place{1, 1}
	var typed yaml.Error
	if !errors.As(err, &typed) {
		return at, "this is not YAML: " + firstLine(err.Error())
	}
	if t := typed.GetToken(); t != nil && t.Position != nil {
		at = place{max(1, t.Position.Line), max(1, t.Position.Column)}
	}
	return at, "this is not YAML: " + firstLine(typed.GetMessage())
}

func firstLine(s string) string {
	line, _, _ := strings.Cut(s, "\n")
	return line
}

// join extends a path.
func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// lastKey returns the last part of a path that is not an index.
func lastKey(path string) string {
	parts := strings.Split(path, ".")
	for i := len(parts) - 1; i >= 0; i-- {
		if p := parts[i]; p != "" && (p[0] < '0' || p[0] > '9') {
			return p
		}
	}
	return "the file"
}
