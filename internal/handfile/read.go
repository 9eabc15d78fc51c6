package handfile

import (
	"archive/tar"
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/picture"
	"undertray.example/undertray/internal/record"
	"undertray.example/undertray/internal/sheet"
)

// content is what a file holds, read and checked, but for what is attached.
type content struct {
	about   About
	sheet   []byte
	entries []*fleet.Entry // by id
}

// most is how large each file of an archive may be, in bytes; another name is refused.
func most(name string) int64 {
	switch name {
	case aboutName, sumsName, lineSums:
		return 16 << 20
	case readMeName:
		return 64 << 10
	case sheetName:
		return sheet.MaxSize
	case entriesName:
		return 64 << 20
	}
	if (Attached{File: name}).hash() != "" {
		return journal.MaxAttachment
	}
	return 0
}

func damaged(name string, where any, why message.Text) error {
	return &fleet.Error{Kind: fleet.Invalid, Where: name, Msg: message.Of("this is not a whole hand-over: %s: %s",
		where, why),
		Hint: "copy the file again, or ask for it anew; nothing of it was taken in"}
}

// read reads a file from end to end: every file in it against its checksum, every entry
// against its own and against the rules of what comes from outside. Name is for messages.
func read(f io.ReadSeeker, name string, now time.Time, sure bool) (*content, error) {
	small, sums := map[string][]byte{}, map[string]string{}
	bad := ""
	err := each(f, name, func(h *tar.Header, r io.Reader) error {
		src, err := io.ReadAll(r)
		if err != nil {
			return damaged(name, h.Name, "it is cut off")
		}
		sums[h.Name] = fmt.Sprintf("%x", sha256.Sum256(src))
		at := Attached{File: h.Name, Bytes: h.Size}
		switch hash := at.hash(); {
		case hash == "":
			small[h.Name] = src
		case hash == sums[h.Name] && at.media() == picture.Media && !picture.Plain(src),
			hash == sums[h.Name] && at.media() != picture.Media && !isSound(src):
			bad = h.Name
		}
		return nil
	})
	if err == nil {
		err = compare(name, small, sums)
	}
	if err == nil && bad != "" {
		err = damaged(name, bad, "it is no picture or recording as they are kept")
	}
	if err != nil {
		return nil, err
	}
	c := &content{sheet: small[sheetName]}
	if c.about, err = readAbout(name, small[aboutName]); err == nil {
		err = c.readEntries(name, small, now, sure)
	}
	if err == nil {
		err = c.refers(name, sums)
	}
	if err != nil {
		return nil, err
	}
	v, err := sheet.Parse(name+", "+sheetName, c.sheet, nil)
	if err == nil && v.ID != c.about.Vehicle {
		err = damaged(name, sheetName, message.Of("it is the sheet of %q, not of %q", v.ID, c.about.Vehicle))
	}
	return c, err
}

// each calls do for every file of an archive, in order. Only plain files of the names that
// an archive has are let through, each once and none beyond its bound.
func each(f io.ReadSeeker, name string, do func(h *tar.Header, r io.Reader) error) error {
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return damaged(name, message.Text("the beginning"), message.Is(err))
	}
	t, last, seen := tar.NewReader(f), message.Text("the beginning"), map[string]bool{}
	for {
		h, err := t.Next()
		switch {
		case errors.Is(err, io.EOF):
			return nil
		case err != nil:
			return damaged(name, last, message.Of("what follows cannot be read: %s", err))
		case most(h.Name) == 0:
			return damaged(name, last, message.Of("behind it stands %.80q, which no hand-over holds", h.Name))
		case h.Typeflag != tar.TypeReg || len(h.PAXRecords) > 0 || h.Format&tar.FormatGNU != 0 || seen[h.Name]:
			return damaged(name, h.Name, "it is no plain file, or is there twice")
		case h.Size > most(h.Name):
			return damaged(name, h.Name, message.Of("it has %d bytes, and at most %d are read", h.Size, most(h.Name)))
		}
		last, seen[h.Name] = message.Name(h.Name), true
		if err := do(h, t); err != nil {
			return err
		}
	}
}

