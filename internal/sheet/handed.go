package sheet

import (
	"bytes"
	"fmt"
	"reflect"
	"strings"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/yamltree"
)

// Named returns a sheet of another id, every other line as it is.
func Named(name string, src []byte, id string) ([]byte, error) {
	switch topText(src, "vehicle") {
	case id:
		return src, nil
	case "":
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: name, Msg: "its id does not stand in a line of its own",
			Hint: message.Of("write it as a line vehicle: %s", id)}
	}
	text, err := yamltree.Write(id)
	if err != nil {
		return nil, err
	}
	return yamltree.SetTop(src, "vehicle", strings.TrimSpace(string(text))), nil
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

// topText returns the value of a top-level key whose value is one line of text.
func topText(src []byte, key string) string {
	for line := range bytes.Lines(src) {
		if !bytes.HasPrefix(line, []byte(key+":")) {
			continue
		}
		var m map[string]string
		if err := yamltree.Read(line, &m); err != nil {
			return ""
		}
		return m[key]
	}
	return ""
}
