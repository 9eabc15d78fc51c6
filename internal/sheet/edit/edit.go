// Package edit changes a vehicle sheet as text: it touches the lines of what is
// changed and no other, so that comments, order and spelling stay the owner's.
// It opens no file.
//
// [Make] reads a sheet, hands the vehicle to a function that changes it, and puts
// the difference into the text:
//
//	c, err := edit.Make("heron.yaml", src, known, func(v *fleet.Vehicle) error {
//		v.Position("top-hose").Minutes = 25
//		return nil
//	})
//
// The changed text is then read again by the sheet's own reader. It has to hold
// together, and to say what the function said and nothing else: a text that is laid
// out in a way the package does not know is refused, never spoilt. [SetRun],
// [AddPosition], [RemovePosition] and their like are changes that are wanted often.
//
// What is replaced keeps its manner: a figure its place on the line and the remark
// behind it, a list in brackets its brackets. What is added is written as the
// archetypes are. Comments are never removed; one that stood above an item taken
// out is set apart by a blank line from what follows.
package edit

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/rogpeppe/go-internal/diff"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/internal/yamltree"
)

// Change is a sheet's text before and after an edit.
type Change struct {
	Was, Now []byte
	Sheet    *sheet.Sheet // as it reads now
}

// Line is a line that an edit adds or takes out.
type Line struct {
	No    int // in the text after the edit if it is added, else in that before; from 1
	Added bool
	Text  string
}

// Make puts into a sheet's text what a function changes in its vehicle. Name and
// known are those of [sheet.Read]. The function's own error is returned as it is; a
// sheet that has mistakes, or would have, gives those of sheet.Read. A change of
// nothing gives the text as it was.
func Make(name string, src []byte, known sheet.Knowledge, change func(v *fleet.Vehicle) error) (*Change, error) {
	read, err := sheet.Read(name, src, known)
	if err != nil {
		return nil, err
	}
	base, err := tree(read.Vehicle)
	if err != nil {
		return nil, err
	}
	if err := change(read.Vehicle); err != nil {
		return nil, err
	}
	want, err := tree(read.Vehicle)
	if err != nil {
		return nil, err
	}
	now, err := yamltree.Splice(src, base, want, manner)
	if err != nil {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: name,
			Msg: message.Of("the sheet is laid out in a way that this change cannot be put into "+
				"without touching other lines (%s)", err),
			Hint: "make the change in the file itself"}
	}
	out := &Change{Was: src, Now: now}
	if out.Sheet, err = sheet.Read(name, now, known); err != nil {
		return nil, err
	}
	if got, err := tree(out.Sheet.Vehicle); err != nil || !yamltree.SameTree(got, want) {
		return nil, errors.Join(fmt.Errorf("edit: the text of %s does not say what was changed", name), err)
	}
	return out, nil
}

// manner is how sheets are laid out.
var manner = yamltree.Manner{
	Brackets: []string{"units", "engine", "oil_change", "look", "costs", "again", "fasteners", "consumables", "pulleys",
		"measures", "marks", "former"},
	Lines:  []string{"cautions"},
	Quoted: []string{"number", "quantity"},
}

// tree is a vehicle as a sheet would say it.
func tree(v *fleet.Vehicle) (*yamltree.Node, error) {
	text, err := yamltree.Write(v)
	if err != nil {
		return nil, err
	}
	return yamltree.Document(text)
}

// Lines returns what the edit takes out of the text and adds to it, in the text's
// order.
func (c *Change) Lines() []Line {
	var out []Line
	was, now := 0, 0
	text := string(diff.Diff("was", c.Was, "now", c.Now))
	for i, line := range strings.Split(text, "\n") {
		switch {
		case i < 3 || line == "": // its heading, and its end
		case line[0] == '@':
			fmt.Sscanf(line, "@@ -%d,%d +%d", &was, new(int), &now)
		case line[0] == '-':
			out = append(out, Line{was, false, strings.TrimRight(line[1:], "\r")})
			was++
		case line[0] == '+':
			out = append(out, Line{now, true, strings.TrimRight(line[1:], "\r")})
			now++
		case line[0] == ' ':
			was, now = was+1, now+1
		}
	}
	return slices.DeleteFunc(out, func(l Line) bool { return l.No == 0 })
}
