// Package intake reads what comes from outside: filled-in round sheets as YAML
// or CSV. It turns files into entries and leaves it to package record to judge
// whether they can stand; every fault names its file and line.
package intake

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/cells"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/yamltree"
	"undertray.example/undertray/units"
)

// MaxSize is the largest findings file that is read, in bytes.
const MaxSize = 1 << 20

// Round is a filled-in round sheet.
type Round struct {
	Vehicle  string
	Date     civil.Date // zero: the file does not say
	Odometer *units.Quantity
	Sheet    string // code of the printed sheet whose numbers the rows are given by
	Rows     []Row
}

// Row is one answer as it was written, with its place in the file. By the numbers of a
// sheet, Position is "21a" for a check of a stop and "21" for words about it, without a
// Check, and "sound" for the stops that were sound, "1-20 22".
type Row struct {
	Where    string // file:line
	Position string
	Check    string
	Answer   string
	Note     string
}

// Findings reads a filled-in round sheet, YAML or CSV by the name's ending or, where that says neither, by its
// first line. A table has commas, semicolons or tabs, in UTF-8 or UTF-16. Checks left blank are passed over. All
// faults are reported together, each a *fleet.Error of kind Invalid that names file and line.
func Findings(name string, src []byte) (*Round, error) {
	if len(src) > MaxSize {
		return nil, fault(name, 0, message.Of("the file is larger than %d bytes", MaxSize),
			"a round has a few hundred lines")
	}
	text, err := cells.Text(src)
	if err != nil {
		return nil, fault(name, 0, message.Is(err), "save it as CSV in UTF-8")
	}
	switch strings.ToLower(filepath.Ext(name)) {
	case ".yaml", ".yml":
		return findingsYAML(name, []byte(text))
	case ".csv", ".tsv", ".tab":
		return findingsCSV(name, text)
	}
	if rows, _ := cells.Rows(text, cells.Separator(text), true); len(rows) > 0 && len(headed(rows[0].Cells)) > 1 {
		return findingsCSV(name, text)
	}
	if !strings.Contains(text, ":") {
		return nil, fault(name, 0, "the file is neither YAML nor CSV",
			"begin it with: position,check,answer,note or with: vehicle: ID")
	}
	return findingsYAML(name, []byte(text))
}

func fault(name string, line int, msg, hint message.Text) error {
	where := name
	if line > 0 {
		where = fmt.Sprintf("%s:%d", name, line)
	}
	return &fleet.Error{Kind: fleet.Invalid, Where: where, Msg: msg, Hint: hint}
}

// sheetColumns are those of a round sheet; unit is what a bare figure beside it is in.
var sheetColumns = []string{"position", "check", "answer", "unit", "note"}

// headed says which of them a heading line names, and where.
func headed(heading []string) map[string]int {
	cols := map[string]int{}
	for i, h := range heading {
		if h = strings.ToLower(strings.TrimSpace(h)); slices.Contains(sheetColumns, h) {
			cols[h] = i
		}
	}
	return cols
}

// findingsCSV reads a table; the first line names its columns. Date and odometer stand in lines of their own with
// position "date" and "odometer".
func findingsCSV(name, text string) (*Round, error) {
	rows, err := cells.Rows(text, cells.Separator(text), false)
	if err != nil {
		return nil, csvFault(name, err)
	}
	if len(rows) == 0 {
		return nil, fault(name, 1, "the file has no heading line", "begin it with: position,check,answer,note")
	}
	cols := headed(rows[0].Cells)
	for _, want := range sheetColumns[:3] {
		if _, ok := cols[want]; !ok {
			return nil, fault(name, 1, message.Of("the heading has no column %q", want),
				"begin it with: position,check,answer,note")
		}
	}
	decimal := cells.Decimal(rows)
	out := &Round{}
	var errs []error
	for _, row := range rows[1:] {
		get := func(col string) string {
			if i, ok := cols[col]; ok && i < len(row.Cells) {
				return strings.TrimSpace(row.Cells[i])
			}
			return ""
		}
		answer, ok := get("answer"), true
		if get("position") != "sound" {
			answer, ok = cells.Figure(answer, decimal)
		}
		if !ok {
			errs = append(errs, fault(name, row.Line, message.Of("%q can be read in two ways", answer),
				"write it without marks between thousands"))
			continue
		}
		if unit := get("unit"); unit != "" && bare.MatchString(answer) {
			answer += " " + unit
		}
		add(&errs, out.take(name, row.Line, get("position"), get("check"), answer, get("note")))
	}
	return finish(out, errs)
}

// bare is a figure without a unit.
var bare = regexp.MustCompile(`^[+-]?\d[\d./ ]*$`)

func csvFault(name string, err error) error {
	line := 0
	var at *csv.ParseError
	if errors.As(err, &at) {
		line = at.Line
	}
	return fault(name, line, "the line is not proper CSV",
		"put quotes round text that has commas, and double any quotes inside")
}

