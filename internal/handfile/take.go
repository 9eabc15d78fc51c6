package handfile

import (
	"archive/tar"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/picture"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/internal/yard"
)

// Store is what taking in needs of a journal.
type Store interface {
	picture.Store
	Entries(ctx context.Context, f journal.Filter) ([]*fleet.Entry, error)
	Land(ctx context.Context, add func(journal.Landing) error) error
	Alarm() error
}

// Taken says what a file holds, and what became of it or would.
type Taken struct {
	About
	Here  string `json:"here"` // id of the vehicle in this yard
	Joins bool   `json:"joins,omitempty"`
	// Added entries are new here, Already were here, and of these Fewer are fuller in the
	// file, by prices or names, and stay as they are here.
	Added   int `json:"added"`
	Already int `json:"already"`
	Fewer   int `json:"fewer_here,omitempty"`
	// Sheet says that the sheet of the file became this yard's; else that one stays, and
	// Differs says whether the other one is different.
	Sheet    bool `json:"sheet"`
	Differs  bool `json:"sheet_differs,omitempty"`
	Pictures int  `json:"pictures"` // and recordings that are new here
}

// Options say how a file is taken in.
type Options struct {
	Now  time.Time
	Room int64 // bytes that all pictures may take together
	Look bool  // say what would become of it, and write nothing
	Sure bool  // take in entries about days to come as well
}

// Check reads a file from end to end and says what it holds.
func Check(f io.ReadSeeker, name string, o Options) (About, error) {
	c, err := read(f, name, o.Now, o.Sure)
	if err != nil {
		return About{}, err
	}
	return c.about, nil
}

// Take takes a file in, all of it or nothing. Name is for messages.
func Take(ctx context.Context, y *yard.Yard, s Store, f io.ReadSeeker, name string, o Options) (Taken, error) {
	if alarm := s.Alarm(); alarm != nil {
		return Taken{}, alarm
	}
	c, err := read(f, name, o.Now, o.Sure)
	if err != nil {
		return Taken{}, err
	}
	out := Taken{About: c.about}
	here, err := found(ctx, s, c)
	if err == nil {
		out.Here, out.Joins, err = place(ctx, y, s, c, here)
	}
	if err != nil {
		return out, err
	}
	own, err := sheet.Named(name+", "+sheetName, c.sheet, out.Here)
	if err != nil {
		return out, err
	}
	if out.Sheet = !y.Has(out.Here); out.Sheet {
		if _, err := sheet.Parse(name+", "+sheetName, own, y.Catalogue); err != nil {
			return out, withKinds(err, c.about.OwnKinds)
		}
	} else {
		out.Differs = !sameSheet(y, out.Here, own, all)
	}
	fresh, err := c.fresh(name, &out, here)
	if err != nil {
		return out, err
	}
	want, err := out.room(ctx, s, o.Room, c)
	if err != nil || o.Look {
		return out, err
	}
	landing := landing{f: f, name: name, fresh: fresh, want: want}
	if out.Sheet {
		landing.to, landing.sheet = y.SheetPath(out.Here), own
	}
	return out, landing.land(ctx, s)
}

// withKinds adds which kinds are the giver's own.
func withKinds(err error, kinds []string) error {
	if len(kinds) == 0 {
		return err
	}
	return errors.Join(err, &fleet.Error{Kind: fleet.Invalid, Where: sheetName,
		Msg:  message.Of("it uses kinds of part of the giver's own catalogue: %s", strings.Join(kinds, ", ")),
		Hint: "ask for that catalogue file and put it into the folder catalogue of this yard first"})
}

// found returns those entries that the file holds or withdraws and that are here, by id.
func found(ctx context.Context, s Store, c *content) (map[string]*fleet.Entry, error) {
	var ids []string
	for _, e := range c.entries {
		ids = append(ids, e.ID)
		if e.Correction != nil {
			ids = append(ids, e.Correction.Of)
		}
	}
	here := map[string]*fleet.Entry{}
	for len(ids) > 0 {
		n := min(len(ids), 1000)
		entries, err := s.Entries(ctx, journal.Filter{IDs: ids[:n]})
		if err != nil {
			return nil, err
		}
		for _, e := range entries {
			here[e.ID] = e
		}
		ids = ids[n:]
	}
	return here, nil
}

