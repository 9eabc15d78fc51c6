package handfile

import (
	"archive/tar"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/picture"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/internal/yard"
)

// About is what handover.json says.
type About struct {
	Format  int       `json:"undertray_handover"` // 1
	Made    time.Time `json:"made"`
	Vehicle string    `json:"vehicle"`
	Name    string    `json:"name"`
	LeftOut Leave     `json:"left_out"`
	// Withdrawn is how many entries were withdrawn and are not in it.
	Withdrawn int        `json:"withdrawn_not_in_it,omitempty"`
	Attached  []Attached `json:"attached,omitempty"`
	// Missing are the content hashes of what entries refer to and the giver lacks.
	Missing []string `json:"missing,omitempty"`
	// OwnKinds are kinds of part that the sheet uses and the giver's own catalogue has.
	OwnKinds []string `json:"own_kinds,omitempty"`
	journal.Head
}

// Attached is a picture or a recording in the file.
type Attached struct {
	File  string `json:"file"`
	Bytes int64  `json:"bytes"`
}

const (
	format      = 1
	aboutName   = "handover.json"
	readMeName  = "READ-ME.txt"
	sheetName   = "vehicle.yaml"
	lineSums    = "entries.sums"
	entriesName = "entries.jsonl"
	sumsName    = "SHA256SUMS"
)

// Unproven says what the checksums of a file do not show.
const Unproven message.Text = "The checksums show damage, not who wrote it: anyone can write such a file, or change " +
	"one and its checksums along. It proves neither who kept this record nor that what it says is so."

// Source is what giving needs of a journal.
type Source interface {
	OfVehicle(ctx context.Context, vehicle string) ([]*fleet.Entry, error)
	Attachment(ctx context.Context, hash string) (*journal.Attachment, error)
	Alarm() error
}

// Give writes a vehicle into a new file and reads it back before it gets its name. A
// file of that name that is there is a Conflict and stays.
func Give(ctx context.Context, y *yard.Yard, s Source, vehicle, name string, l Leave, now time.Time) (About, error) {
	taken := &fleet.Error{Kind: fleet.Conflict, Where: name, Msg: "there is a file of that name already",
		Hint: "give it another name, such as one with the date"}
	if _, err := os.Lstat(name); err == nil {
		return About{}, taken
	}
	f, about, err := Make(ctx, y, s, vehicle, filepath.Dir(name), l, now)
	if err != nil {
		return About{}, err
	}
	defer os.Remove(f.Name())
	if err := f.Close(); err != nil {
		return About{}, cannotWrite(name, err)
	}
	if err := os.Link(f.Name(), name); errors.Is(err, fs.ErrExist) {
		return About{}, taken
	} else if err != nil {
		err = os.Rename(f.Name(), name)
		return about, cannotWrite(name, err)
	}
	return about, nil
}

// Make writes a vehicle into a temporary file in a folder ("": the system's), reads it
// back and returns it open at its beginning. Whoever called removes it.
func Make(ctx context.Context, y *yard.Yard, s Source, vehicle, dir string, l Leave, now time.Time) (f *os.File,
	about About, err error) {
	if f, err = os.CreateTemp(dir, ".handover-*.new"); err != nil {
		return nil, about, cannotWrite(dir, err)
	}
	about, err = write(ctx, f, y, s, vehicle, l, now)
	if err == nil {
		err = cannotWrite(f.Name(), f.Sync())
	}
	if err == nil {
		var back *content
		if back, err = read(f, vehicle, about.Made, true); err == nil && back.about.Head != about.Head {
			err = fmt.Errorf("the file of %s does not read back as it was written", vehicle)
		}
	}
	if err == nil {
		_, err = f.Seek(0, io.SeekStart)
	}
	if err != nil {
		f.Close()
		os.Remove(f.Name())
		return nil, about, err
	}
	return f, about, nil
}

// write writes the archive.
func write(ctx context.Context, f io.Writer, y *yard.Yard, s Source, vehicle string, l Leave, now time.Time) (About,
	error) {
	about := About{Format: format, Made: now.UTC().Truncate(time.Second), LeftOut: l}
	if alarm := s.Alarm(); alarm != nil {
		return about, alarm
	}
	v, err := y.Vehicle(vehicle)
	if err != nil {
		return about, err
	}
	src, err := os.ReadFile(y.SheetPath(v.ID))
	if err == nil {
		src, err = sheet.Without(y.SheetPath(v.ID), src, l.Prices, l.Names)
	}
	if err != nil {
		return about, err
	}
	every, err := s.OfVehicle(ctx, v.ID)
	if err != nil {
		return about, err
	}
	about.Vehicle, about.Name = v.ID, v.Name
	if about.OwnKinds, err = ownKinds(v); err != nil {
		return about, err
	}
	out, withdrawn := given(every)
	about.Withdrawn = withdrawn
	var lines, sums []byte
	for _, e := range out {
		bare := l.strip(e)
		bare.Format = fleet.FormatOf(bare)
		body, err := fleet.EncodeEntry(bare)
		if err != nil {
			return about, err
		}
		about.Head = about.With(body)
		lines, sums = append(append(lines, body...), '\n'), fmt.Appendf(sums, "%s\n", journal.SumOf(body))
	}
	if about.Attached, about.Missing, err = attached(ctx, s, out); err != nil {
		return about, err
	}
	head, err := json.MarshalIndent(about, "", "  ")
	if err != nil {
		return about, err
	}
	a := &archive{w: tar.NewWriter(f), made: about.Made}
	a.add(aboutName, append(head, '\n'))
	a.add(readMeName, []byte(readMe(&about)))
	a.add(sheetName, src)
	a.add(lineSums, sums)
	a.add(entriesName, lines)
	for _, at := range about.Attached {
		kept, err := s.Attachment(ctx, at.hash())
		if err != nil {
			return about, err
		}
		a.add(at.File, kept.Data)
	}
	a.add(sumsName, a.sums)
	return about, cannotWrite("the file", errors.Join(a.err, a.w.Close()))
}

