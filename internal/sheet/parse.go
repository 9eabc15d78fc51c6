package sheet

import (
	"bytes"
	"errors"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/yamltree"
	"undertray.example/undertray/units"
)

// Format is the version of the sheet format this program reads and writes.
const Format = 1

// MaxSize is the largest sheet that is read, in bytes. A sheet of sixty
// positions has about forty thousand.
const MaxSize = 256 << 10

// Bounds that keep a damaged or hostile file from costing more than a moment.
const (
	maxLines    = 10000
	maxLine     = 8 << 10 // bytes in one line
	maxDepth    = 32      // brackets open at once
	maxItems    = 500     // openings, positions or runs
	maxProblems = 1000    // noted before the checking of references ends
)

// Sheet is a vehicle sheet that was read without errors.
type Sheet struct {
	Vehicle *fleet.Vehicle
	// Warnings are oddities that do not stop anything, in the file's order.
	Warnings []*fleet.Error
}

// Parse is Read without the warnings.
func Parse(name string, src []byte, known Knowledge) (*fleet.Vehicle, error) {
	s, err := Read(name, src, known)
	if err != nil {
		return nil, err
	}
	return s.Vehicle, nil
}

// Read reads a vehicle sheet. The name stands in front of each message as
// "name:line:column". The error joins one *fleet.Error for every mistake
// found, in the file's order: of kind fleet.Invalid, or fleet.TooNew for a
// sheet of a later format. A nil known leaves kinds, materials, figures and
// checks unchecked.
func Read(name string, src []byte, known Knowledge) (*Sheet, error) {
	body, err := tree(name, src)
	if err != nil {
		return nil, err
	}
	r := yamltree.NewReader(options)
	v := &fleet.Vehicle{}
	r.Read(body, v)
	c := &checker{reader: r, v: v, known: known}
	c.vehicle()
	if err := yamltree.Joined(name, r.Problems()); err != nil {
		return nil, err
	}
	if v.Counts == fleet.ByHours {
		v.InHours()
	}
	v.ReadIn(units.Preferences{})
	return &Sheet{Vehicle: v, Warnings: warnings(name, c)}, nil
}

// tree parses the file and returns its one document.
func tree(name string, src []byte) (*yamltree.Node, error) {
	if err := plausible(name, src); err != nil {
		return nil, err
	}
	n, err := yamltree.Document(src)
	var f *yamltree.Fault
	switch {
	case errors.As(err, &f):
		return nil, invalid(name, f.Place, f.Msg)
	case err != nil:
		return nil, err
	case n == nil:
		return nil, invalid(name, place{Line: 1, Col: 1},
			"the file is empty: it needs at least the lines undertray, vehicle, name and positions")
	}
	return n, nil
}

// plausible refuses what cannot be a vehicle sheet before it is parsed.
func plausible(name string, src []byte) error {
	if len(src) > MaxSize {
		return invalid(name, place{Line: 1, Col: 1},
			message.Of("the file has %d bytes: a vehicle sheet has at most %d", len(src), MaxSize))
	}
	line, depth := 0, 0
	for text := range bytes.Lines(src) {
		line++
		if line > maxLines {
			return invalid(name, place{Line: line, Col: 1},
				message.Of("the file has more than %d lines: a vehicle sheet has at most that many", maxLines))
		}
		if len(text) > maxLine {
			return invalid(name, place{Line: line, Col: 1},
				message.Of("the line has %d bytes: a line has at most %d", len(text), maxLine))
		}
		for i, b := range text {
			switch b {
			case '[', '{':
				depth++
			case ']', '}':
				depth = max(0, depth-1)
			case 0:
				return invalid(name, place{Line: line, Col: i + 1}, "a zero byte stands here: the file is not text")
			}
			if depth > maxDepth {
				return invalid(name, place{Line: line, Col: i + 1},
					"too many brackets are open at once: close each [ and { you open")
			}
		}
	}
	return nil
}

// place is where something stands in the file.
type place = yamltree.Place

// invalid makes the error for a single mistake.
func invalid(name string, at place, msg message.Text) error {
	return yamltree.Joined(name, []yamltree.Problem{{Place: at, Kind: fleet.Invalid, Msg: msg}})
}
