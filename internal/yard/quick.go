package yard

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/sheet"
)

// Sheets in quick form lie beside what the journal keeps of their vehicles.
const (
	quickFolder = ".kept"
	quickEnd    = ".sheet"
)

// KeepQuick has every sheet that is read without a mistake kept in a form that is
// read in a fraction of the time: for those who come by more vehicles than fit into
// memory. Program names the program that runs: what another one has read is read
// anew, and where that has no name none is kept. Nor does a folder that cannot be
// written keep any.
func (y *Yard) KeepQuick(program string) { y.shelf.program.Store(&program) }

// quickKey names all that comes of reading a sheet: the program, the own catalogue
// files, which a sheet is checked by, and what the sheet is called and says.
func (s *shelf) quickKey(name string, src []byte) string {
	program := s.program.Load()
	if program == nil || *program == "" {
		return ""
	}
	sum := sha256.New()
	fmt.Fprintf(sum, "%q %x %q\n", *program, s.overlays, name)
	sum.Write(src)
	return hex.EncodeToString(sum.Sum(nil))
}

func (s *shelf) quickPath(id string) string { return filepath.Join(s.dir, quickFolder, id+quickEnd) }

// quick returns a sheet that is kept under a key, or nil where there is none, or one
// that is damaged.
func (s *shelf) quick(id, key string) *sheet.Sheet {
	if key == "" {
		return nil
	}
	src, err := os.ReadFile(s.quickPath(id))
	head, body, _ := bytes.Cut(src, []byte("\n"))
	if err != nil || string(head) != quickHead(key, body) {
		return nil
	}
	var of quickSheet
	if json.Unmarshal(body, &of) != nil || of.Vehicle == nil {
		return nil
	}
	sh := &sheet.Sheet{Vehicle: of.Vehicle}
	for _, o := range of.Odd {
		sh.Warnings = append(sh.Warnings, &fleet.Error{Kind: fleet.Invalid, Where: o[0], Msg: message.Text(o[1])})
	}
	sh.Vehicle.ReadIn(sh.Vehicle.Reader)
	return sh
}

// quickSheet is a sheet in quick form: its vehicle, and of what is odd about it the place and the text.
type quickSheet struct {
	Vehicle *fleet.Vehicle
	Odd     [][2]string
}

// quickHead is the first line of a sheet in quick form: its key, and a checksum of
// the rest.
func quickHead(key string, body []byte) string { return fmt.Sprintf("%s %x", key, sha256.Sum256(body)) }

// keepQuick keeps a sheet under a key. It is not waited for by the disk, and written in
// its place: one that is lost, spoilt or half there is read from the sheet itself.
func (s *shelf) keepQuick(id, key string, sh *sheet.Sheet) {
	if key == "" {
		return
	}
	name := s.quickPath(id)
	of := quickSheet{Vehicle: sh.Vehicle}
	for _, w := range sh.Warnings {
		of.Odd = append(of.Odd, [2]string{w.Where, w.Msg.Kept()})
	}
	if body, err := json.Marshal(of); err == nil && os.MkdirAll(filepath.Dir(name), 0o700) == nil {
		_ = os.WriteFile(name, fmt.Appendf(nil, "%s\n%s", quickHead(key, body), body), 0o600)
	}
}

// digestOf names files and what they hold.
func digestOf(files []catalogue.File) []byte {
	sum := sha256.New()
	for _, f := range files {
		fmt.Fprintf(sum, "%q %d\n%s", filepath.Base(f.Name), len(f.Source), f.Source)
	}
	return sum.Sum(nil)
}
