package web

import (
	"bytes"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"undertray/internal/fleet"
	"undertray/internal/yamltree"
)

// newPosition is what the form for a position asks; the sheet holds more.
type newPosition struct {
	ID      string   `yaml:"id"`
	Name    string   `yaml:"name"`
	Kind    string   `yaml:"kind"`
	From    string   `yaml:"from"`
	X       float64  `yaml:"x"`
	Y       float64  `yaml:"y"`
	Where   string   `yaml:"where,omitempty"`
	Seen    []string `yaml:"seen,omitempty,flow"`
	Changed []string `yaml:"changed,omitempty,flow"`
	Minutes float64  `yaml:"minutes,omitempty"`
}

type newOpening struct {
	ID          string   `yaml:"id"`
	Name        string   `yaml:"name"`
	Undo        string   `yaml:"undo,omitempty"`
	State       string   `yaml:"state,omitempty"`
	From        string   `yaml:"from,omitempty"`
	Needs       []string `yaml:"needs,omitempty,flow"`
	Minutes     float64  `yaml:"minutes"`
	UndoMinutes float64  `yaml:"undo_minutes,omitempty"`
}

func (s *Server) sheetAddPosition(w http.ResponseWriter, r *http.Request) error {
	if err := form(r); err != nil {
		return err
	}
	f := fields{r.PostForm, nil}
	p := newPosition{ID: f.text("id"), Name: f.text("name"), Kind: f.text("kind"), From: f.text("from"),
		X: f.number("x"), Y: f.number("y"),
		Where: f.text("where"), Seen: f.list("seen"), Changed: f.list("changed"), Minutes: f.number("minutes")}
	return s.addToSheet(w, r, "positions", p, f.err)
}

func (s *Server) sheetAddOpening(w http.ResponseWriter, r *http.Request) error {
	if err := form(r); err != nil {
		return err
	}
	f := fields{r.PostForm, nil}
	o := newOpening{ID: f.text("id"), Name: f.text("name"), Undo: f.text("undo"), State: f.text("state"),
		From: f.text("from"), Needs: f.list("needs"),
		Minutes: f.number("minutes"), UndoMinutes: f.number("undo_minutes")}
	return s.addToSheet(w, r, "openings", o, f.err)
}

// fields reads a form's values and keeps the first fault.
type fields struct {
	url.Values
	err error
}

func (f *fields) text(name string) string { return strings.TrimSpace(f.Get(name)) }

func (f *fields) number(name string) float64 {
	typed := f.text(name)
	if typed == "" {
		return 0
	}
	v, err := strconv.ParseFloat(strings.Replace(typed, ",", ".", 1), 64)
	if err != nil && f.err == nil {
		f.err = &fleet.Error{Kind: fleet.Invalid, Where: name, Msg: fmt.Sprintf("%q is not a number", typed),
			Hint: "write it as 12 or 12.5"}
	}
	return v
}

func (f *fields) list(name string) []string {
	var out []string
	for _, v := range f.Values[name] {
		if v != "" {
			out = append(out, v)
		}
	}
	return out
}

// addToSheet writes an item at the end of one of the sheet's lists.
func (s *Server) addToSheet(w http.ResponseWriter, r *http.Request, list string, item any, err error) error {
	if err != nil {
		return err
	}
	src, err := s.readSheet(r)
	if err != nil {
		return err
	}
	added, err := appendItem(src, list, item)
	if err != nil {
		return err
	}
	return s.keepSheet(w, r, added, digest(src))
}

// appendItem puts an item behind the last one of a top-level list and leaves
// every other line, comments included, as it stands.
func appendItem(src []byte, list string, item any) ([]byte, error) {
	text, err := yamltree.Write(item)
	if err != nil {
		return nil, fmt.Errorf("writing %s: %w", list, err)
	}
	indent, at := listEnd(src, list)
	var b bytes.Buffer
	b.Write(src[:at])
	if at > 0 && src[at-1] != '\n' {
		b.WriteByte('\n')
	}
	if at == len(src) && indent < 0 {
		fmt.Fprintf(&b, "%s:\n", list)
	}
	lead := strings.Repeat(" ", max(indent, 0))
	if indent < 0 {
		lead = "  "
	}
	for i, line := range strings.Split(strings.TrimRight(string(text), "\n"), "\n") {
		mark := "  "
		if i == 0 {
			mark = "- "
		}
		b.WriteString(lead + mark + line + "\n")
	}
	b.Write(src[at:])
	return b.Bytes(), nil
}

// listEnd returns how far the items of a top-level list are indented and where
// the line behind its last item begins; -1 and the end where there is none.
func listEnd(src []byte, list string) (indent, at int) {
	indent, at = -1, len(src)
	pos, inside, first := 0, false, true
	for line := range bytes.Lines(src) {
		next := pos + len(line)
		body := bytes.TrimRight(line, " \r\n")
		bare := bytes.TrimLeft(body, " ")
		switch {
		case !inside:
			key, _, _ := bytes.Cut(body, []byte("#"))
			if inside = string(bytes.TrimRight(key, " ")) == list+":"; inside {
				indent, at = 2, next
			}
		case len(bare) == 0 || bare[0] == '#':
		case line[0] != ' ' && line[0] != '-':
			return indent, at
		default:
			if first {
				indent, first = len(body)-len(bare), false
			}
			at = next
		}
		pos = next
	}
	return indent, at
}