func finish(r *Round, errs []error) (*Round, error) {
	if len(errs) > 0 {
		return nil, errors.Join(errs...)
	}
	return r, nil
}

// take adds one line: an answer, or a fact about the round as a whole.
func (r *Round) take(name string, line int, position, check, answer, note string) error {
	if answer == "" {
		return nil
	}
	switch position {
	case "date":
		d, err := civil.Parse(answer)
		if err != nil {
			return fault(name, line, message.Is(err), "write it as 2026-11-25")
		}
		r.Date = d
	case "odometer":
		q, err := units.ParseRun(answer) // the sheet says which of them it counts
		if err != nil {
			return fault(name, line, message.Is(err), "write it as 184310 km or 114525 mi")
		}
		r.Odometer = &q
	case "vehicle":
		r.Vehicle = answer
	case "sheet":
		r.Sheet = answer
	case "":
		return fault(name, line, "the line names no position", "put the position's id in the first column")
	default:
		if check == "" && position != "sound" && !numbered(position) {
			return fault(name, line, "the line names no check", "put the check's id behind the position")
		}
		r.Rows = append(r.Rows, Row{Where: fmt.Sprintf("%s:%d", name, line), Position: position, Check: check,
			Answer: answer, Note: note})
	}
	return nil
}

// numbered reports whether something is named by its number on a printed sheet.
func numbered(name string) bool { return name != "" && name[0] >= '0' && name[0] <= '9' }

// maxDepth and maxLine keep a hostile file from costing more than a moment.
const (
	maxDepth = 16
	maxLine  = 4096
)

// findingsYAML reads
//
//	vehicle: heron
//	date: 2026-11-25
//	odometer: 184310 km
//	found:
//	  main-belt:
//	    cracks: 3 per 75 mm
//	    note: words about the position
//
// or, by the numbers of a printed sheet,
//
//	sheet: all/k7qd
//	sound: 1-20 22
//	found:
//	  21a: 3
//	  23: words about the position
func findingsYAML(name string, src []byte) (*Round, error) {
	for i, line := range bytes.Split(src, []byte("\n")) {
		if len(line) > maxLine || bytes.Count(line, []byte("["))+bytes.Count(line, []byte("{")) > maxDepth {
			return nil, fault(name, i+1, "the line is too long or too deeply nested for a round sheet",
				"write one answer a line")
		}
	}
	docs, err := yamltree.Parse(src)
	if err != nil {
		return nil, yamlFault(name, err)
	}
	out := &Round{}
	var errs []error
	for _, doc := range docs {
		each(name, doc, &errs, func(key string, line int, value *yamltree.Node) {
			switch key {
			case "vehicle", "date", "odometer", "sheet", "sound":
				add(&errs, out.take(name, line, key, "", scalar(value), ""))
			case "found":
				out.found(name, value, &errs)
			default:
				errs = append(errs, fault(name, line, message.Of("there is no key %q here", key),
					"a round sheet has vehicle, date, odometer, sheet, sound and found"))
			}
		})
	}
	return finish(out, errs)
}

func (r *Round) found(name string, node *yamltree.Node, errs *[]error) {
	each(name, node, errs, func(position string, line int, checks *yamltree.Node) {
		if answer, ok := yamltree.Text(checks); ok && numbered(position) {
			add(errs, r.take(name, line, position, "", strings.TrimSpace(answer), ""))
			return
		}
		first := len(r.Rows)
		note := ""
		each(name, checks, errs, func(check string, line int, value *yamltree.Node) {
			if check == "note" {
				note = scalar(value)
				return
			}
			add(errs, r.take(name, line, position, check, scalar(value), ""))
		})
		for i := first; i < len(r.Rows); i++ {
			r.Rows[i].Note = note
		}
	})
}

func add(errs *[]error, err error) {
	if err != nil {
		*errs = append(*errs, err)
	}
}

// each calls do for every key of a mapping; a blank value stands for none.
func each(name string, node *yamltree.Node, errs *[]error, do func(key string, line int, value *yamltree.Node)) {
	if yamltree.Empty(node) {
		return
	}
	pairs, ok := yamltree.Pairs(node)
	if !ok {
		*errs = append(*errs, fault(name, yamltree.PlaceOf(node).Line,
			"here should stand keys with values below each other",
			"write for example \"cracks: 3 per 75 mm\", two spaces deeper than its position"))
	}
	lines := map[string]int{}
	for _, p := range pairs {
		line := yamltree.PlaceOf(p.Key).Line
		if first, again := lines[p.Key.Value]; again {
			*errs = append(*errs, fault(name, line,
				message.Of("the key %q stands here twice, first in line %d", p.Key.Value, first), "keep one"))
			continue
		}
		lines[p.Key.Value] = line
		do(p.Key.Value, line, p.Value)
	}
}

// scalar returns a value's text; a blank one is "".
func scalar(node *yamltree.Node) string {
	text, _ := yamltree.Text(node)
	return strings.TrimSpace(text)
}
