package fleet

import (
	"bytes"
	"errors"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/harm"
	"undertray.example/undertray/units"
)

const (
	// The example of a UUID version 7 in RFC 9562, appendix A.6, in lower case.
	rfcID = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"
	newID = "019abf2e-7c00-7a31-8f00-3d5b2c7e9a10"
	// SHA-256 of "abc": FIPS 180-4 example, as published with the standard.
	abcHash = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
)

func quantity(s string) *units.Quantity {
	q := units.MustParse(s)
	return &q
}

// entryOf returns an entry of the type without its body.
func entryOf(t EntryType) *Entry {
	return &Entry{Format: 1, ID: rfcID, Recorded: time.Date(2026, 11, 25, 9, 30, 0, 0, time.UTC),
		Type: t, Vehicle: "heron", Date: civil.MustParse("2026-11-24")}
}

func with(e *Entry, change func(*Entry)) *Entry {
	change(e)
	return e
}

func samples() map[string]*Entry {
	return map[string]*Entry{
		`{"v":1,"id":"017f22e2-79b0-7cc3-98c4-dc0c0c07398f","recorded":"2026-11-25T09:30:00Z","type":"odometer","vehicle":"heron","date":"2026-11-24","odometer":"184310 km","sure":true,"by":"warden","instrument":{"old":"184300 km","new":"0 km"}}`: with(entryOf(TypeOdometer), func(e *Entry) {
			e.Odometer, e.Sure, e.By = quantity("184 310 km"), true, "warden"
			e.Instrument = &Instrument{Old: *quantity("184300 km"), New: *quantity("0 km")}
		}),
		`{"v":1,"id":"017f22e2-79b0-7cc3-98c4-dc0c0c07398f","recorded":"2026-11-25T09:30:00Z","type":"fitted","vehicle":"heron","date":"2026-11-24","fitted":{"position":"main-belt","part":{"name":"belt","spec":{"free span":"420 mm","marked pressure":"7 psi"}},"known":"told","since":{"date":"2019-04-12"},"removed":"another job"}}`: with(entryOf(TypeFitted), func(e *Entry) {
			e.Fitted = &Fitted{Position: "main-belt", Known: Told, Since: &Since{Date: civil.MustParse("2019-04-12")},
				Removed: RemovedWith,
				Part: PartSpec{Name: "belt", Spec: map[string]units.Quantity{"marked pressure": *quantity("7 psi"),
					"free span": *quantity("420 mm")}}}
		}),
		`{"v":1,"id":"017f22e2-79b0-7cc3-98c4-dc0c0c07398f","recorded":"2026-11-25T09:30:00Z","type":"found","vehicle":"heron","date":"2026-11-24","found":{"position":"main-belt","check":"cracks","value":"3 per 75 mm","note":"a < b & \"c\"\nnext","attachments":["ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"]}}`: with(entryOf(TypeFound), func(e *Entry) {
			e.Found = &Found{Position: "main-belt", Check: "cracks", Value: quantity("3 per 75 mm"),
				Note: "a < b & \"c\"\nnext", Attachments: []string{abcHash}}
		}),
		`{"v":1,"id":"017f22e2-79b0-7cc3-98c4-dc0c0c07398f","recorded":"2026-11-25T09:30:00Z","type":"done","vehicle":"heron","date":"2026-11-24","done":{"positions":["clamp"],"what":"tightened","settles":["leak"],"cost":"4.50 EUR","minutes":12.5}}`: with(entryOf(TypeDone), func(e *Entry) {
			e.Done = &Done{Positions: []string{"clamp"}, What: "tightened", Settles: []string{"leak"},
				Cost: quantity("4.50 EUR"), Minutes: 12.5}
		}),
		`{"v":1,"id":"017f22e2-79b0-7cc3-98c4-dc0c0c07398f","recorded":"2026-11-25T09:30:00Z","type":"note","vehicle":"heron","date":"2026-11-24","note":{"text":"smells of fuel"}}`: with(entryOf(TypeNote), func(e *Entry) {
			e.Note = &Note{Text: "smells of fuel"}
		}),
		`{"v":1,"id":"017f22e2-79b0-7cc3-98c4-dc0c0c07398f","recorded":"2026-11-25T09:30:00Z","type":"wish","vehicle":"heron","date":"2026-11-24","wish":{"position":"main-belt","month":"2027-09"}}`: with(entryOf(TypeWish), func(e *Entry) {
			e.Wish = &Wish{Position: "main-belt", Month: Month{2027, time.September}}
		}),
		`{"v":3,"id":"017f22e2-79b0-7cc3-98c4-dc0c0c07398f","recorded":"2026-11-25T09:30:00Z","type":"aside","vehicle":"heron","date":"2026-11-24","aside":{"position":"main-belt","why":"the part comes on Friday"}}`: with(entryOf(TypeAside), func(e *Entry) {
			e.Format, e.Aside = 3, &Aside{Position: "main-belt", Why: "the part comes on Friday"}
		}),
		`{"v":3,"id":"017f22e2-79b0-7cc3-98c4-dc0c0c07398f","recorded":"2026-11-25T09:30:00Z","type":"opened","vehicle":"heron","date":"2026-11-24","opened":{"opening":"coolant-drained","closed":true}}`: with(entryOf(TypeOpened), func(e *Entry) {
			e.Format, e.Opened = 3, &Opened{Opening: "coolant-drained", Closed: true}
		}),
		`{"v":4,"id":"017f22e2-79b0-7cc3-98c4-dc0c0c07398f","recorded":"2026-11-25T09:30:00Z","type":"aboard","vehicle":"heron","date":"2026-11-24","aboard":{"thing":"self-fusing tape","gone":"used"}}`: with(entryOf(TypeAboard), func(e *Entry) {
			e.Format, e.Aboard = 4, &Aboard{Thing: "self-fusing tape", Gone: GoneUsed}
		}),
		`{"v":7,"id":"017f22e2-79b0-7cc3-98c4-dc0c0c07398f","recorded":"2026-11-25T09:30:00Z","type":"picture","vehicle":"heron","date":"2026-11-24","picture":{"hash":"ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad","position":"main-belt","check":"cracks"}}`: with(entryOf(TypePicture), func(e *Entry) {
			e.Format, e.Picture = 7, &Picture{Hash: abcHash, Position: "main-belt", Check: "cracks"}
		}),
		`{"v":8,"id":"017f22e2-79b0-7cc3-98c4-dc0c0c07398f","recorded":"2026-11-25T09:30:00Z","type":"mark","vehicle":"heron","date":"2026-11-24","mark":{"picture":"ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad","shape":"length","at":[0.25,0.1,0.75,0.1],"length":"21.36 mm"}}`: with(entryOf(TypeMark), func(e *Entry) {
			e.Format, e.Mark = 8, &PictureMark{Picture: abcHash, Shape: MarkLength, At: Across{0.25, 0.1, 0.75, 0.1},
				Length: quantity("21.36 mm")}
		}),
		`{"v":4,"id":"017f22e2-79b0-7cc3-98c4-dc0c0c07398f","recorded":"2026-11-25T09:30:00Z","type":"work","vehicle":"heron","date":"2026-11-24","work":{"of":"017f22e2-79b0-7cc3-98c4-dc0c0c07398e","step":"open:coolant-drained"}}`: with(entryOf(TypeWork), func(e *Entry) {
			e.Format, e.Work = 4, &Work{Of: "017f22e2-79b0-7cc3-98c4-dc0c0c07398e", Step: "open:coolant-drained"}
		}),
		`{"v":7,"id":"017f22e2-79b0-7cc3-98c4-dc0c0c07398f","recorded":"2026-11-25T09:30:00Z","type":"bought","vehicle":"heron","date":"2026-11-24","bought":{"positions":["main-belt"],"number":"6PK2415","supplier":"in town","cost":"38.50 EUR"}}`: with(entryOf(TypeBought), func(e *Entry) {
			e.Format, e.Bought = 7, &Bought{Positions: []string{"main-belt"}, Number: "6PK2415", Supplier: "in town",
				Cost: quantity("38.50 EUR")}
		}),
	}
}

