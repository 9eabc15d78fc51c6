package demo

import (
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"time"

	"github.com/google/uuid"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/record"
	"undertray.example/undertray/internal/yamltree"
	"undertray.example/undertray/units"
)

// story is a vehicle's history as it is written down.
type story struct {
	Vehicle string `yaml:"vehicle"`
	Facts   []fact `yaml:"facts"`
}

// fact is one occasion: everything in it happened that day at that reading
// and lands as one batch.
type fact struct {
	Date     civil.Date      `yaml:"date"`
	Odometer *units.Quantity `yaml:"odometer"`
	Fitted   []fitted        `yaml:"fitted"`
	Found    []found         `yaml:"found"`
	Done     []done          `yaml:"done"`
	Notes    []note          `yaml:"notes"`
	Changed  *instrument     `yaml:"instrument"`
	Label    string          `yaml:"label"` // names the reading for a later correction
	Correct  []correction    `yaml:"correct"`
}

type fitted struct {
	At       string                    `yaml:"at"`
	Name     string                    `yaml:"name"`
	Number   string                    `yaml:"number"`
	Material string                    `yaml:"material"`
	Supplier string                    `yaml:"supplier"`
	Cost     *units.Quantity           `yaml:"cost"`
	Spec     map[string]units.Quantity `yaml:"spec"`
	Known    fleet.Known               `yaml:"known"`
	Told     civil.Date                `yaml:"told_date"`
	ToldAt   *units.Quantity           `yaml:"told_at"`
	Removed  fleet.Removal             `yaml:"removed"`
	Note     string                    `yaml:"note"`
	// InHand answers checks of the part that came off, off and in the hand.
	InHand yamltree.Node `yaml:"in_hand"`
}

// found answers checks of one position, in the order written. The note goes
// with the first of them.
type found struct {
	At     string        `yaml:"at"`
	Checks yamltree.Node `yaml:"checks"`
	Note   string        `yaml:"note"`
}

type done struct {
	What     string          `yaml:"what"`
	At       []string        `yaml:"at"`
	Settles  []string        `yaml:"settles"`
	Cost     *units.Quantity `yaml:"cost"`
	Minutes  float64         `yaml:"minutes"`
	TakenOff bool            `yaml:"taken_off"`
}

type note struct {
	At   string `yaml:"at"`
	Text string `yaml:"text"`
}

type instrument struct {
	Old units.Quantity `yaml:"old"`
	New units.Quantity `yaml:"new"`
	Why string         `yaml:"why"`
}

// correction mends the odometer entry that a fact labelled.
type correction struct {
	Of       string          `yaml:"of"`
	Odometer *units.Quantity `yaml:"odometer"`
	Why      string          `yaml:"why"`
}

// teller turns a story into entries.
type teller struct {
	cat     *catalogue.Catalogue
	vehicle *fleet.Vehicle
	serial  uint64
	labels  map[string]*fleet.Entry
	out     []*fleet.Entry
}

func (t *teller) tell(s story) ([]*fleet.Entry, error) {
	var errs []error
	for i, f := range s.Facts {
		if err := t.fact(f); err != nil {
			errs = append(errs, fmt.Errorf("%s, fact %d (%s): %w", s.Vehicle, i+1, f.Date, err))
		}
	}
	return t.out, errors.Join(errs...)
}

