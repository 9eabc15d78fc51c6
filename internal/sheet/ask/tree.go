package ask

import (
	"encoding/json"
	"slices"
	"strings"

	"undertray.example/undertray/internal/yamltree"
)

// A tree is a string, a list of trees ([]any) or a *table.
type table struct {
	keys []string
	at   map[string]any
}

func newTable() *table { return &table{at: map[string]any{}} }

func (t *table) set(key string, v any) {
	if _, ok := t.at[key]; !ok {
		t.keys = append(t.keys, key)
	}
	t.at[key] = v
}

func (t *table) drop(key string) {
	delete(t.at, key)
	t.keys = slices.DeleteFunc(t.keys, func(k string) bool { return k == key })
}

func (t *table) text(key string) string {
	s, _ := t.at[key].(string)
	return s
}

// list returns the words of a list, those that are tables left out.
func (t *table) list(key string) []string {
	var out []string
	l, _ := t.at[key].([]any)
	for _, v := range l {
		if s, ok := v.(string); ok {
			out = append(out, s)
		}
	}
	return out
}

func (t *table) setList(key string, ids []string) {
	l := make([]any, len(ids))
	for i, id := range ids {
		l[i] = id
	}
	t.set(key, l)
}

// treeOf copies a YAML tree.
func treeOf(n *yamltree.Node) any {
	if pairs, ok := yamltree.Pairs(n); ok {
		t := newTable()
		for _, p := range pairs {
			t.set(p.Key.Value, treeOf(p.Value))
		}
		return t
	}
	if items, ok := yamltree.Items(n); ok {
		l := make([]any, len(items))
		for i, it := range items {
			l[i] = treeOf(it)
		}
		return l
	}
	text, _ := yamltree.Text(n)
	return text
}

// order is the order in which keys are written.
var order = strings.Fields(`id name undo state kind from x y where needs on_ground seen changed look_only minutes
	undo_minutes raises leaves undo_needs engine tools fasteners consumables cautions part neighbours limits intervals
	note belt typical section turns idle usual maximum tensioner pulleys`)

// writer writes trees as YAML in the manner in which people write sheets.
type writer struct{ strings.Builder }

// block writes a table's keys, each on a line of its own; first stands before the
// first of them.
func (w *writer) block(t *table, first, indent string, ordered bool) {
	keys := slices.Clone(t.keys)
	if ordered {
		slices.SortStableFunc(keys, func(a, b string) int { return slices.Index(order, a) - slices.Index(order, b) })
	}
	lead := first
	for _, key := range keys {
		if empty(t.at[key]) {
			continue
		}
		w.WriteString(lead + key + ":")
		w.under(key, t.at[key], indent)
		lead = indent
	}
}

func empty(v any) bool {
	switch v := v.(type) {
	case string:
		return v == ""
	case []any:
		return len(v) == 0
	case *table:
		return len(v.keys) == 0
	}
	return true
}

// under writes the value behind a key.
func (w *writer) under(key string, v any, indent string) {
	switch v := v.(type) {
	case string:
		w.WriteString(" " + scalar(key, v, false) + "\n")
	case []any:
		_, tables := v[0].(*table)
		if !tables && key != "cautions" {
			w.WriteString(" " + flow(v) + "\n")
			return
		}
		w.WriteString("\n")
		for _, it := range v {
			if t, ok := it.(*table); ok {
				w.WriteString(indent + "  - " + flow(t) + "\n")
			} else {
				w.WriteString(indent + "  - " + scalar("", it.(string), false) + "\n")
			}
		}
	case *table:
		w.WriteString("\n")
		w.block(v, indent+"  ", indent+"  ", false)
	}
}

// flow writes a list or table on one line.
func flow(v any) string {
	switch v := v.(type) {
	case []any:
		parts := make([]string, len(v))
		for i, it := range v {
			parts[i] = flow(it)
		}
		return "[" + strings.Join(parts, ", ") + "]"
	case *table:
		var parts []string
		for _, k := range v.keys {
			if s, ok := v.at[k].(string); ok && s != "" {
				parts = append(parts, k+": "+scalar(k, s, true))
			} else if !empty(v.at[k]) {
				parts = append(parts, k+": "+flow(v.at[k]))
			}
		}
		return "{" + strings.Join(parts, ", ") + "}"
	}
	return scalar("", v.(string), true)
}

// scalar writes a text so that YAML reads the same text back.
func scalar(key, s string, inFlow bool) string {
	plain := s != "" && !strings.ContainsAny(s[:1], "!&*-?:,[]{}#|>@`\"'% ") && !strings.HasSuffix(s, " ") &&
		!strings.HasSuffix(s, ":") && !strings.Contains(s, ": ") && !strings.Contains(s, " #") &&
		!strings.ContainsFunc(s, func(c rune) bool { return c < ' ' })
	if inFlow {
		plain = plain && !strings.ContainsAny(s, ",[]{}")
	}
	numeric := strings.Trim(s, "0123456789.") == ""
	if numeric && (key == "quantity" || key == "amount" || key == "number" || key == "name") {
		plain = false
	}
	if strings.HasPrefix(s, "-") && len(s) > 1 && s[1] >= '0' && s[1] <= '9' {
		plain = true // a figure below nothing
	}
	switch strings.ToLower(s) {
	case "yes", "no", "on", "off", "null", "~", "y", "n":
		plain = false
	case "true", "false":
		plain = key != "name" && key != ""
	}
	if plain {
		return s
	}
	b, err := json.Marshal(s)
	if err != nil { // a Go string always can be
		panic("ask: " + err.Error())
	}
	return string(b)
}
