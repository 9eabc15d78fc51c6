package cells

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"undertray.example/undertray/units"
)

// List is one list of an answer in JSON as a table: Rows begins with the names of its columns, for Write, and Lines are
// its members as they are, for JSON Lines.
type List struct {
	Name  string
	Rows  [][]any
	Lines []json.RawMessage
}

// within names the list of a member in which its rows are: a visit is told by its tasks. What both have stands in each
// row, figures of the outer one only in the first of its rows, so that a column can be added up.
var within = map[string]string{"stages": "stops", "stops": "checks", "visits": "tasks", "orders": "parts",
	"record": "lines", "sections": "rows"}

// field is a name and what it stands for in a JSON object, which keeps its order.
type field struct {
	name  string
	value json.RawMessage
}

// Lists are the lists of objects at the top of an answer in JSON, the longest first; an answer that is itself a list
// has the name "". A quantity such as "8200 mi" becomes a figure, with its unit in a column of its own behind it.
// The error says what is no JSON.
func Lists(src []byte) ([]List, error) {
	if rows := members(src); rows != nil {
		l, err := listOf("", rows)
		return []List{l}, err
	}
	fields, err := fieldsOf(src)
	if err != nil {
		return nil, err
	}
	var out []List
	for _, f := range fields {
		if rows := members(f.value); len(rows) > 0 {
			l, err := listOf(f.name, rows)
			if err != nil {
				return nil, err
			}
			out = append(out, l)
		}
	}
	slices.SortStableFunc(out, func(a, b List) int { return len(b.Rows) - len(a.Rows) })
	return out, nil
}

// members are those of a list of objects; nil for anything else.
func members(src json.RawMessage) []json.RawMessage {
	var out []json.RawMessage
	if json.Unmarshal(src, &out) != nil || out == nil {
		return nil
	}
	for _, m := range out {
		if !bytes.HasPrefix(bytes.TrimSpace(m), []byte("{")) {
			return nil
		}
	}
	return out
}

func fieldsOf(src json.RawMessage) ([]field, error) {
	dec := json.NewDecoder(bytes.NewReader(src))
	if t, err := dec.Token(); err != nil || t != json.Delim('{') {
		return nil, err
	}
	var out []field
	for dec.More() {
		name, err := dec.Token()
		if err != nil {
			return nil, err
		}
		f := field{name: fmt.Sprint(name)}
		if err := dec.Decode(&f.value); err != nil {
			return nil, err
		}
		out = append(out, f)
	}
	return out, nil
}

// grid gathers cells under the names of columns, in the order in which they come up.
type grid struct {
	names []string
	rows  []map[string]any
}

func listOf(name string, rows []json.RawMessage) (List, error) {
	g := &grid{}
	err := g.add(name, rows, nil)
	return List{name, g.table(), rows}, err
}

// add puts the members of a list into the grid, with the cells of what they stand in.
func (g *grid) add(list string, rows []json.RawMessage, outer map[string]any) error {
	deeper, prefix := within[list], ""
	for _, r := range rows {
		if deeper != "" && bytes.Contains(r, []byte(`"`+deeper+`"`)) {
			prefix = strings.TrimSuffix(list, "s") + " "
		}
	}
	for _, r := range rows {
		row := map[string]any{}
		maps.Copy(row, outer)
		inner, err := g.cells(prefix, r, deeper, row)
		if err != nil {
			return err
		}
		if len(inner) == 0 {
			g.rows = append(g.rows, row)
		} else if err := g.add(deeper, inner, row); err != nil {
			return err
		}
		maps.DeleteFunc(outer, func(_ string, v any) bool { return isFigure(v) })
	}
	return nil
}

// isFigure reports whether a cell can be added up.
func isFigure(v any) bool {
	if s, ok := v.(string); ok {
		q, err := units.ParseAny(s)
		return err == nil && q.Unit() != ""
	}
	_, figure := v.(float64)
	return figure
}

// cells puts the fields of an object into a row and returns the members of the list that is told by its rows.
func (g *grid) cells(prefix string, src json.RawMessage, inner string, row map[string]any) ([]json.RawMessage, error) {
	fields, err := fieldsOf(src)
	if err != nil {
		return nil, err
	}
	var rows []json.RawMessage
	for _, f := range fields {
		name := prefix + strings.ReplaceAll(f.name, "_", " ")
		var v any
		if err := json.Unmarshal(f.value, &v); err != nil {
			return nil, err
		}
		switch v := v.(type) {
		case nil:
		case map[string]any:
			if _, err := g.cells(name+" ", f.value, "", row); err != nil {
				return nil, err
			}
		case []any:
			if f.name == inner {
				rows = members(f.value)
			} else if words := texts(v); words != nil {
				g.set(row, name, strings.Join(words, "; "))
			}
		case bool:
			g.set(row, name, map[bool]string{true: "yes", false: "no"}[v])
		default:
			g.set(row, name, v)
		}
	}
	return rows, nil
}

func (g *grid) set(row map[string]any, name string, v any) {
	if !slices.Contains(g.names, name) {
		g.names = append(g.names, name)
	}
	row[name] = v
}

// texts are the members of a list of texts and figures; nil for a list of anything else.
func texts(list []any) []string {
	out := []string{}
	for _, v := range list {
		switch v.(type) {
		case string, float64:
			out = append(out, fmt.Sprint(v))
		default:
			return nil
		}
	}
	return out
}

// table lays the grid out, quantities taken apart.
func (g *grid) table() [][]any {
	var head []any
	rows := make([][]any, len(g.rows))
	for _, name := range g.names {
		measured, filled := true, false
		for _, r := range g.rows {
			if s, ok := r[name].(string); ok && s != "" {
				q, err := units.ParseAny(s)
				measured, filled = measured && err == nil && q.Unit() != "", true
			} else if ok || r[name] != nil {
				measured = false
			}
		}
		head = append(head, name)
		if measured = measured && filled; measured {
			head = append(head, name+" unit")
		}
		for i, r := range g.rows {
			cell := r[name]
			if cell == nil {
				cell = ""
			}
			if !measured {
				rows[i] = append(rows[i], cell)
			} else if q, err := units.ParseAny(fmt.Sprint(cell)); err == nil {
				rows[i] = append(rows[i], q.Value(), q.Unit())
			} else {
				rows[i] = append(rows[i], "", "")
			}
		}
	}
	return append([][]any{head}, rows...)
}