// place says which vehicle of this yard it is: that of the entries which are here, or one
// with a free id.
func place(ctx context.Context, y *yard.Yard, s Store, c *content, here map[string]*fleet.Entry) (id string,
	joins bool, err error) {
	for _, e := range here {
		if id == "" {
			id = e.Vehicle
		}
		if e.Vehicle != id {
			return "", false, &fleet.Error{Kind: fleet.Conflict, Where: c.about.Vehicle,
				Msg:  message.Of("this yard has entries of the file about two vehicles, %s and %s", id, e.Vehicle),
				Hint: "see what is wrong here with: undertray journal verify"}
		}
	}
	if id != "" {
		return id, true, nil
	}
	for n := 1; n < 1000; n++ {
		id = c.about.Vehicle
		if n > 1 {
			id = fmt.Sprintf("%.36s-%d", id, n)
		}
		some, err := s.Entries(ctx, journal.Filter{Vehicle: id, Limit: 1})
		if err != nil {
			return "", false, err
		}
		if len(some) > 0 {
			continue
		}
		if !y.Has(id) {
			return id, false, nil
		}
		if own, err := sheet.Named("", c.sheet, id); err == nil && sameSheet(y, id, own, Leave{}) {
			return id, true, nil
		}
	}
	return "", false, &fleet.Error{Kind: fleet.Conflict, Where: c.about.Vehicle,
		Msg: "a thousand vehicles have that name", Hint: "rename one of them"}
}

// sameSheet reports whether the sheet here is the other one but for what may be left out.
func sameSheet(y *yard.Yard, id string, own []byte, but Leave) bool {
	src, err := os.ReadFile(y.SheetPath(id))
	if err != nil || but == (Leave{}) {
		return err == nil && bytes.Equal(src, own)
	}
	src, err = sheet.Without(id, src, but.Prices, but.Names)
	own, other := sheet.Without(id, own, but.Prices, but.Names)
	return err == nil && other == nil && bytes.Equal(src, own)
}

// fresh returns the entries that are new here, as they are written down here: of the
// vehicle's id in this yard, and without withdrawals of what this yard never had.
func (c *content) fresh(name string, out *Taken, here map[string]*fleet.Entry) ([]*fleet.Entry, error) {
	in := map[string]bool{}
	for _, e := range c.entries {
		in[e.ID] = true
	}
	var fresh []*fleet.Entry
	for _, e := range c.entries {
		e.Vehicle = out.Here
		if e.Correction != nil && e.Correction.Instead != nil && e.Correction.Instead.Vehicle != "" {
			e.Correction.Instead.Vehicle = out.Here
		}
		old := here[e.ID]
		switch {
		case old == nil && e.Correction != nil && !in[e.Correction.Of] && here[e.Correction.Of] == nil:
		case old == nil:
			fresh = append(fresh, e)
		case !same(e, old, all):
			return nil, &fleet.Error{Kind: fleet.Conflict, Where: name,
				Msg:  message.Of("entry %s is here already and says something else", e.ID),
				Hint: "one of the two was changed by hand: ask for the file anew; nothing was taken in"}
		default:
			out.Already++
			if !same(e, old, Leave{}) && !same(e, all.strip(e), Leave{}) {
				out.Fewer++
			}
		}
	}
	out.Added = len(fresh)
	return fresh, nil
}

// same reports whether two entries say the same but for what is left out.
func same(a, b *fleet.Entry, but Leave) bool {
	one, err := fleet.Content(but.strip(a))
	if err != nil {
		return false
	}
	two, err := fleet.Content(but.strip(b))
	return err == nil && bytes.Equal(one, two)
}