func TestEncodingIsCanonical(t *testing.T) {
	for want, e := range samples() {
		got, err := EncodeEntry(e)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, string(got)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", e.Type, diff)
		}
	}
}

func TestDecodeReadsAnyOrderAndSpacing(t *testing.T) {
	e, err := DecodeEntry([]byte(` { "note" : {"text":"<"}, "date":"2026-11-24", "vehicle":"heron", "type":"note",
		"recorded":"2026-11-25T10:30:00+01:00", "id":"` + rfcID + `", "v":1 } `))
	if err != nil {
		t.Fatal(err)
	}
	want := with(entryOf(TypeNote), func(e *Entry) { e.Note = &Note{Text: "<"} })
	if diff := cmp.Diff(want, e, cmp.Comparer(func(a, b units.Quantity) bool { return a == b })); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestEncodeDoesNotChangeTheEntry(t *testing.T) {
	zone := time.FixedZone("", 3600)
	inner := with(entryOf(TypeFitted), func(e *Entry) {
		e.Recorded = e.Recorded.In(zone)
		e.Fitted = &Fitted{Position: "p", Part: PartSpec{Spec: map[string]units.Quantity{}}}
	})
	e := with(entryOf(TypeCorrection), func(e *Entry) {
		e.Recorded = e.Recorded.In(zone)
		e.Correction = &Correction{Of: newID, Instead: inner}
	})
	b, err := EncodeEntry(e)
	if err != nil {
		t.Fatal(err)
	}
	if e.Recorded.Location() != zone || inner.Recorded.Location() != zone || inner.Fitted.Part.Spec == nil {
		t.Error("EncodeEntry changed the entry")
	}
	if bytes.Contains(b, []byte("+01:00")) || bytes.Contains(b, []byte("spec")) {
		t.Errorf("not canonical: %s", b)
	}
}

func TestDecodeRefuses(t *testing.T) {
	const head = `"v":1,"id":"` + rfcID + `","recorded":"2026-11-25T09:30:00Z","vehicle":"heron"`
	const day = `,"date":"2026-11-24"`
	tests := []struct{ name, in, where, want string }{
		{"empty", ``, "", "not JSON"},
		{"cut off", `{"v":1,"id":"017f`, "", "not JSON"},
		{"more after it", `{` + head + day + `,"type":"note","note":{"text":"x"}} {}`, "", "not JSON"},
		{"not an object", `["note"]`, "", "wrong type"},
		{"not UTF-8", "{\"v\":\"\xff\"}", "", "UTF-8"},
		{"unknown field", `{` + head + day + `,"type":"note","note":{"text":"x","colour":"red"}}`, "note.colour",
			"no such field"},
		{"misspelt case", `{` + head + day + `,"Type":"note","note":{"text":"x"}}`, "Type", "no such field"},
		{"twice", `{` + head + day + `,"type":"note","note":{"text":"x","text":"y"}}`, "note.text", "twice"},
		{"null", `{` + head + day + `,"type":"note","note":{"text":"x"},"odometer":null}`, "odometer", "null"},
		{"wrong type", `{` + head + day + `,"type":"note","note":{"text":7}}`, "note.text", "wrong type"},
		{"list for object", `{` + head + day + `,"type":"note","note":[]}`, "note", "wrong type"},
		{"object for list", `{` + head + day + `,"type":"done","done":{"what":"x","positions":{}}}`,
			"done.positions", "wrong type"},
		{"wrong item", `{` + head + day + `,"type":"done","done":{"what":"x","positions":["a",2]}}`,
			"done.positions[1]", "wrong type"},
		{"bad instant", `{"v":1,"id":"` + rfcID +
			`","recorded":"yesterday","vehicle":"heron","date":"2026-11-24","type":"note","note":{"text":"x"}}`,
			"recorded", "wrong type"},
		{"bad date", `{` + head + `,"date":"2026-02-30","type":"note","note":{"text":"x"}}`, "date", "day 30"},
		{"no date", `{` + head + `,"date":"","type":"note","note":{"text":"x"}}`, "date", "missing"},
		{"bad quantity", `{` + head + day + `,"type":"odometer","odometer":"12 parsecs"}`, "odometer", "not known"},
		{"other dimension", `{` + head + day + `,"type":"odometer","odometer":"12 mm"}`, "odometer", "distance"},
		{"bad quantity in a map", `{` + head + day +
			`,"type":"fitted","fitted":{"position":"p","part":{"spec":{"span":"long"}}}}`,
			"fitted.part.spec.span", "figure"},
		{"bad date inside", `{` + head + day + `,"type":"correction","correction":{"of":"` + newID +
			`","instead":{"v":1,"id":"","recorded":"0001-01-01T00:00:00Z","vehicle":"","type":"note","date":"2026-13-01","note":{"text":"x"}}}}`, "correction.instead.date", "month 13"},
		{"missing body", `{` + head + day + `,"type":"found"}`, "found", "missing"},
		{"missing reading", `{` + head + day + `,"type":"odometer"}`, "odometer", "missing"},
		{"other body", `{` + head + day + `,"type":"note","done":{"what":"x"}}`, "done", "no such field"},
		{"second body", `{` + head + day +
			`,"type":"note","note":{"text":"x"},"instrument":{"old":"1 km","new":"0 km"}}`, "instrument",
			"no such field"},
		{"unknown type", `{` + head + day + `,"type":"sold"}`, "type", "not a type"},
		{"no version", `{"id":"` + rfcID + `"}`, "v", "not an entry format"},
		{"deep", `{` + head + day + `,"type":"correction","correction":` +
			strings.Repeat(`{"of":"x","instead":{"correction":`, 40) + `{}` + strings.Repeat(`}}`, 40) + `}`, "",
			"nested too deep"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := DecodeEntry([]byte(tt.in))
			var fault *Error
			if !errors.As(err, &fault) {
				t.Fatalf("error %v, want a *fleet.Error", err)
			}
			if fault.Kind != Invalid || !strings.Contains(fault.Msg.String(), tt.want) || tt.where != "" &&
				fault.Where != tt.where {
				t.Errorf("got kind %d, %q at %q; want %q at %q", fault.Kind, fault.Msg, fault.Where, tt.want, tt.where)
			}
			if fault.Hint == "" {
				t.Error("the error does not say what would be right")
			}
		})
	}
}

