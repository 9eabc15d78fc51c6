package journal

import (
	"bufio"
	"container/list"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"golang.org/x/sync/singleflight"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
)

// Folds is a Store that folds vehicles and keeps the folds: some in memory, and a
// written copy of each that is long, in a folder. What arrives later, from this
// process or another, is folded on top; what does not go on top (a correction, an
// older entry, another sheet) is folded again on top of the written copy, which
// lags behind, or from the start. A copy is disposable: it is taken only for the
// sheet, the version of the folding and the journal that it was made from.
type Folds struct {
	Store
	dir    string
	making singleflight.Group
	since  arrivals
	*scratch

	mu     sync.Mutex
	begun  bool
	last   int64            // arrival up to which is known which vehicles were touched
	at     map[string]int64 // by vehicle: arrival by which it was found touched
	size   int              // of all that is kept, in findings and the like
	kept   map[string]*list.Element
	recent *list.List // of *folded, the one used last in front
}

var _ Store = (*Folds)(nil)

const (
	// keptFolder holds the written folds, in the yard's folder.
	keptFolder = ".kept"
	// writtenEvery is how many entries a written fold may lag behind. The one
	// before it stays, for entries that come late.
	writtenEvery = 256
	beforeIt     = ".before"
	// mostKept is how much is kept in memory, in findings and the like: each
	// takes about 700 bytes.
	mostKept = 16000
)

// FoldsOf returns the folds of a journal's vehicles, with copies in the folder of
// a yard; "": none are written.
func FoldsOf(s Store, dir string) *Folds {
	return &Folds{Store: s, dir: dir, scratch: scratchIn(dir), at: map[string]int64{}, kept: map[string]*list.Element{},
		recent: list.New()}
}

// folded is a vehicle's fold and what it was made from.
type folded struct {
	vehicle *fleet.Vehicle
	fold    *fleet.Kept
	upTo    int64 // arrival of the last entry in it
	unfiled int   // entries in it that the written one lacks
	filed   bool  // it was folded on top of a written one
	stale   bool  // more has arrived
	shared  bool  // others have the fold: it is not changed
}

// Fold returns the fold of a vehicle with all that has arrived, for a day. Nobody
// changes it.
func (f *Folds) Fold(ctx context.Context, v *fleet.Vehicle, on civil.Date) (*fleet.Kept, error) {
	if err := f.CatchUp(ctx); err != nil {
		return nil, err
	}
	return f.Folded(ctx, v, on)
}

// Folded is Fold with what had arrived when it was looked last, by Fold or by
// CatchUp, or with more.
func (f *Folds) Folded(ctx context.Context, v *fleet.Vehicle, on civil.Date) (*fleet.Kept, error) {
	if k := f.ready(v, on); k != nil {
		return k, nil
	}
	// Who asks first may go away: the others still want it.
	made, err, _ := f.making.Do(v.ID+" "+on.String(), func() (any, error) {
		k, err := f.make(context.WithoutCancel(ctx), v, on)
		if err != nil {
			return nil, err
		}
		return f.keep(context.WithoutCancel(ctx), k), nil
	})
	if err != nil {
		return nil, err
	}
	return made.(*fleet.Kept), ctx.Err()
}

// Version returns a number that another entry about a vehicle changes, as long as
// this process lasts, and as far as CatchUp has looked.
func (f *Folds) Version(vehicle string) int64 {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.at[vehicle]
}

// State is the state of a vehicle on a day with all that has arrived. Nobody
// changes it.
func (f *Folds) State(ctx context.Context, v *fleet.Vehicle, on civil.Date) (*fleet.State, error) {
	k, err := f.Fold(ctx, v, on)
	if err != nil {
		return nil, err
	}
	return k.State(on), nil
}

// CatchUp looks what has arrived and notes which folds lack what has arrived.
func (f *Folds) CatchUp(ctx context.Context) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if !f.begun {
		head, err := f.Store.Head(ctx)
		if err != nil {
			return err
		}
		f.begun, f.last = true, head.Entries
		return nil
	}
	touched, last, err := f.Store.Touched(ctx, f.last)
	if err != nil {
		return err
	}
	for vehicle := range touched {
		f.at[vehicle] = last
		if at := f.kept[vehicle]; at != nil {
			at.Value.(*folded).stale = true
		}
	}
	f.last = last
	return nil
}