// room returns the pictures and recordings that are new here, by their files, and refuses
// those for which there is no room.
func (t *Taken) room(ctx context.Context, s Store, most int64, c *content) (map[string]bool, error) {
	infos, err := s.Attachments(ctx)
	if err != nil {
		return nil, err
	}
	there, used := map[string]bool{}, int64(0)
	for _, a := range infos {
		there[a.Hash] = true
		if a.Media == picture.Media {
			used += a.Size
		}
	}
	want, more := map[string]bool{}, int64(0)
	for _, a := range c.about.Attached {
		if want[a.File] = !there[a.hash()]; want[a.File] {
			t.Pictures++
			if a.media() == picture.Media {
				more += a.Bytes
			}
		}
	}
	if more > 0 && used+more > most {
		return nil, &fleet.Error{Kind: fleet.Conflict, Where: "pictures",
			Msg: message.Of("with these the pictures take %d MB, and %d MB are set for them", (used+more)/1e6,
				most/1e6),
			Hint: message.Of("raise pictures.megabytes in yard.yaml to at least %d; nothing was taken in",
				(used+more)/1e6+1)}
	}
	return want, nil
}

// landing is what is written of a file.
type landing struct {
	f     io.ReadSeeker
	name  string
	fresh []*fleet.Entry
	want  map[string]bool // files of pictures and recordings that are new here
	to    string          // where the sheet goes, "" where there is one
	sheet []byte

	linked bool
}

// land writes everything: entries, pictures and, as the last thing before they count, the
// sheet's name.
func (d *landing) land(ctx context.Context, s Store) error {
	aside := ""
	if d.to != "" {
		var err error
		if aside, err = besideSheets(d.to, d.sheet); err != nil {
			return err
		}
		defer os.Remove(aside)
	}
	err := s.Land(ctx, func(l journal.Landing) error {
		for _, e := range d.fresh {
			if _, err := l.Add(e); err != nil {
				return err
			}
			if err := ctx.Err(); err != nil {
				return err
			}
		}
		if err := d.attach(l); err != nil || d.to == "" {
			return err
		}
		return d.link(aside)
	})
	if err != nil && d.linked {
		err = errors.Join(err, os.Remove(d.to))
	}
	return err
}

// attach adds the pictures and recordings that are new here.
func (d *landing) attach(l journal.Landing) error {
	return each(d.f, d.name, func(h *tar.Header, r io.Reader) error {
		if !d.want[h.Name] {
			return nil
		}
		src, err := io.ReadAll(r)
		if err != nil {
			return damaged(d.name, h.Name, "it is cut off")
		}
		at := Attached{File: h.Name}
		_, err = l.Attach(&journal.Attachment{AttachmentInfo: journal.AttachmentInfo{Hash: at.hash(),
			Media: at.media()}, Data: src})
		return err
	})
}

// link gives the sheet its name, which nothing must have.
func (d *landing) link(aside string) error {
	err := os.Link(aside, d.to)
	if err != nil && !errors.Is(err, fs.ErrExist) { // some disks know no links
		if _, there := os.Lstat(d.to); errors.Is(there, fs.ErrNotExist) {
			err = os.Rename(aside, d.to)
		}
	}
	switch {
	case errors.Is(err, fs.ErrExist):
		return &fleet.Error{Kind: fleet.Conflict, Where: d.to, Msg: "a sheet of that name was made meanwhile",
			Hint: "take the file in again; nothing was taken in"}
	case err != nil:
		return yard.Unwritable(d.to, err)
	}
	d.linked = true
	return nil
}

// besideSheets writes the sheet beside its place, onto the disk, and returns where.
func besideSheets(to string, src []byte) (name string, err error) {
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		return "", yard.Unwritable(to, err)
	}
	f, err := os.CreateTemp(filepath.Dir(to), ".new-*")
	if err != nil {
		return "", yard.Unwritable(to, err)
	}
	_, err = f.Write(src)
	if err = errors.Join(err, f.Chmod(0o644), f.Sync(), f.Close()); err != nil {
		os.Remove(f.Name())
		return "", yard.Unwritable(to, err)
	}
	return f.Name(), nil
}