func TestDecodeRefusesLaterFormats(t *testing.T) {
	for _, in := range []string{
		`{"v":99,"id":7,"colour":"red"}`,
		`{"v":1,"id":"` + rfcID +
			`","recorded":"2026-11-25T09:30:00Z","vehicle":"heron","date":"2026-11-24","type":"correction","correction":{"of":"` +
			newID + `","instead":{"v":99,"id":"","recorded":"0001-01-01T00:00:00Z","vehicle":"","type":"note","date":"2026-11-24","note":{"text":"x"}}}}`,
	} {
		if _, err := DecodeEntry([]byte(in)); KindOf(err) != TooNew {
			t.Errorf("error %v, want kind TooNew", err)
		}
	}
	if _, err := EncodeEntry(&Entry{Format: EntryFormat + 1}); KindOf(err) != TooNew {
		t.Errorf("EncodeEntry: error %v, want kind TooNew", err)
	}
}

// counted is a count on a photograph, changed, in a format.
func counted(format int, change func(*Counted)) *Entry {
	q := quantity("11 per 75 mm")
	c := &Counted{By: ByPhotograph, Picture: strings.Repeat("a", 64), Version: "1", Marks: 11, ByHand: 2, Low: 9,
		High: 13}
	change(c)
	return with(entryOf(TypeFound), func(e *Entry) {
		e.Format, e.Found = format, &Found{Position: "belt", Check: "cracks", Value: q, Counted: c}
	})
}