// ready returns the fold that is kept if nothing is to be added to it, else nil.
func (f *Folds) ready(v *fleet.Vehicle, on civil.Date) *fleet.Kept {
	f.mu.Lock()
	defer f.mu.Unlock()
	at := f.kept[v.ID]
	if at == nil {
		return nil
	}
	was := at.Value.(*folded)
	if was.stale || was.vehicle != v {
		return nil
	}
	if k, ok := was.fold.With(nil, on); !ok || k != was.fold {
		return nil
	}
	f.recent.MoveToFront(at)
	return was.fold
}

// make folds a vehicle on top of what is kept of it, or of the written copy, or
// from the start.
func (f *Folds) make(ctx context.Context, v *fleet.Vehicle, on civil.Date) (*folded, error) {
	for _, from := range []func() *folded{func() *folded {
		return f.remembered(v)
	}, func() *folded { return f.written(ctx, v, "") },
		func() *folded { return f.written(ctx, v, beforeIt) }} {
		was := from()
		if was == nil {
			continue
		}
		arrived, last, err := f.Store.Arrived(ctx, v.ID, was.upTo)
		if err != nil {
			return nil, err
		}
		k, ok := was.fold, false
		if was.shared {
			k, ok = k.With(arrived, on)
		} else {
			ok = k.Add(arrived, on)
		}
		if ok {
			return &folded{vehicle: v, fold: k, upTo: last, unfiled: was.unfiled + len(arrived), filed: was.filed}, nil
		}
	}
	return f.fromStart(ctx, v, on)
}

func (f *Folds) remembered(v *fleet.Vehicle) *folded {
	f.mu.Lock()
	defer f.mu.Unlock()
	if at := f.kept[v.ID]; at != nil && at.Value.(*folded).vehicle == v {
		was := *at.Value.(*folded)
		was.shared = true
		return &was
	}
	return nil
}

// file writes a fold where the written one lags too far behind.
func (f *Folds) file(ctx context.Context, k *folded) {
	if k.unfiled >= writtenEvery && f.write(ctx, k) == nil {
		k.unfiled, k.filed = 0, true
	}
}

// keep keeps a fold in memory, where no newer one is, and on file.
func (f *Folds) keep(ctx context.Context, k *folded) *fleet.Kept {
	f.file(ctx, k)
	f.mu.Lock()
	defer f.mu.Unlock()
	if at := f.kept[k.vehicle.ID]; at != nil {
		if was := at.Value.(*folded); was.upTo > k.upTo && was.vehicle == k.vehicle {
			return k.fold
		}
		f.drop(at)
	}
	f.kept[k.vehicle.ID] = f.recent.PushFront(k)
	f.size += k.fold.Size()
	for f.size > mostKept && f.recent.Len() > 1 {
		f.drop(f.recent.Back())
	}
	return k.fold
}

// drop forgets a fold. The caller holds mu.
func (f *Folds) drop(at *list.Element) {
	k := f.recent.Remove(at).(*folded)
	delete(f.kept, k.vehicle.ID)
	f.size -= k.fold.Size()
}

