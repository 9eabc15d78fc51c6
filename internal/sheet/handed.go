package sheet

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"strings"

	"undertray/internal/fleet"
	"undertray/internal/yamltree"
)

// Named returns a sheet of another id, every other line as it is.
func Named(name string, src []byte, id string) ([]byte, error) {
	if topText(src, "vehicle") == id {
		return src, nil
	}
	out, err := setTop(src, "vehicle", id)
	if err != nil {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: name, Msg: "its id does not stand in a line of its own",
			Hint: "write it as a line vehicle: " + id, Err: err}
	}
	return out, nil
}

// moneyKeys and nameKeys are the keys of a sheet under which amounts of money stand, and
// where parts come from.
var (
	moneyKeys = []string{"cost", "costs", "money_per_month", "hour_worth"}
	nameKeys  = []string{"supplier"}
)

// Without returns a sheet without its amounts of money, or without where its parts come
// from. Comments and order stay, but where the file is laid out in a way that only
// writing it anew gets them out of.
func Without(name string, src []byte, money, names bool) ([]byte, error) {
	v, err := Parse(name, src, nil)
	if err != nil {
		return nil, err
	}
	var keys []string
	if money {
		keys = append(keys, moneyKeys...)
	}
	if names {
		keys = append(keys, nameKeys...)
	}
	if len(keys) == 0 {
		return src, nil
	}
	bare(v, money, names)
	same := func(src []byte) bool {
		got, err := Parse(name, src, nil)
		return err == nil && reflect.DeepEqual(got, v)
	}
	if out, err := yamltree.Without(src, keys...); err == nil && same(out) {
		return out, nil
	}
	out, err := yamltree.Write(v)
	if err == nil && !same(out) {
		err = fmt.Errorf("the sheet of %s does not read back as it was written", v.ID)
	}
	return out, err
}

// bare takes amounts of money, or where parts come from, out of what a sheet says.
func bare(v *fleet.Vehicle, money, names bool) {
	consumables := func(all []fleet.Consumable) {
		for i := range all {
			all[i].Cost = nil
		}
	}
	if money {
		v.Costs, v.Visits.MoneyPerMonth, v.Visits.HourWorth = fleet.Costs{}, nil, nil
	}
	for i := range v.Openings {
		if money {
			consumables(v.Openings[i].Consumables)
		}
	}
	for i := range v.Positions {
		p := &v.Positions[i]
		if money {
			p.Part.Cost = nil
			consumables(p.Consumables)
		}
		if names {
			p.Part.Supplier = ""
		}
	}
}

// topLine returns where the line of a top-level key begins and ends, without
// its line break.
func topLine(src []byte, key string) (from, to int, ok bool) {
	at := 0
	for line := range bytes.Lines(src) {
		if bytes.HasPrefix(line, []byte(key+":")) {
			return at, at + len(bytes.TrimRight(line, "\r\n")), true
		}
		at += len(line)
	}
	return 0, 0, false
}

// topText returns the value of a top-level key whose value is one line of text.
func topText(src []byte, key string) string {
	from, to, ok := topLine(src, key)
	if !ok {
		return ""
	}
	var m map[string]string
	if err := yamltree.Read(src[from:to], &m); err != nil {
		return ""
	}
	return m[key]
}

// setTop replaces the value of a top-level key and keeps the comment behind
// it. Sheets that the program writes hold each such key on one line.
func setTop(src []byte, key, value string) ([]byte, error) {
	from, to, ok := topLine(src, key)
	if !ok {
		return nil, fmt.Errorf("the sheet has no line %q", key)
	}
	text, err := scalarText(value)
	if err != nil {
		return nil, fmt.Errorf("write %s: %w", key, err)
	}
	line := key + ": " + text
	if _, comment, found := bytes.Cut(src[from:to], []byte(" # ")); found {
		line += " # " + string(comment)
	}
	return bytes.Join([][]byte{src[:from], []byte(line), src[to:]}, nil), nil
}

// scalarText writes a value as a YAML scalar. What has any mark that YAML might
// read as its own is written as a JSON string, which is one.
func scalarText(value string) (string, error) {
	special := strings.ContainsFunc(value, func(c rune) bool {
		return c < 0x80 && c != ' ' && c != '-' && c != '.' && (c < '0' || c > '9') && (c < 'A' || c > 'Z') &&
			(c < 'a' || c > 'z')
	})
	if special {
		text, err := json.Marshal(value)
		return string(text), err
	}
	text, err := yamltree.Write(value)
	return strings.TrimSpace(string(text)), err
}