// compare holds what was read against the checksums, and says which files are not as they
// were written, and of the entries which line.
func compare(name string, small map[string][]byte, sums map[string]string) error {
	if small[sumsName] == nil {
		return damaged(name, sumsName, "it is missing, so the file was cut off or is something else")
	}
	want := map[string]string{}
	for line := range strings.Lines(string(small[sumsName])) {
		sum, file, _ := strings.Cut(strings.TrimSuffix(line, "\n"), "  ")
		want[file] = sum
	}
	delete(sums, sumsName)
	var wrong []string
	for file, sum := range sums {
		at := Attached{File: file}
		if want[file] != sum || at.hash() != "" && at.hash() != sum {
			wrong = append(wrong, file)
		}
	}
	for _, file := range []string{aboutName, readMeName, sheetName, lineSums, entriesName} {
		if sums[file] == "" {
			wrong = append(wrong, file)
		}
	}
	for file := range want {
		if sums[file] == "" && !slices.Contains(wrong, file) {
			wrong = append(wrong, file)
		}
	}
	slices.Sort(wrong)
	if len(wrong) == 0 {
		return nil
	}
	where := message.Of("%.100q", wrong[0])
	if wrong[0] == entriesName && want[lineSums] == sums[lineSums] {
		where = message.Of("%s, line %d", where, firstWrong(small[entriesName], small[lineSums]))
	}
	why := message.Text("it does not match its checksum, or is missing")
	if len(wrong) > 1 {
		why = message.Of("%s; %d more are wrong", why, len(wrong)-1)
	}
	return damaged(name, where, why)
}

// firstWrong is the first line of the entries that is not as it was written.
func firstWrong(lines, sums []byte) int {
	sum := strings.Split(string(sums), "\n")
	n := 0
	for line := range bytes.Lines(lines) {
		if n >= len(sum) || journal.SumOf(bytes.TrimSuffix(line, []byte("\n"))).String() != sum[n] {
			break
		}
		n++
	}
	return n + 1
}

func readAbout(name string, src []byte) (About, error) {
	var peek struct {
		Format int `json:"undertray_handover"`
	}
	var about About
	if err := json.Unmarshal(src, &peek); err == nil && peek.Format > format {
		return about, &fleet.Error{Kind: fleet.TooNew, Where: name,
			Msg: message.Of("the hand-over is of format %d, and this program reads formats up to %d", peek.Format,
				format), Hint: "use the newer version of the program that wrote it"}
	}
	dec := json.NewDecoder(bytes.NewReader(src))
	dec.DisallowUnknownFields()
	switch err := dec.Decode(&about); {
	case err != nil:
		return about, damaged(name, aboutName, message.Is(err))
	case about.Format < 1:
		return about, damaged(name, aboutName, "it does not say of which format it is")
	case !fleet.IsShortName(about.Vehicle) || len(about.Vehicle) > 40:
		return about, damaged(name, aboutName, message.Of("%.60q is not the short name of a vehicle", about.Vehicle))
	}
	return about, nil
}

// readEntries decodes the entries, each of the vehicle and within the rules of what comes
// from outside.
func (c *content) readEntries(name string, small map[string][]byte, now time.Time, sure bool) error {
	var head journal.Head
	n, last := 0, ""
	today := civil.Of(now)
	for line := range bytes.Lines(small[entriesName]) {
		n++
		where := message.Of("%s, line %d", entriesName, n)
		body := bytes.TrimSuffix(line, []byte("\n"))
		e, err := fleet.DecodeEntry(body)
		if err == nil {
			err = record.Outside(e, today, sure)
		}
		switch {
		case fleet.KindOf(err) == fleet.TooNew:
			return &fleet.Error{Kind: fleet.TooNew, Where: name + ", " + where.String(), Msg: message.Is(err),
				Hint: "use a newer version of the program"}
		case err != nil:
			return damaged(name, where, message.Is(err))
		case e.Vehicle != c.about.Vehicle:
			return damaged(name, where, message.Of("it is about %.60q, not about %s", e.Vehicle, c.about.Vehicle))
		case e.ID <= last:
			return damaged(name, where, "it is not in the order of ids, or is there twice")
		}
		last = e.ID
		head = head.With(body)
		c.entries = append(c.entries, e)
	}
	if head != c.about.Head || strings.Count(string(small[lineSums]), "\n") != n {
		return damaged(name, entriesName, message.Of("it holds %d entries with digest %s, and should hold %d with %s",
			head.Entries, head.Digest, c.about.Entries, c.about.Digest))
	}
	return nil
}

// refers checks that what entries refer to is attached or said to be missing, and that
// nothing else is.
func (c *content) refers(name string, sums map[string]string) error {
	there := slices.Clone(c.about.Missing)
	for _, a := range c.about.Attached {
		if sums[a.File] == "" {
			return damaged(name, message.Of("%.100q", a.File), "it is missing")
		}
		there = append(there, a.hash())
	}
	slices.Sort(there)
	for file := range sums {
		if (Attached{File: file}).hash() != "" && !slices.ContainsFunc(c.about.Attached, func(a Attached) bool {
			return a.File == file
		}) {
			return damaged(name, file, message.Of("%s does not name it", aboutName))
		}
	}
	if !slices.Equal(there, referred(c.entries)) {
		return damaged(name, entriesName, "it does not refer to just what is attached")
	}
	return nil
}