func (t *teller) fact(f fact) error {
	batch := t.id(f.Date)
	start := len(t.out)
	add := func(e *fleet.Entry) *fleet.Entry {
		e.Format, e.Vehicle, e.Date, e.Batch = fleet.FormatOf(e), t.vehicle.ID, f.Date, batch
		if e.ID = t.idOf(f.Date, t.serial+1); e.Found == nil || e.Found.Off == "" {
			t.serial++
		}
		e.Recorded = evening(f.Date)
		t.out = append(t.out, e)
		return e
	}
	if f.Odometer != nil || f.Changed != nil {
		e := add(&fleet.Entry{Type: fleet.TypeOdometer, Odometer: f.Odometer})
		if c := f.Changed; c != nil {
			e.Instrument = &fleet.Instrument{Old: c.Old, New: c.New, Why: c.Why}
		}
		if f.Label != "" {
			t.labels[f.Label] = e
		}
	}
	for _, p := range f.Fitted {
		fit := add(&fleet.Entry{Type: fleet.TypeFitted, Fitted: p.body()})
		hand, err := t.findings([]found{{At: p.At, Checks: p.InHand}})
		if err != nil {
			return err
		}
		for i, e := range hand {
			e.Found.Off = fit.ID
			add(e).ID = t.idOf(f.Date, t.serial|uint64(i+1)<<32)
		}
	}
	rows, err := t.findings(f.Found)
	if err != nil {
		return err
	}
	for _, e := range rows {
		add(e)
	}
	for _, d := range f.Done {
		add(&fleet.Entry{Type: fleet.TypeDone, Done: &fleet.Done{What: d.What, Positions: d.At, Settles: d.Settles,
			Cost: d.Cost, Minutes: d.Minutes, TakenOff: d.TakenOff}})
	}
	for _, n := range f.Notes {
		add(&fleet.Entry{Type: fleet.TypeNote, Note: &fleet.Note{Position: n.At, Text: n.Text}})
	}
	for _, c := range f.Correct {
		old := t.labels[c.Of]
		if old == nil {
			return fmt.Errorf("no fact is labelled %q", c.Of)
		}
		instead := *old
		instead.Odometer = c.Odometer
		add(&fleet.Entry{Type: fleet.TypeCorrection,
			Correction: &fleet.Correction{Of: old.ID, Instead: &instead, Why: c.Why}})
	}
	if len(t.out) == start {
		return errors.New("the fact says nothing")
	}
	return nil
}

func (p fitted) body() *fleet.Fitted {
	b := &fleet.Fitted{Position: p.At, Known: p.Known, Removed: p.Removed, Note: p.Note,
		Part: fleet.PartSpec{Name: p.Name, Number: p.Number, Material: p.Material, Supplier: p.Supplier,
			Cost: p.Cost, Spec: p.Spec}}
	if p.Known == fleet.Told {
		b.Since = &fleet.Since{Date: p.Told, Total: p.ToldAt}
	}
	return b
}

func (t *teller) findings(given []found) ([]*fleet.Entry, error) {
	var rows []record.TypedFinding
	for _, g := range given {
		note := g.Note
		checks, _ := yamltree.Pairs(&g.Checks)
		for _, p := range checks {
			rows = append(rows, record.TypedFinding{Where: g.At + " " + p.Key.Value, Position: g.At,
				Check: p.Key.Value, Answer: p.Value.Value, Note: note})
			note = ""
		}
	}
	entries, errs := record.Findings(t.cat, t.vehicle, rows)
	return entries, errors.Join(errs...)
}

func evening(d civil.Date) time.Time {
	return time.Date(d.Year, d.Month, d.Day, 18, 0, 0, 0, time.UTC)
}

// id makes a UUIDv7 whose time is the evening of the day and whose random
// bits come from vehicle and serial number, so that it is the same each time.
func (t *teller) id(day civil.Date) string {
	t.serial++
	return t.idOf(day, t.serial)
}

func (t *teller) idOf(day civil.Date, serial uint64) string {
	var seed [8]byte
	binary.BigEndian.PutUint64(seed[:], serial)
	sum := sha256.Sum256(append([]byte(t.vehicle.ID), seed[:]...))
	var u uuid.UUID
	binary.BigEndian.PutUint64(u[:8], uint64(evening(day).UnixMilli())<<16)
	binary.BigEndian.PutUint16(u[6:8], uint16(serial)&0x0fff|0x7000)
	copy(u[8:], sum[:8])
	u[8] = u[8]&0x3f | 0x80
	return u.String()
}

func readStory(name string, src []byte) (story, error) {
	var s story
	if err := yamltree.Read(src, &s); err != nil {
		return s, fmt.Errorf("%s: %w", name, err)
	}
	return s, nil
}
