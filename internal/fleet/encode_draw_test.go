package fleet

import (
	"encoding/json"
	"fmt"
	"time"

	"pgregory.net/rapid"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/units"
)

// lenient is what the standard decoder does, for comparison.
func lenient(line []byte) error { return json.Unmarshal(line, new(Entry)) }

// drawEntry draws an entry with any of the fields its type allows.
func drawEntry(t *rapid.T) *Entry {
	e := drawFact(t, rapid.SampledFrom(EntryTypes()).Draw(t, "type"))
	e.Format, e.ID, e.Vehicle = EntryFormat, drawID(t, "id"), drawName(t, "vehicle")
	e.Recorded = time.UnixMicro(rapid.Int64Range(-1e12, 4e15).Draw(t, "recorded")).UTC()
	e.Batch = maybe(t, "batch", drawID)
	e.By = maybe(t, "by", drawText)
	if rapid.Bool().Draw(t, "clock is wrong") {
		e.Clock = rapid.Float64Range(-MaxClock, MaxClock).Draw(t, "clock")
	}
	return e
}

func drawFact(t *rapid.T, of EntryType) *Entry {
	e := &Entry{Type: of, Date: drawDate(t, "date"), Odometer: maybe(t, "odometer", drawDistance),
		Sure: rapid.Bool().Draw(t, "sure")}
	switch of {
	case TypeOdometer:
		e.Odometer = drawDistance(t, "odometer")
		e.Instrument = maybe(t, "instrument", func(t *rapid.T, _ string) *Instrument {
			return &Instrument{Old: *drawDistance(t, "old"), New: *drawDistance(t, "new"), Why: drawText(t, "why")}
		})
	case TypeFitted:
		e.Fitted = drawFitted(t)
	case TypeFound:
		e.Found = &Found{Position: drawName(t, "position"), Check: drawName(t, "check"), Note: drawText(t, "note"),
			Attachments: drawHashes(t)}
		if rapid.Bool().Draw(t, "in the hand") {
			e.Found.Off = drawID(t, "off")
		}
		if rapid.Bool().Draw(t, "figure") {
			e.Found.Value = drawAny(t, "value")
			e.Found.Counted = maybe(t, "counted", drawCounted)
		} else {
			e.Found.Answer = drawName(t, "answer")
		}
	case TypeDone:
		e.Done = &Done{What: drawName(t, "what"), TakenOff: rapid.Bool().Draw(t, "off"), Attachments: drawHashes(t),
			Positions: drawNames(t, "positions"), Settles: drawNames(t, "settles"),
			Minutes: rapid.Float64Range(0, 1e6).Draw(t, "minutes"), Cost: maybe(t, "cost", drawMoney)}
	case TypeWish:
		e.Wish = &Wish{Position: drawText(t, "position"), Month: MonthOf(drawDate(t, "month")),
			Not: rapid.Bool().Draw(t, "not"), Note: drawText(t, "note")}
	case TypeAside:
		e.Aside = &Aside{Position: drawName(t, "position"), Why: drawName(t, "why")}
	case TypeOpened:
		e.Opened = &Opened{Opening: drawName(t, "opening"), Closed: rapid.Bool().Draw(t, "closed"),
			Note: drawText(t, "note")}
	case TypeAboard:
		e.Aboard = &Aboard{Thing: drawName(t, "thing"),
			Gone: rapid.SampledFrom([]Gone{"", GoneUsed, GoneOut}).Draw(t, "gone"), Note: drawText(t, "note")}
	case TypeWork:
		e.Work = &Work{Of: drawID(t, "of"), Step: drawName(t, "step"), Back: rapid.Bool().Draw(t, "back")}
		if !e.Work.Back && rapid.Bool().Draw(t, "set") {
			e.Work.Set = []SetTo{{What: drawName(t, "what"),
				Torque: units.Must(float64(rapid.IntRange(1, 500).Draw(t, "torque")), "N·m")}}
		}
		if rapid.Bool().Draw(t, "begins") {
			e.Work = &Work{Begins: []WorkTask{{Position: drawName(t, "position"),
				Do: rapid.SampledFrom([]string{DoReplace, DoInspect, DoPutRight}).Draw(t, "do")}}}
		}
	case TypePicture:
		e.Picture = &Picture{Hash: drawHash(t), Position: drawName(t, "position"), Check: drawText(t, "check"),
			Opening: drawText(t, "opening"), Step: drawText(t, "step"), Text: drawText(t, "text")}
		if rapid.Bool().Draw(t, "in part") {
			e.Picture.Part = &PicturePart{Hash: drawHash(t), At: Across{0.1, 0.2, 0.3, 0.4}}
		}
	case TypeMark:
		length := units.Must(rapid.Float64Range(0.1, 100).Draw(t, "length"), "mm")
		e.Mark = &PictureMark{Picture: drawHash(t), Shape: MarkLength, Length: &length, Text: drawText(t, "text"),
			At: Across{rapid.Float64Range(0, 0.4).Draw(t, "x"), rapid.Float64Range(0, 4).Draw(t, "y"), 0.5, 1.5}}
		if rapid.Bool().Draw(t, "cracks") {
			e.Mark.Shape, e.Mark.Length, e.Mark.Belt = MarkCracks, nil, drawBeltMarks(t)
		} else if rapid.Bool().Draw(t, "outline") {
			e.Mark.Shape, e.Mark.Length = MarkOutline, nil
			e.Mark.Outline = &OutlineMarks{Lines: [][]float64{{0.1, 0.2, 0.3, 0.4}}, Usual: [][3]float64{{2.2, 2, 2.4}},
				Measured: []Measured{{Kind: drawName(t, "kind"), At: []float64{0.1, 0.2, 0.3, 0.2},
					Figures: [][3]float64{{rapid.Float64Range(0, 1).Draw(t, "figure"), 0, 1}},
					Out:     rapid.Bool().Draw(t, "out")}}}
		}
	case TypeBought:
		e.Bought = &Bought{Positions: append(drawNames(t, "positions"), drawName(t, "position")),
			Number: drawText(t, "number"), Supplier: drawText(t, "supplier"), Cost: maybe(t, "cost", drawMoney)}
	case TypeNote:
		e.Note = &Note{Position: drawText(t, "position"), Text: drawName(t, "text"), Attachments: drawHashes(t)}
	case TypeCorrection:
		e.Correction = drawCorrection(t)
	}
	return e
}