// cracked is a mark of two ribs with a crack, changed.
func cracked(change func(*PictureMark)) *Entry {
	m := &PictureMark{Picture: strings.Repeat("a", 64), Shape: MarkCracks, At: Across{0.1, 0.1, 0.3, 0.9},
		Belt: &BeltMarks{Pitch: 3.56, Ribs: []RibLine{{0, []float64{0.1, 0.1, 0.2, 0.1, 0.3, 0.1}},
			{40, []float64{0.1, 0.9, 0.2, 0.9, 0.3, 0.9}}},
			Cracks: []CrackMark{{At: []float64{0.5, 20, 3, 20}, Ribs: []int{0}}}}}
	change(m)
	return with(entryOf(TypeMark), func(e *Entry) { e.Format, e.Mark = 9, m })
}

// outlined is a mark of an outline with one rib, changed.
func outlined(change func(*OutlineMarks)) *Entry {
	o := &OutlineMarks{Lines: [][]float64{{0.1, 0.2, 0.3, 0.2}}, Measured: []Measured{{Kind: "rib",
		At: []float64{0.2, 0.2, 0.2, 0.3}, Figures: [][3]float64{{2, 1.9, 2.1}}}}}
	change(o)
	return with(entryOf(TypeMark), func(e *Entry) {
		e.Format, e.Mark = 10, &PictureMark{Picture: strings.Repeat("a", 64), Shape: MarkOutline,
			At: Across{0.1, 0.1, 0.3, 0.9}, Outline: o}
	})
}

