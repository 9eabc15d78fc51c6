package yard

import (
	"container/list"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"

	"golang.org/x/sync/singleflight"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/units"
)

// mostSheets is how many sheets are kept in memory: of a typical vehicle 115 kB
// each. The fifty of a small yard, or those that others learn from, fit.
const mostSheets = 64

// shelf reads sheets and keeps those that were read last.
type shelf struct {
	dir       string
	catalogue *catalogue.Catalogue
	overlays  []byte // names the own catalogue files and what they hold
	settings  []byte // yard.yaml
	units     units.Preferences
	keepGood  atomic.Bool
	program   atomic.Pointer[string] // nil: none is kept in quick form
	reading   singleflight.Group

	mu     sync.Mutex
	kept   map[string]*list.Element
	recent *list.List // of *read, the one used last in front
}

// read is a sheet as it was read.
type read struct {
	id    string
	stamp string       // of the file
	sheet *sheet.Sheet // nil: broken
	err   error
}

func newShelf(y *Yard) *shelf {
	return &shelf{dir: y.Dir, catalogue: y.Catalogue, overlays: y.overlays, settings: y.settings,
		units:  y.Settings.Units,
		kept:   map[string]*list.Element{},
		recent: list.New()}
}

// SheetStamp names the state of a vehicle's sheet, without reading it; "" where
// there is none.
func (y *Yard) SheetStamp(id string) string {
	info, err := os.Stat(y.SheetPath(id))
	if err != nil {
		return ""
	}
	return stampOf(info)
}

// stampOf names one state of a file.
func stampOf(info fs.FileInfo) string {
	return fmt.Sprintf("%d-%d", info.Size(), info.ModTime().UnixNano())
}

// Once is Vehicle without keeping what was read: for those who go through a whole
// yard and must not push out what others look at.
func (y *Yard) Once(id string) (*fleet.Vehicle, error) {
	return y.shelf.read(id, false).vehicle()
}

// Warnings returns the oddities of a vehicle's sheet that stop nothing.
func (y *Yard) Warnings(id string) []*fleet.Error {
	if r := y.shelf.read(id, true); r.sheet != nil {
		return r.sheet.Warnings
	}
	return nil
}

func (s *shelf) vehicle(id string) (*fleet.Vehicle, error) { return s.read(id, true).vehicle() }

func (r *read) vehicle() (*fleet.Vehicle, error) {
	if r.err != nil {
		return nil, r.err
	}
	return r.sheet.Vehicle, nil
}

// read returns the sheet as its file is now.
func (s *shelf) read(id string, keep bool) *read {
	name := SheetPath(s.dir, id)
	info, err := os.Stat(name)
	if err != nil {
		return &read{id: id, err: s.breakOff(id, name, unreadable(name, err))}
	}
	stamp := stampOf(info)
	if r := s.ready(id, stamp); r != nil {
		return r
	}
	made, _, _ := s.reading.Do(id+" "+stamp, func() (any, error) {
		r := s.parse(id, name, info)
		if keep {
			s.put(r)
		}
		return r, nil
	})
	return made.(*read)
}

func (s *shelf) parse(id, name string, info fs.FileInfo) *read {
	r := &read{id: id, stamp: stampOf(info)}
	src, err := os.ReadFile(name)
	if err != nil {
		r.err = s.breakOff(id, name, unreadable(name, err))
		return r
	}
	key := s.quickKey(name, src)
	if r.sheet = s.quick(id, key); r.sheet == nil {
		r.sheet, r.err = s.parsed(id, name, src)
		if r.err != nil {
			r.sheet, r.err = nil, s.breakOff(id, name, r.err)
			return r
		}
		s.keepQuick(id, key, r.sheet)
	}
	if s.keepGood.Load() {
		s.keep(id, src, info)
	}
	from := sha256.Sum256(fmt.Appendf(nil, "%q %x %q", s.settings, s.overlays, src))
	r.sheet.Vehicle.ReadFrom = hex.EncodeToString(from[:])
	if own := r.sheet.Vehicle.Units; own != nil {
		r.sheet.Vehicle.ReadIn(*own)
	} else {
		r.sheet.Vehicle.ReadIn(s.units)
	}
	return r
}

// parsed reads what the sheet of a vehicle says.
func (s *shelf) parsed(id, name string, src []byte) (*sheet.Sheet, error) {
	sh, err := sheet.Read(name, src, s.catalogue)
	if err == nil && sh.Vehicle.ID != id {
		err = &fleet.Error{Kind: fleet.Conflict, Where: name,
			Msg:  message.Of("the sheet of a vehicle %q is called %s", sh.Vehicle.ID, filepath.Base(name)),
			Hint: message.Of("call the file %s%s, or the vehicle %s", sh.Vehicle.ID, suffix, id)}
	}
	return sh, err
}

// ready returns the sheet that is kept, if its file is as it was.
func (s *shelf) ready(id string, now string) *read {
	s.mu.Lock()
	defer s.mu.Unlock()
	at := s.kept[id]
	if at == nil || at.Value.(*read).stamp != now {
		return nil
	}
	s.recent.MoveToFront(at)
	return at.Value.(*read)
}

// put keeps a sheet in place of what was kept of it, and lets go of the one that
// was not asked for longest.
func (s *shelf) put(r *read) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if at := s.kept[r.id]; at != nil {
		s.recent.Remove(at)
	}
	s.kept[r.id] = s.recent.PushFront(r)
	if s.recent.Len() > mostSheets {
		delete(s.kept, s.recent.Remove(s.recent.Back()).(*read).id)
	}
}