// ownKinds are the kinds that a sheet uses and the program does not bring along.
func ownKinds(v *fleet.Vehicle) ([]string, error) {
	known, err := catalogue.Load()
	if err != nil {
		return nil, err
	}
	var out []string
	for _, p := range v.Positions {
		if known.Kind(p.Kind) == nil && !slices.Contains(out, p.Kind) {
			out = append(out, p.Kind)
		}
	}
	return out, nil
}

// attached lists the pictures and recordings that entries refer to, and those that are
// not there or cannot be read.
func attached(ctx context.Context, s Source, entries []*fleet.Entry) (there []Attached, missing []string, err error) {
	for _, hash := range referred(entries) {
		a, err := s.Attachment(ctx, hash)
		if ctx.Err() != nil {
			return nil, nil, ctx.Err()
		}
		file := ""
		if err == nil {
			file = fileOf(a)
		}
		if file == "" {
			missing = append(missing, hash)
			continue
		}
		there = append(there, Attached{File: file, Bytes: int64(len(a.Data))})
	}
	return there, missing, nil
}

// referred lists the content hashes that entries refer to, each once, sorted.
func referred(entries []*fleet.Entry) []string {
	var out []string
	for _, e := range entries {
		out = append(out, e.Attachments()...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// The folders and suffixes of what is attached.
const (
	pictures, pictureSuffix = "pictures/", ".jpg"
	sounds, soundSuffix     = "recordings/", ".wav"
)

// fileOf returns the name of what is attached in the archive, or "" where it is neither
// a picture as this program keeps them nor a recording.
func fileOf(a *journal.Attachment) string {
	switch {
	case a.Media == picture.Media && picture.Plain(a.Data):
		return pictures + a.Hash + pictureSuffix
	case a.Media == belt.SoundType && isSound(a.Data):
		return sounds + a.Hash + soundSuffix
	}
	return ""
}

// isSound reports whether it begins as a WAV file does.
func isSound(src []byte) bool {
	return len(src) > 12 && string(src[:4]) == "RIFF" && string(src[8:12]) == "WAVE"
}

// hash returns the content hash, "" where the name holds none.
func (a Attached) hash() string {
	for folder, suffix := range map[string]string{pictures: pictureSuffix, sounds: soundSuffix} {
		if rest, ok := strings.CutPrefix(a.File, folder); ok {
			if hash, ok := strings.CutSuffix(rest, suffix); ok && fleet.IsHash(hash) {
				return hash
			}
		}
	}
	return ""
}

func (a Attached) media() string {
	if strings.HasPrefix(a.File, pictures) {
		return picture.Media
	}
	return belt.SoundType
}

// readMe says to a person what the file is.
func readMe(a *About) string {
	var b strings.Builder
	left := a.LeftOut.Words()
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("%s: its vehicle sheet and its past, handed over on %s.\n", a.Name, a.Made.Format("2 January 2006"))
	line("Take it into another yard of Undertray with:\n\n  undertray take FILE\n")
	line("or there under \"Start another vehicle\". It can be read without the program: the sheet is")
	line("YAML text, the entries are a line of JSON each, pictures are JPEG, recordings WAV.\n")
	line("It holds %s. Prices, and who wrote what down, can be left out by the giver.",
		told.Listing(much(int(a.Entries), len(a.Attached))))
	if len(left) > 0 {
		line("Left out: %s.", told.Listing(left))
	} else {
		line("Nothing of that was left out.")
	}
	if a.Withdrawn > 0 {
		line("Not in it: %s that the giver had withdrawn.", entries(a.Withdrawn))
	}
	if n := len(a.Missing); n > 0 {
		line("Missing: %s that the giver no longer has.", attachments(n))
	}
	if len(a.OwnKinds) > 0 {
		line("The sheet uses kinds of part of the giver's own: %s. Ask for that catalogue file as well.",
			told.Listing(told.Names(a.OwnKinds)))
	}
	line("What was written in free words, in notes and in comments of the sheet, is as it was written.\n")
	line("%s", strings.ReplaceAll(Unproven.String(), ": ", ":\n"))
	return b.String()
}

// archive writes files and their checksums. The first error stays.
type archive struct {
	w    *tar.Writer
	made time.Time
	sums []byte
	err  error
}

func (a *archive) add(name string, src []byte) {
	if a.err != nil {
		return
	}
	a.err = a.w.WriteHeader(&tar.Header{Name: name, Mode: 0o644, Size: int64(len(src)), ModTime: a.made,
		Format: tar.FormatUSTAR})
	if a.err == nil {
		_, a.err = io.Copy(a.w, bytes.NewReader(src))
	}
	a.sums = fmt.Appendf(a.sums, "%x  %s\n", sha256.Sum256(src), name)
}

func cannotWrite(name string, err error) error {
	if err == nil {
		return nil
	}
	return &fleet.Error{Kind: fleet.Unavailable, Where: name,
		Msg:  message.Of("the file cannot be made: %s", fleet.Why(err)),
		Hint: "see whether the folder exists, may be written to and has room", Err: err}
}