// fromStart folds all that has arrived of a vehicle, a day at a time.
func (f *Folds) fromStart(ctx context.Context, v *fleet.Vehicle, on civil.Date) (*folded, error) {
	head, err := f.Store.Head(ctx)
	if err != nil {
		return nil, err
	}
	touched, err := f.corrected(ctx, v.ID, head.Entries)
	if err != nil {
		return nil, err
	}
	d := days{fold: fleet.NewKept(v), on: on, moved: fleet.Standing(touched)}
	fleet.SortByDate(d.moved)
	aside := make(map[string]bool, len(touched))
	for _, e := range touched {
		aside[e.ID] = true
	}
	n := 0
	err = f.Store.ByDate(ctx, v.ID, head.Entries, func(e *fleet.Entry) error {
		if n++; !aside[e.ID] {
			d.add(e)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	d.end()
	return &folded{vehicle: v, fold: d.fold, upTo: head.Entries, unfiled: n}, nil
}

// corrected returns the corrections of a vehicle's entries with what they correct.
func (f *Folds) corrected(ctx context.Context, vehicle string, upTo int64) ([]*fleet.Entry, error) {
	fixes, err := f.Store.Entries(ctx, Filter{Vehicle: vehicle, Type: fleet.TypeCorrection, UpTo: upTo})
	if err != nil {
		return nil, err
	}
	var of []string
	for _, fix := range fixes {
		of = append(of, fix.Correction.Of)
	}
	slices.Sort(of)
	all := fixes
	for ids := range slices.Chunk(slices.Compact(of), 500) {
		entries, err := f.Store.Entries(ctx, Filter{Vehicle: vehicle, IDs: ids, UpTo: upTo})
		if err != nil {
			return nil, err
		}
		for _, e := range entries {
			if e.Type != fleet.TypeCorrection { // those are there
				all = append(all, e)
			}
		}
	}
	return all, nil
}

// days folds entries that come by date, those of a day in the order in which they
// were typed, with others that were moved by a correction.
type days struct {
	fold  *fleet.Kept
	on    civil.Date
	day   civil.Date
	held  []*fleet.Entry // of that day
	moved []*fleet.Entry // by date, still to be folded
}

func (d *days) add(e *fleet.Entry) {
	if e.Date != d.day {
		d.flush()
		d.day = e.Date
	}
	d.held = append(d.held, e)
}

// flush folds what is held, and what was moved to before the end of its day.
func (d *days) flush() {
	for len(d.moved) > 0 && !d.moved[0].Date.After(d.day) {
		d.held, d.moved = append(d.held, d.moved[0]), d.moved[1:]
	}
	fleet.SortByDate(d.held)
	for _, e := range d.held {
		d.fold.Next(e, d.on)
	}
	d.held = d.held[:0]
}

func (d *days) end() {
	d.flush()
	for _, e := range d.moved {
		d.fold.Next(e, d.on)
	}
}

// writtenHead stands in the first line of a written fold.
type writtenHead struct {
	Head Head // of the journal that it was made from
	Sum  Sum  // of the rest
}

func (f *Folds) path(vehicle string) string {
	if f.dir == "" || !fleet.IsShortName(vehicle) {
		return ""
	}
	return filepath.Join(f.dir, keptFolder, vehicle)
}

// written returns the written fold of a vehicle, or with beforeIt the one before,
// or nil where there is none that rests on the same.
func (f *Folds) written(ctx context.Context, v *fleet.Vehicle, which string) *folded {
	path := f.path(v.ID)
	if path == "" {
		return nil
	}
	head, body, err := readWritten(path + which)
	if err != nil {
		return nil
	}
	if there, is, err := f.Store.HeadAt(ctx, head.Head.Entries); err != nil || !is || there != head.Head {
		return nil
	}
	k, err := fleet.DecodeKept(v, body)
	if err != nil {
		return nil
	}
	return &folded{vehicle: v, fold: k, upTo: head.Head.Entries, filed: true}
}

// readWritten reads a written fold whose checksum is right.
func readWritten(path string) (head writtenHead, body string, err error) {
	file, err := os.Open(path)
	if err != nil {
		return head, "", err
	}
	defer file.Close()
	lines, sum, text := bufio.NewReader(file), sha256.New(), new(strings.Builder)
	if info, err := file.Stat(); err == nil {
		text.Grow(int(info.Size()))
	}
	line, err := lines.ReadBytes('\n')
	if err == nil {
		err = json.Unmarshal(line, &head)
	}
	if err == nil {
		_, err = io.Copy(io.MultiWriter(text, sum), lines)
	}
	if err == nil && Sum(sum.Sum(nil)[:len(Sum{})]) != head.Sum {
		err = os.ErrInvalid
	}
	return head, text.String(), err
}

// write writes a fold in place of the one before. It is not waited for by the
// disk: one that is lost or spoilt is folded again.
func (f *Folds) write(ctx context.Context, k *folded) error {
	name := f.path(k.vehicle.ID)
	head, is, err := f.Store.HeadAt(ctx, k.upTo)
	if err != nil || !is || name == "" {
		return errors.Join(err, os.ErrInvalid)
	}
	body, err := k.fold.Encode()
	if err != nil {
		return err
	}
	line, err := json.Marshal(writtenHead{head, sumOf(body)})
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(name), 0o700); err != nil {
		return err
	}
	if k.filed {
		_ = os.Rename(name, name+beforeIt) // without it, late entries cost more
	}
	return putFile(name, slices.Concat(line, []byte("\n"), body))
}