func drawCounted(t *rapid.T, _ string) *Counted {
	marks := rapid.IntRange(0, 200).Draw(t, "marks")
	by := rapid.SampledFrom([]CountedBy{ByPhotograph, ByOutline}).Draw(t, "by")
	return &Counted{By: by, Picture: drawHash(t), Version: drawName(t, "version"), Marks: marks,
		ByHand: rapid.IntRange(0, marks).Draw(t, "by hand"), Struck: rapid.IntRange(0, 9).Draw(t, "struck"),
		Low: rapid.Float64Range(0, 20).Draw(t, "low"), High: rapid.Float64Range(20, 90).Draw(t, "high")}
}

func drawBeltMarks(t *rapid.T) *BeltMarks {
	m := &BeltMarks{Pitch: 3.56, Ribs: []RibLine{{Along: 0, At: []float64{0.1, 0.1, 0.2, 0.1}},
		{Along: rapid.Float64Range(1, 99).Draw(t, "along"), At: []float64{0.1, 0.9, 0.2, 0.9}}}}
	if rapid.Bool().Draw(t, "tells of faint ones") {
		m.Faint = []float64{rapid.Float64Range(0, 1).Draw(t, "faint")}
	}
	for range rapid.IntRange(0, 3).Draw(t, "cracks") {
		m.Cracks = append(m.Cracks, CrackMark{At: []float64{0.1, rapid.Float64Range(-9, 99).Draw(t, "y"), 3, 7},
			Ribs: []int{0}, Chance: rapid.Float64Range(0, 1).Draw(t, "chance"), Hand: rapid.Bool().Draw(t, "hand"),
			Out: rapid.Bool().Draw(t, "out")})
	}
	return m
}