func TestEncodeRefuses(t *testing.T) {
	note := func(change func(*Entry)) *Entry {
		return with(with(entryOf(TypeNote), func(e *Entry) { e.Note = &Note{Text: "x"} }), change)
	}
	tests := []struct {
		name, where string
		e           *Entry
	}{
		{"nil", "", nil},
		{"no id", "id", note(func(e *Entry) { e.ID = "" })},
		{"no instant", "recorded", note(func(e *Entry) { e.Recorded = time.Time{} })},
		{"year 10000", "recorded", note(func(e *Entry) { e.Recorded = time.Date(10000, 1, 1, 0, 0, 0, 0, time.UTC) })},
		{"no vehicle", "vehicle", note(func(e *Entry) { e.Vehicle = "" })},
		{"no such day", "date", note(func(e *Entry) { e.Date = civil.Date{Year: 2026, Month: 2, Day: 30} })},
		{"below zero", "odometer", note(func(e *Entry) { e.Odometer = quantity("-5 km") })},
		{"wish without a month", "wish.month", with(entryOf(TypeWish), func(e *Entry) {
			e.Wish = &Wish{Position: "x"}
		})},
		{"left without a reason", "aside.why", with(entryOf(TypeAside), func(e *Entry) {
			e.Format, e.Aside = 3, &Aside{Position: "x", Why: " "}
		})},
		{"left in an older format", "v", with(entryOf(TypeAside), func(e *Entry) {
			e.Format, e.Aside = 2, &Aside{Position: "x", Why: "y"}
		})},
		{"nothing aboard", "aboard.thing", with(entryOf(TypeAboard), func(e *Entry) {
			e.Format, e.Aboard = 4, &Aboard{Thing: " "}
		})},
		{"gone for no known reason", "aboard.gone", with(entryOf(TypeAboard), func(e *Entry) {
			e.Format, e.Aboard = 4, &Aboard{Thing: "tape", Gone: "lost"}
		})},
		{"aboard in an older format", "v", with(entryOf(TypeAboard), func(e *Entry) {
			e.Format, e.Aboard = 3, &Aboard{Thing: "tape"}
		})},
		{"bought for nothing", "bought.positions", with(entryOf(TypeBought), func(e *Entry) {
			e.Format, e.Bought = 7, &Bought{Number: "6PK2415"}
		})},
		{"bought in an older format", "v", with(entryOf(TypeBought), func(e *Entry) {
			e.Format, e.Bought = 6, &Bought{Positions: []string{"x"}}
		})},
		{"counted in an older format", "v", counted(8, func(*Counted) {})},
		{"counted by something else", "found.counted.by", counted(9, func(c *Counted) { c.By = "ear" })},
		{"counted on no picture", "found.counted.picture", counted(9, func(c *Counted) { c.Picture = "x" })},
		{"more marks by hand than there are", "found.counted.marks", counted(9, func(c *Counted) { c.ByHand = 12 })},
		{"a band upside down", "found.counted.low", counted(9, func(c *Counted) { c.Low = 14 })},
		{"an answer in words counted", "found.counted", with(counted(9, func(*Counted) {}), func(e *Entry) {
			e.Found.Value, e.Found.Answer = nil, "many"
		})},
		{"measured in an older format", "v", counted(9, func(c *Counted) { c.By = ByOutline })},
		{"an outline without lines", "mark.outline.lines", outlined(func(o *OutlineMarks) { o.Lines = nil })},
		{"half a point", "mark.outline.lines[0]", outlined(func(o *OutlineMarks) { o.Lines[0] = o.Lines[0][:3] })},
		{"a figure beside its band", "mark.outline.measured[0]", outlined(func(o *OutlineMarks) {
			o.Measured[0].Figures[0][0] = 3
		})},
		{"a new rib that is none", "mark.outline.usual", outlined(func(o *OutlineMarks) {
			o.Usual = [][3]float64{{2, math.NaN(), 3}}
		})},
		{"an outline of a ring", "mark.outline", with(outlined(func(*OutlineMarks) {}), func(e *Entry) {
			e.Mark.Shape = MarkRing
		})},
		{"ribs of a ring", "mark.belt", cracked(func(m *PictureMark) { m.Shape = MarkRing })},
		{"cracks without ribs", "mark.belt", cracked(func(m *PictureMark) { m.Belt = nil })},
		{"one line", "mark.belt.ribs", cracked(func(m *PictureMark) { m.Belt.Ribs = m.Belt.Ribs[:1] })},
		{"faint ones of one rib of two", "mark.belt.faint",
			cracked(func(m *PictureMark) { m.Belt.Faint = []float64{0.1} })},
		{"less than none", "mark.belt.faint", cracked(func(m *PictureMark) { m.Belt.Faint = []float64{0, -1} })},
		{"a line with a border less", "mark.belt.ribs[1]", cracked(func(m *PictureMark) {
			m.Belt.Ribs[1].At = m.Belt.Ribs[1].At[:4]
		})},
		{"a rib that is not there", "mark.belt.cracks[0].ribs", cracked(func(m *PictureMark) {
			m.Belt.Cracks[0].Ribs = []int{2}
		})},
		{"nothing opened", "opened.opening", with(entryOf(TypeOpened), func(e *Entry) {
			e.Format, e.Opened = 3, &Opened{}
		})},
		{"a tick of no sheet", "work.of", with(entryOf(TypeWork), func(e *Entry) {
			e.Format, e.Work = 4, &Work{Step: "warm"}
		})},
		{"neither a tick nor an end", "work.step", with(entryOf(TypeWork), func(e *Entry) {
			e.Format, e.Work = 4, &Work{Of: e.ID}
		})},
		{"a tick that also ends", "work.step", with(entryOf(TypeWork), func(e *Entry) {
			e.Format, e.Work = 4, &Work{Of: e.ID, Step: "warm", Ended: true}
		})},
		{"a beginning with a tick", "work.begins", with(entryOf(TypeWork), func(e *Entry) {
			e.Format, e.Work = 4, &Work{Begins: []WorkTask{{Position: "x", Do: DoReplace}}, Step: "warm"}
		})},
		{"nothing done at a position", "work.begins[0].do", with(entryOf(TypeWork), func(e *Entry) {
			e.Format, e.Work = 4, &Work{Begins: []WorkTask{{Position: "x"}}}
		})},
		{"ticked in an older format", "v", with(entryOf(TypeWork), func(e *Entry) {
			e.Format, e.Work = 3, &Work{Of: e.ID, Step: "warm"}
		})},
		{"a picture of no content", "picture.hash", with(entryOf(TypePicture), func(e *Entry) {
			e.Format, e.Picture = 7, &Picture{Position: "x"}
		})},
		{"a check of nowhere", "picture.position", with(entryOf(TypePicture), func(e *Entry) {
			e.Format, e.Picture = 7, &Picture{Hash: abcHash, Check: "cracks"}
		})},
		{"a part of no content", "picture.part.hash", with(entryOf(TypePicture), func(e *Entry) {
			e.Format, e.Picture = 8, &Picture{Hash: abcHash, Part: &PicturePart{At: Across{0, 0, 1, 1}}}
		})},
		{"a part beside the picture", "picture.part.at", with(entryOf(TypePicture), func(e *Entry) {
			e.Format, e.Picture = 8, &Picture{Hash: abcHash, Part: &PicturePart{abcHash, Across{0, 0, 1.1, 1}}}
		})},
		{"a mark of another shape", "mark.shape", with(entryOf(TypeMark), func(e *Entry) {
			e.Format, e.Mark = 8, &PictureMark{Picture: abcHash, Shape: "star", At: Across{0, 0, 1, 1}}
		})},
		{"a mark of no length", "mark.at", with(entryOf(TypeMark), func(e *Entry) {
			e.Format, e.Mark = 8, &PictureMark{Picture: abcHash, Shape: MarkArrow, At: Across{1, 1, 1, 1}}
		})},
		{"a mark that is nowhere", "mark.at", with(entryOf(TypeMark), func(e *Entry) {
			e.Format, e.Mark = 8, &PictureMark{Picture: abcHash, Shape: MarkRing, At: Across{math.NaN(), 0, 1, 1}}
		})},
		{"a length that is not said", "mark.length", with(entryOf(TypeMark), func(e *Entry) {
			e.Format, e.Mark = 8, &PictureMark{Picture: abcHash, Shape: MarkLength, At: Across{0, 0, 1, 1}}
		})},
		{"a mark in an older format", "v", with(entryOf(TypeMark), func(e *Entry) {
			e.Format, e.Mark = 7, &PictureMark{Picture: abcHash, Shape: MarkRing, At: Across{0, 0, 1, 1}}
		})},
		{"a picture in an older format", "v", with(entryOf(TypePicture), func(e *Entry) {
			e.Format, e.Picture = 6, &Picture{Hash: abcHash}
		})},
		{"empty note", "note.text", note(func(e *Entry) { e.Note.Text = " " })},
		{"not UTF-8", "", note(func(e *Entry) { e.Note.Text = "\xff" })},
		{"not a hash", "note.attachments[1]", note(func(e *Entry) { e.Note.Attachments = []string{abcHash, "abc"} })},
		{"NaN minutes", "done.minutes", with(entryOf(TypeDone), func(e *Entry) {
			e.Done = &Done{What: "x", Minutes: math.NaN()}
		})},
		{"cost in km", "done.cost", with(entryOf(TypeDone), func(e *Entry) {
			e.Done = &Done{What: "x", Cost: quantity("5 km")}
		})},
		{"empty work", "done.what", with(entryOf(TypeDone), func(e *Entry) { e.Done = &Done{} })},
		{"empty position", "done.positions", with(entryOf(TypeDone), func(e *Entry) {
			e.Done = &Done{What: "x", Positions: []string{""}}
		})},
		{"no position", "found.position", with(entryOf(TypeFound), func(e *Entry) {
			e.Found = &Found{Check: "c", Answer: "a"}
		})},
		{"no check", "found.check", with(entryOf(TypeFound), func(e *Entry) {
			e.Found = &Found{Position: "p", Answer: "a"}
		})},
		{"no answer", "found", with(entryOf(TypeFound), func(e *Entry) {
			e.Found = &Found{Position: "p", Check: "c"}
		})},
		{"empty value", "found.value", with(entryOf(TypeFound), func(e *Entry) {
			e.Found = &Found{Position: "p", Check: "c", Value: &units.Quantity{}}
		})},
		{"known", "fitted.known", with(entryOf(TypeFitted), func(e *Entry) {
			e.Fitted = &Fitted{Position: "p", Known: "maybe"}
		})},
		{"removed", "fitted.removed", with(entryOf(TypeFitted), func(e *Entry) {
			e.Fitted = &Fitted{Position: "p", Removed: "bored"}
		})},
		{"since", "fitted.since.date", with(entryOf(TypeFitted), func(e *Entry) {
			e.Fitted = &Fitted{Position: "p", Known: Told, Since: &Since{Date: civil.Date{Year: 1, Month: 13, Day: 1}}}
		})},
		{"instrument", "instrument.new", with(entryOf(TypeOdometer), func(e *Entry) {
			e.Instrument = &Instrument{Old: *quantity("1 km")}
		})},
		{"corrects nothing", "correction.of", with(entryOf(TypeCorrection), func(e *Entry) {
			e.Correction = &Correction{Withdraw: true}
		})},
		{"corrects itself", "correction.of", with(entryOf(TypeCorrection), func(e *Entry) {
			e.Correction = &Correction{Of: rfcID, Withdraw: true}
		})},
		{"neither", "correction", with(entryOf(TypeCorrection), func(e *Entry) {
			e.Correction = &Correction{Of: newID}
		})},
		{"both", "correction", with(entryOf(TypeCorrection), func(e *Entry) {
			e.Correction = &Correction{Of: newID, Withdraw: true, Instead: note(func(*Entry) {})}
		})},
		{"correction instead", "correction.instead.type", with(entryOf(TypeCorrection), func(e *Entry) {
			e.Correction = &Correction{Of: newID, Instead: entryOf(TypeCorrection)}
		})},
		{"other vehicle", "correction.instead.vehicle", with(entryOf(TypeCorrection), func(e *Entry) {
			e.Correction = &Correction{Of: newID, Instead: note(func(e *Entry) { e.Vehicle = "egret" })}
		})},
		{"fault inside", "correction.instead.note.text", with(entryOf(TypeCorrection), func(e *Entry) {
			e.Correction = &Correction{Of: newID, Instead: note(func(e *Entry) { e.Note.Text = "" })}
		})},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := EncodeEntry(tt.e)
			var fault *Error
			if !errors.As(err, &fault) || fault.Kind != Invalid {
				t.Fatalf("error %v, want a *fleet.Error of kind Invalid", err)
			}
			if fault.Where != tt.where {
				t.Errorf("error at %q (%v), want %q", fault.Where, fault, tt.where)
			}
		})
	}
}

func TestIsID(t *testing.T) {
	// RFC 9562, appendix A: versions 1, 4, 6 and 7 of the same instant.
	for id, want := range map[string]bool{
		"c232ab00-9414-11ec-b3c8-9f6bdeced846": false,
		"919108f7-52d1-4320-9bac-f847db4148a8": false,
		"1ec9414c-232a-6b00-b3c8-9f6bdeced846": false,
		"017f22e2-79b0-7cc3-98c4-dc0c0c07398f": true,
		"017F22E2-79B0-7CC3-98C4-DC0C0C07398F": false, // one spelling only
		"017f22e2-79b0-7cc3-c8c4-dc0c0c07398f": false, // variant of section 4.1 must be 10
		"017f22e279b07cc398c4dc0c0c07398f":     false,
		"":                                     false,
	} {
		if got := IsID(id); got != want {
			t.Errorf("IsID(%q) = %v, want %v", id, got, want)
		}
	}
}

func TestGenuineReplacementCharacterIsKept(t *testing.T) {
	for _, text := range []string{"�", `\ufffd`, `\\ufffd`, `a\`} {
		e := with(entryOf(TypeNote), func(e *Entry) { e.Note = &Note{Text: text} })
		b, err := EncodeEntry(e)
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		back, err := DecodeEntry(b)
		if err != nil || back.Note.Text != text {
			t.Errorf("%q became %+v, %v", text, back, err)
		}
	}
}

func TestDecodeUndoesEncode(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := drawEntry(t)
		b, err := EncodeEntry(e)
		if err != nil {
			t.Fatalf("encode: %v", err)
		}
		if bytes.ContainsAny(b, "\n\r") {
			t.Fatalf("more than one line: %s", b)
		}
		back, err := DecodeEntry(b)
		if err != nil {
			t.Fatalf("decode: %v\n%s", err, b)
		}
		if diff := cmp.Diff(e, back, cmp.Comparer(func(a, b units.Quantity) bool { return a == b })); diff != "" {
			t.Fatalf("(-want +got):\n%s", diff)
		}
		stored, err := DecodeStored(b)
		if diff := cmp.Diff(back, stored, cmp.Comparer(func(a, b units.Quantity) bool {
			return a == b
		})); err != nil || diff != "" {
			t.Fatalf("%v (-DecodeEntry +DecodeStored):\n%s", err, diff)
		}
	})
}

func TestDecodeStoredChecksValues(t *testing.T) {
	for in, want := range map[string]string{
		`{"v":1`: "not JSON",
		`{"v":1,"id":"` + rfcID +
			`","recorded":"2026-11-25T09:30:00Z","clock":-3600,"vehicle":"heron","type":"note","date":"2026-02-20","note":{"text":"x"}}`: "format 1 has no such field",
		`{"v":2,"id":"` + rfcID +
			`","recorded":"2026-11-25T09:30:00Z","clock":5e9,"vehicle":"heron","type":"note","date":"2026-02-20","note":{"text":"x"}}`: "by which a clock can be wrong",
		`{"v":1}`: "not an entry id",
		`{"v":1,"id":"` + rfcID +
			`","recorded":"2026-11-25T09:30:00Z","vehicle":"heron","type":"note","date":"2026-02-30","note":{"text":"x"}}`: "day 30",
	} {
		if _, err := DecodeStored([]byte(in)); KindOf(err) != Invalid || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: error %v, want %q", in, err, want)
		}
	}
	if _, err := DecodeStored([]byte(`{"v":99}`)); KindOf(err) != TooNew {
		t.Errorf("error %v, want kind TooNew", err)
	}
}

func FuzzDecodeEntry(f *testing.F) {
	harm.Add(f, append(slices.Sorted(maps.Keys(samples())), `{"v":1,"ID":null}`)...)
	f.Fuzz(func(t *testing.T, in string) {
		e, err := DecodeEntry([]byte(in))
		if err != nil {
			if k := KindOf(err); k != Invalid && k != TooNew {
				t.Fatalf("error %v of kind %d", err, k)
			}
			return
		}
		b, err := EncodeEntry(e)
		if err != nil {
			t.Fatalf("read but not written: %v", err)
		}
		again, err := DecodeEntry(b)
		if err != nil {
			t.Fatalf("written but not read: %v", err)
		}
		if b2, _ := EncodeEntry(again); !bytes.Equal(b, b2) {
			t.Fatalf("not canonical:\n%s\n%s", b, b2)
		}
	})
}

// BenchmarkDecodeEntry compares the strict reader with the encoding alone in
// the same run.
func BenchmarkDecodeEntry(b *testing.B) {
	var lines [][]byte
	for line := range samples() {
		lines = append(lines, []byte(line))
	}
	b.Run("decode", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			for _, line := range lines {
				if _, err := DecodeEntry(line); err != nil {
					b.Fatal(err)
				}
			}
		}
	})
	b.Run("stored", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			for _, line := range lines {
				if _, err := DecodeStored(line); err != nil {
					b.Fatal(err)
				}
			}
		}
	})
	b.Run("lenient", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			for _, line := range lines {
				if err := lenient(line); err != nil {
					b.Fatal(err)
				}
			}
		}
	})
}