func drawFitted(t *rapid.T) *Fitted {
	f := &Fitted{Position: drawName(t, "position"),
		Known:   rapid.SampledFrom([]Known{Recorded, Told, Unknown}).Draw(t, "known"),
		Removed: rapid.SampledFrom(append(Removals(), RemovedUnknown)).Draw(t, "removed"), Note: drawText(t, "note")}
	f.Since = maybe(t, "since", func(t *rapid.T, _ string) *Since {
		return &Since{Date: maybe(t, "since date", drawDate), Total: maybe(t, "since total", drawDistance)}
	})
	f.Part = PartSpec{Name: drawText(t, "part"), Number: drawText(t, "number"), Quantity: drawText(t, "quantity"),
		Cost: maybe(t, "cost", drawMoney)}
	for _, name := range drawNames(t, "spec") {
		if f.Part.Spec == nil {
			f.Part.Spec = map[string]units.Quantity{}
		}
		f.Part.Spec[name] = *drawAny(t, name)
	}
	return f
}

func drawCorrection(t *rapid.T) *Correction {
	c := &Correction{Of: drawID(t, "of"), Why: drawText(t, "why")}
	if rapid.Bool().Draw(t, "withdraw") {
		c.Withdraw = true
		return c
	}
	types := EntryTypes()[:len(EntryTypes())-1] // not another correction
	c.Instead = drawFact(t, rapid.SampledFrom(types).Draw(t, "instead"))
	return c
}

// maybe draws a value half of the time and leaves it out otherwise.
func maybe[T any](t *rapid.T, label string, draw func(*rapid.T, string) T) T {
	var none T
	if !rapid.Bool().Draw(t, label+" is there") {
		return none
	}
	return draw(t, label)
}

func drawID(t *rapid.T, label string) string {
	b := rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, label)
	b[6], b[8] = b[6]&0x0f|0x70, b[8]&0x3f|0x80
	return fmt.Sprintf("%x-%x-%x-%x-%x", b[:4], b[4:6], b[6:8], b[8:10], b[10:])
}

func drawDate(t *rapid.T, label string) civil.Date {
	return civil.FromDays(rapid.IntRange(-700000, 2900000).Draw(t, label))
}

func drawText(t *rapid.T, label string) string { return rapid.String().Draw(t, label) }

func drawName(t *rapid.T, label string) string { return "n" + rapid.String().Draw(t, label) }

func drawNames(t *rapid.T, label string) []string {
	names := make([]string, rapid.IntRange(0, 3).Draw(t, label+" count"))
	if len(names) == 0 {
		return nil
	}
	for i := range names {
		names[i] = drawName(t, label)
	}
	return names
}

func drawDistance(t *rapid.T, label string) *units.Quantity {
	q := units.Must(rapid.Float64Range(0, 1e7).Draw(t, label),
		rapid.SampledFrom([]string{"km", "mi"}).Draw(t, label+" unit"))
	return &q
}

func drawMoney(t *rapid.T, label string) *units.Quantity {
	q := units.Must(rapid.Float64Range(0, 1e6).Draw(t, label), "EUR")
	return &q
}

func drawAny(t *rapid.T, label string) *units.Quantity {
	q := units.Must(rapid.Float64Range(-1e6, 1e6).Draw(t, label),
		rapid.SampledFrom([]string{"", "mm", "psi", "°C", "per 75 mm", "%"}).Draw(t, label+" unit"))
	return &q
}

func drawHashes(t *rapid.T) []string {
	if !rapid.Bool().Draw(t, "attachments are there") {
		return nil
	}
	return []string{drawHash(t)}
}

func drawHash(t *rapid.T) string {
	return fmt.Sprintf("%x", rapid.SliceOfN(rapid.Byte(), 32, 32).Draw(t, "hash"))
}
