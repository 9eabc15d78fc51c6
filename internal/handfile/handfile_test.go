package handfile

import (
	"archive/tar"
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/journal/journaltest"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/internal/sheet/ask"
	"undertray.example/undertray/internal/yard"
	"undertray.example/undertray/units"
)

var now = time.Date(2026, 11, 28, 20, 0, 0, 0, time.UTC)

// aYard is a yard's folder with its journal.
type aYard struct {
	t   *testing.T
	dir string
	s   *journal.Guarded
}

func newYard(t *testing.T) *aYard {
	t.Helper()
	dir := t.TempDir()
	s, err := journal.Open(t.Context(), filepath.Join(dir, "journal.db"), journal.Options{Create: true})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return &aYard{t, dir, s}
}

func (a *aYard) yard() *yard.Yard {
	a.t.Helper()
	y, err := yard.Open(a.dir)
	if err != nil {
		a.t.Fatal(err)
	}
	return y
}

// vehicle starts a vehicle with amounts of money and a supplier in its sheet.
func (a *aYard) vehicle(id, archetype string) {
	a.t.Helper()
	answers, err := ask.From(archetype)
	if err != nil {
		a.t.Fatal(err)
	}
	src, err := ask.Build(answers, ask.Filling{Vehicle: id, Name: "The " + id})
	if err != nil {
		a.t.Fatal(err)
	}
	at := bytes.Index(src, []byte("\npositions:"))
	src = slices.Concat(src[:at], []byte("\n# its own costs\ncosts: {recovery: 4321 EUR}\nvisits:\n  hours: 3\n"+
		"  hour_worth: 77 EUR\n"), src[at:])
	if err := yard.WriteNew(yard.SheetPath(a.dir, id), src); err != nil {
		a.t.Fatal(err)
	}
}

func (a *aYard) append(entries ...*fleet.Entry) {
	a.t.Helper()
	for _, e := range entries {
		e.Format = fleet.FormatOf(e)
	}
	if _, err := a.s.Append(a.t.Context(), entries); err != nil {
		a.t.Fatal(err)
	}
}

func (a *aYard) attach(src []byte, media string) string {
	a.t.Helper()
	hash, err := a.s.PutAttachment(a.t.Context(), bytes.NewReader(src), "anna.jpg", media)
	if err != nil {
		a.t.Fatal(err)
	}
	return hash
}

func (a *aYard) give(vehicle string, l Leave) string {
	a.t.Helper()
	name := filepath.Join(a.t.TempDir(), vehicle+".tar")
	if _, err := Give(a.t.Context(), a.yard(), a.s, vehicle, name, l, now); err != nil {
		a.t.Fatal(err)
	}
	return name
}

func (a *aYard) take(name string) (Taken, error) {
	a.t.Helper()
	f, err := os.Open(name)
	if err != nil {
		a.t.Fatal(err)
	}
	defer f.Close()
	return Take(a.t.Context(), a.yard(), a.s, f, filepath.Base(name), Options{Now: now, Room: 1e8})
}

func (a *aYard) mustTake(name string) Taken {
	a.t.Helper()
	out, err := a.take(name)
	if err != nil {
		a.t.Fatal(err)
	}
	return out
}

// told is all that is worked out about a vehicle, its record included.
func (a *aYard) told(vehicle string) string {
	a.t.Helper()
	y := a.yard()
	v, err := y.Vehicle(vehicle)
	if err != nil {
		a.t.Fatal(err)
	}
	entries, err := a.s.OfVehicle(a.t.Context(), vehicle)
	if err != nil {
		a.t.Fatal(err)
	}
	r := advise.Vehicle(y.Catalogue, v, entries, civil.Of(now))
	out, err := json.MarshalIndent([]any{ahead.View(r, units.Preferences{}), advise.History(r, "")}, "", " ")
	if err != nil {
		a.t.Fatal(err)
	}
	return strings.ReplaceAll(string(out), `"`+vehicle+`"`, `"it"`)
}

// everything is what a yard's folder and journal hold, to see that nothing changed.
func (a *aYard) everything() string {
	a.t.Helper()
	var names []string
	all, _ := filepath.Glob(filepath.Join(a.dir, "vehicles", "*"))
	hidden, _ := filepath.Glob(filepath.Join(a.dir, "vehicles", ".*"))
	for _, name := range append(all, hidden...) {
		src, _ := os.ReadFile(name)
		names = append(names, filepath.Base(name), string(src))
	}
	return strings.Join(names, "\n") + journaltest.Exported(a.t, a.s)
}

func photo(shade uint8) []byte {
	img := image.NewRGBA(image.Rect(0, 0, 60, 40))
	for i := range img.Pix {
		img.Pix[i] = shade + uint8(i/97)
	}
	img.Set(3, 4, color.White)
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		panic(err)
	}
	return b.Bytes()
}

func sound() []byte { return append([]byte("RIFF\x24\x00\x00\x00WAVEfmt "), make([]byte, 40)...) }

func entry(n int, date string, e fleet.Entry) *fleet.Entry {
	e.ID, e.Recorded = journaltest.ID(n), now.Add(time.Duration(n-1000)*time.Minute)
	e.Vehicle = cmp.Or(e.Vehicle, "heron")
	e.Batch, e.Date, e.By = journaltest.ID(n/10*10), civil.MustParse(date), "Annabel"
	return &e
}

// full is a yard with a vehicle that has something of all there is, and another one.
func full(t *testing.T) *aYard {
	a := newYard(t)
	a.vehicle("heron", "four-transverse-petrol")
	a.vehicle("secretivebird", "four-transverse-petrol")
	cost, far := units.MustParse("38.77 EUR"), units.MustParse("98200 km")
	kept, taken := a.attach(photo(10), "image/jpeg"), a.attach(photo(90), "image/jpeg")
	noise, other := a.attach(sound(), belt.SoundType), a.attach(photo(200), "image/jpeg")
	a.append(
		entry(1, "2026-03-01", fleet.Entry{Type: fleet.TypeOdometer, Odometer: &far}),
		entry(2, "2026-03-01", fleet.Entry{Type: fleet.TypeFitted, Fitted: &fleet.Fitted{Position: "main-belt",
			Part: fleet.PartSpec{Name: "ribbed belt", Cost: &cost, Supplier: "Shop in the Lane"}}}),
		entry(3, "2026-03-02", fleet.Entry{Type: fleet.TypePicture, Picture: &fleet.Picture{Hash: kept,
			Position: "main-belt"}}),
		entry(4, "2026-03-02", fleet.Entry{Type: fleet.TypePicture, Picture: &fleet.Picture{Hash: taken,
			Text: "my house"}}),
		entry(5, "2026-03-03", fleet.Entry{Type: fleet.TypeCorrection, Correction: &fleet.Correction{
			Of: journaltest.ID(4), Withdraw: true, Why: "shows my house"}}),
		entry(6, "2026-03-04", fleet.Entry{Type: fleet.TypeNote, Note: &fleet.Note{Text: "squeals",
			Position:    "main-belt",
			Attachments: []string{noise}}}),
		entry(7, "2026-03-05", fleet.Entry{Type: fleet.TypeDone, Done: &fleet.Done{What: "tightened",
			Positions: []string{"main-belt"}, Cost: &cost, Minutes: 5}}),
		entry(8, "2026-03-06", fleet.Entry{Type: fleet.TypeBought,
			Bought: &fleet.Bought{Positions: []string{"main-belt"},
				Number: "6PK", Supplier: "Shop in the Lane", Cost: &cost}}),
		entry(9, "2026-03-06", fleet.Entry{Type: fleet.TypeFound, Found: &fleet.Found{Position: "main-belt",
			Check: "cracks", Answer: "none"}}),
		entry(20, "2026-03-07", fleet.Entry{Type: fleet.TypeNote, Note: &fleet.Note{Text: "first wording"}}),
		entry(21, "2026-03-08", fleet.Entry{Type: fleet.TypeCorrection,
			Correction: &fleet.Correction{Of: journaltest.ID(20),
				Instead: &fleet.Entry{Format: 1, Type: fleet.TypeNote, Vehicle: "heron",
					Date: civil.MustParse("2026-03-07"),
					By:   "Annabel", Note: &fleet.Note{Text: "better wording"}}}}),
		entry(30, "2026-03-09", fleet.Entry{Vehicle: "secretivebird", Type: fleet.TypePicture,
			Picture: &fleet.Picture{Hash: other, Text: "private affair"}}),
	)
	if err := os.WriteFile(filepath.Join(a.dir, "yard.yaml"), []byte("yard: Hidden yard name\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	return a
}

func TestAnotherYardSaysTheSame(t *testing.T) {
	a, b := full(t), newYard(t)
	got := b.mustTake(a.give("heron", Leave{}))
	if got.Here != "heron" || got.Joins || !got.Sheet || got.Added != 9 || got.Pictures != 2 || got.Withdrawn != 1 {
		t.Errorf("%+v", got)
	}
	if a, b := a.told("heron"), b.told("heron"); a != b {
		t.Errorf("the two yards differ:\n%s\n%s", a, b)
	}
	if problems, err := journal.Verify(t.Context(), b.s, nil); err != nil || len(problems) > 0 {
		t.Error(problems, err)
	}
	theirs, _ := os.ReadFile(yard.SheetPath(a.dir, "heron"))
	if ours, _ := os.ReadFile(yard.SheetPath(b.dir, "heron")); !bytes.Equal(ours, theirs) {
		t.Error("the sheet is not the same")
	}
}

func TestNothingElseGoesAlong(t *testing.T) {
	a := full(t)
	never := []string{"secretivebird", "Hidden yard", "private affair", "my house", "anna.jpg", "devices"}
	left := []string{"38.77", "4321", "77 EUR", "Annabel", "Shop in the Lane"}
	src, err := os.ReadFile(a.give("heron", all))
	if err != nil {
		t.Fatal(err)
	}
	with, err := os.ReadFile(a.give("heron", Leave{}))
	if err != nil {
		t.Fatal(err)
	}
	for _, words := range append(never, left...) {
		if bytes.Contains(src, []byte(words)) {
			t.Errorf("%q goes along", words)
		}
		if leave := slices.Contains(left, words); leave != bytes.Contains(with, []byte(words)) {
			t.Errorf("%q with everything: %v", words, !leave)
		}
	}
	for shade, want := range map[uint8]bool{10: true, 90: false, 200: false} {
		if bytes.Contains(src, photo(shade)) != want {
			t.Errorf("the picture of shade %d goes along: %v", shade, !want)
		}
	}
	for _, words := range []string{"# its own costs", "hours: 3", "better wording", "It proves neither"} {
		if !bytes.Contains(src, []byte(words)) {
			t.Errorf("%q does not go along", words)
		}
	}
}

func TestTwiceDoublesNothing(t *testing.T) {
	a, b := full(t), newYard(t)
	b.vehicle("heron", "four-transverse-petrol") // another vehicle of that name
	b.append(entry(500, "2026-01-01", fleet.Entry{Type: fleet.TypeNote, Note: &fleet.Note{Text: "ours"}}))
	ours := b.told("heron")
	name := a.give("heron", all)
	if got := b.mustTake(name); got.Here != "heron-2" || got.Added != 9 {
		t.Errorf("%+v", got)
	}
	before := b.everything()
	for _, name := range []string{name, a.give("heron", all), a.give("heron", Leave{})} {
		got := b.mustTake(name)
		if got.Here != "heron-2" || !got.Joins || got.Sheet || got.Added != 0 || got.Already != 9 || got.Pictures != 0 {
			t.Errorf("again: %+v", got)
		}
	}
	if b.everything() != before || b.told("heron") != ours {
		t.Error("taking it in again changed something")
	}
	if got := b.mustTake(a.give("heron", Leave{})); got.Fewer != 4 || got.Differs {
		t.Errorf("prices and names that are not here: %+v", got)
	}
}

func TestLentAndGivenBack(t *testing.T) {
	a, b := full(t), newYard(t)
	b.vehicle("heron", "four-transverse-petrol")
	b.append(entry(500, "2026-01-01", fleet.Entry{Type: fleet.TypeNote, Note: &fleet.Note{Text: "ours"}}))
	id := b.mustTake(a.give("heron", all)).Here
	n := entry(600, "2026-05-01", fleet.Entry{Vehicle: id, Type: fleet.TypeNote,
		Note: &fleet.Note{Text: "from the borrower"}})
	b.append(n)
	// Meanwhile its owner withdraws what the borrower has.
	a.append(entry(610, "2026-05-02", fleet.Entry{Type: fleet.TypeCorrection, Correction: &fleet.Correction{
		Of: journaltest.ID(7), Withdraw: true, Why: "private"}}))
	got := a.mustTake(b.give(id, Leave{}))
	if got.Here != "heron" || got.Added != 1 || got.Fewer != 0 || got.Differs {
		t.Errorf("%+v", got)
	}
	if !strings.Contains(a.told("heron"), "from the borrower") || !strings.Contains(a.told("heron"), "38.77") {
		t.Error("the owner lacks something")
	}
	if got := b.mustTake(a.give("heron", all)); got.Added != 1 || strings.Contains(b.told(id), "tightened") {
		t.Errorf("what was withdrawn stands with the borrower: %+v", got)
	}
}

// TestStandingAfterAnyHistory: what stands at the giver's stands at the taker's, however
// often it was corrected between two files.
func TestStandingAfterAnyHistory(t *testing.T) {
	for seed := range uint64(200) {
		random := rand.New(rand.NewPCG(seed, 5))
		var entries []*fleet.Entry
		theirs := map[string]*fleet.Entry{}
		for range 1 + random.IntN(3) {
			for range random.IntN(12) {
				n := len(entries)
				e := entry(n, "2026-03-01", fleet.Entry{Type: fleet.TypeNote,
					Note: &fleet.Note{Text: fmt.Sprint("note ", n)}})
				if n > 0 && random.IntN(2) == 0 {
					of := entries[random.IntN(n)]
					e.Type, e.Note = fleet.TypeCorrection, nil
					e.Correction = &fleet.Correction{Of: of.ID, Withdraw: true}
					if of.Correction == nil && random.IntN(2) == 0 {
						e.Correction = &fleet.Correction{Of: of.ID, Instead: &fleet.Entry{Type: fleet.TypeNote,
							Date: e.Date,
							Note: &fleet.Note{Text: fmt.Sprint("instead ", n)}}}
					}
				}
				entries = append(entries, e)
			}
			out, _ := given(entries)
			in := map[string]bool{}
			for _, e := range out {
				in[e.ID] = true
			}
			for _, e := range out {
				if e.Correction == nil || in[e.Correction.Of] || theirs[e.Correction.Of] != nil {
					theirs[e.ID] = e
				}
			}
		}
		var there []*fleet.Entry
		for _, e := range entries {
			if theirs[e.ID] != nil {
				there = append(there, e)
			}
		}
		want, got := journaltest.Text(fleet.Standing(entries)), journaltest.Text(fleet.Standing(there))
		if want != got {
			t.Fatalf("seed %d: there stands\n%s\nand should\n%s", seed, got, want)
		}
	}
}

// failing is a store whose transaction is lost at its end.
type failing struct{ *journal.Guarded }

func (f failing) Land(ctx context.Context, add func(journal.Landing) error) error {
	return f.Guarded.Land(ctx, func(l journal.Landing) error {
		return errors.Join(add(l), &fleet.Error{Kind: fleet.Unavailable, Msg: "the disk is full"})
	})
}

func TestAllOrNothing(t *testing.T) {
	a, b := full(t), newYard(t)
	name := a.give("heron", all)
	before := b.everything()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for _, o := range []Options{{Now: now, Room: 1e8}, {Now: now, Room: 10}, {Now: now, Room: 1e8, Look: true}} {
		var s Store = failing{b.s}
		if _, err := Take(t.Context(), b.yard(), s, f, "heron.tar", o); (err == nil) != o.Look {
			t.Errorf("%+v: %v", o, err)
		}
		if b.everything() != before {
			t.Errorf("%+v: something was written", o)
		}
	}
	// A sheet that a loss of power left without entries is taken up again.
	src, _ := os.ReadFile(yard.SheetPath(a.dir, "heron"))
	src, err = sheet.Without("heron", src, true, true)
	if err != nil {
		t.Fatal(err)
	}
	if err := yard.WriteNew(yard.SheetPath(b.dir, "heron"), src); err != nil {
		t.Fatal(err)
	}
	if got := b.mustTake(name); got.Here != "heron" || got.Added != 9 {
		t.Errorf("%+v", got)
	}
}

func TestAnEntryThatSaysSomethingElseIsRefused(t *testing.T) {
	a, b := full(t), newYard(t)
	b.mustTake(a.give("heron", all))
	c := newYard(t)
	c.vehicle("heron", "four-transverse-petrol")
	c.append(entry(6, "2026-03-04", fleet.Entry{Type: fleet.TypeNote, Note: &fleet.Note{Text: "purrs"}}))
	before := b.everything()
	_, err := b.take(c.give("heron", all))
	if fleet.KindOf(err) != fleet.Conflict || !strings.Contains(err.Error(), journaltest.ID(6)) ||
		b.everything() != before {
		t.Error(err)
	}
}

func harmed(random *rand.Rand, sound []byte) []byte {
	out := bytes.Clone(sound)
	at := random.IntN(len(out))
	n := min(1+random.IntN(3000), len(out)-at)
	switch random.IntN(6) {
	case 0:
		out = out[:at]
	case 1:
		clear(out[at : at+n])
	case 2:
		out = append(out[:at:at], out[at+n:]...)
	case 3:
		out = slices.Concat(out[:at+n], out[at:])
	case 4:
		from := random.IntN(len(out) - n + 1)
		copy(out[at:], bytes.Clone(out[from:from+n]))
	default:
		out[at] ^= 1 << random.IntN(8)
	}
	return out
}

func TestHarmedFilesAreRefusedWhole(t *testing.T) {
	a, b := full(t), newYard(t)
	src, err := os.ReadFile(a.give("heron", all))
	if err != nil {
		t.Fatal(err)
	}
	whole, err := read(bytes.NewReader(src), "heron.tar", now, false)
	if err != nil {
		t.Fatal(err)
	}
	many := 200
	if os.Getenv("UNDERTRAY_SOAK") != "" {
		many = 2000
	}
	before, y, passed := b.everything(), b.yard(), 0
	random := rand.New(rand.NewPCG(8, 16))
	for n := range many {
		bad := harmed(random, src)
		got, err := read(bytes.NewReader(bad), "heron.tar", now, false)
		if err == nil { // what differs carries nothing: padding, or what follows the end
			passed++
			if journaltest.Text(got.entries) != journaltest.Text(whole.entries) ||
				!bytes.Equal(got.sheet, whole.sheet) || !reflect.DeepEqual(got.about, whole.about) {
				t.Fatalf("harm %d passes and differs", n)
			}
			continue
		}
		_, err = Take(t.Context(), y, b.s, bytes.NewReader(bad), "heron.tar", Options{Now: now, Room: 1e8})
		var one *fleet.Error
		if !errors.As(err, &one) || one.Kind != fleet.Invalid || one.Where != "heron.tar" || one.Hint == "" ||
			strings.Contains(err.Error(), "\n") {
			t.Fatalf("harm %d: %v", n, err)
		}
	}
	if b.everything() != before {
		t.Error("something was written")
	}
	if passed > many/2 {
		t.Errorf("%d of %d harms passed", passed, many)
	}
	t.Logf("%d harmed, %d refused, %d carried nothing", many, many-passed, passed)
}

func TestDamageSaysWhere(t *testing.T) {
	a := full(t)
	src, err := os.ReadFile(a.give("heron", all))
	if err != nil {
		t.Fatal(err)
	}
	at := func(words string) int { return bytes.Index(src, []byte(words)) }
	for _, c := range []struct {
		at   int
		want string
	}{
		{at("better wording"), `"entries.jsonl", line 10`}, {at("its own costs"), `"vehicle.yaml"`},
		{at("Take it into"), `"READ-ME.txt"`}, {bytes.Index(src, photo(10)) + 300, `"pictures/`},
		{at(journaltest.ID(1)), `"entries.jsonl", line 1:`}, {at("WAVEfmt") + 30, `"recordings/`},
	} {
		bad := bytes.Clone(src)
		bad[c.at+2] ^= 1
		_, err := read(bytes.NewReader(bad), "heron.tar", now, false)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("at %d: %v; want %s", c.at, err, c.want)
		}
	}
}

// TestCraftedArchives: what was never written by this program.
func TestCraftedArchives(t *testing.T) {
	a, b := full(t), newYard(t)
	sound, err := os.ReadFile(a.give("heron", all))
	if err != nil {
		t.Fatal(err)
	}
	before := b.everything()
	craft := func(headers ...tar.Header) []byte {
		var out bytes.Buffer
		w := tar.NewWriter(&out)
		for _, h := range headers {
			if err := w.WriteHeader(&h); err != nil {
				t.Fatal(err)
			}
			w.Write(make([]byte, min(h.Size, 100)))
			w.Flush()
		}
		return out.Bytes()
	}
	sparse := craft(tar.Header{Name: entriesName, Size: 10, Typeflag: tar.TypeReg, Format: tar.FormatGNU})
	sparse[156] = tar.TypeGNUSparse
	copy(sparse[386:], "00000000000\x0000000000001\x00")
	copy(sparse[483:], "77777777777\x00") // what it says to grow to
	sum := 0
	copy(sparse[148:156], "        ")
	for _, c := range sparse[:512] {
		sum += int(c)
	}
	copy(sparse[148:], fmt.Sprintf("%06o\x00 ", sum))
	for name, src := range map[string][]byte{
		"empty": nil, "text": []byte("hello"), "gzip": append([]byte("\x1f\x8b\x08\x00"), sound...),
		"zip": append([]byte("PK\x03\x04"), make([]byte, 600)...), "zeros": make([]byte, 1<<20),
		"upwards":  craft(tar.Header{Name: "../../etc/x", Size: 5, Typeflag: tar.TypeReg}),
		"absolute": craft(tar.Header{Name: "/vehicle.yaml", Size: 5, Typeflag: tar.TypeReg}),
		"within":   craft(tar.Header{Name: "pictures/../vehicle.yaml", Size: 5, Typeflag: tar.TypeReg}),
		"link":     craft(tar.Header{Name: sheetName, Linkname: "/etc/passwd", Typeflag: tar.TypeSymlink}),
		"hardlink": craft(tar.Header{Name: sheetName, Linkname: "handover.json", Typeflag: tar.TypeLink}),
		"device":   craft(tar.Header{Name: sheetName, Typeflag: tar.TypeChar}),
		"folder":   craft(tar.Header{Name: "pictures/", Typeflag: tar.TypeDir}),
		"twice": craft(tar.Header{Name: aboutName, Size: 2, Typeflag: tar.TypeReg},
			tar.Header{Name: aboutName, Size: 2, Typeflag: tar.TypeReg}),
		"large": craft(tar.Header{Name: entriesName, Size: 1 << 40, Typeflag: tar.TypeReg, Format: tar.FormatGNU}),
		"pax": craft(tar.Header{Name: entriesName, Size: 5, Typeflag: tar.TypeReg, Format: tar.FormatPAX,
			PAXRecords: map[string]string{"UNDERTRAY.x": "y"}}),
		"sparse": sparse, "alone": craft(tar.Header{Name: readMeName, Size: 5, Typeflag: tar.TypeReg}),
	} {
		begun := time.Now()
		_, err := Take(t.Context(), b.yard(), b.s, bytes.NewReader(src), name, Options{Now: now, Room: 1e8})
		took := time.Since(begun)
		if fleet.KindOf(err) != fleet.Invalid || strings.Contains(err.Error(), "\n") || took > 3*time.Second {
			t.Errorf("%s: %v after %s", name, err, took)
		}
	}
	if b.everything() != before {
		t.Error("something was written")
	}
}

// TestForgedFiles: whole by their checksums, and against the rules.
func TestForgedFiles(t *testing.T) {
	a, b := full(t), newYard(t)
	sound, err := os.ReadFile(a.give("heron", all))
	if err != nil {
		t.Fatal(err)
	}
	before := b.everything()
	for name, c := range map[string]struct {
		file string
		do   func(src []byte) []byte
		want string
		kind fleet.ErrorKind
	}{
		"id with a path": {aboutName, change(`"vehicle": "heron"`, `"vehicle": "../heron"`), "not the short name",
			fleet.Invalid},
		"later format":  {aboutName, change(`handover": 1`, `handover": 2`), "format 2", fleet.TooNew},
		"another sheet": {sheetName, change("vehicle: heron", "vehicle: egret"), "the sheet of", fleet.Invalid},
		"no such kind":  {sheetName, change("kind: ribbed-belt", "kind: rubbish-belt"), "rubbish-belt", fleet.Invalid},
		"another vehicle": {entriesName, change(`"vehicle":"heron","date":"2026-03-04"`,
			`"vehicle":"egret","date":"2026-03-04"`), "line 5", fleet.Invalid},
		"to come": {entriesName, change(`"date":"2026-03-04"`, `"date":"2096-03-04"`), "in the future",
			fleet.Invalid},
		"not entries": {entriesName, func([]byte) []byte { return []byte("{}\n") }, "line 1", fleet.Invalid},
		"no entries":  {entriesName, func([]byte) []byte { return nil }, "holds 0 entries", fleet.Invalid},
	} {
		forged := forge(t, sound, c.file, c.do)
		_, err := Take(t.Context(), b.yard(), b.s, bytes.NewReader(forged), name, Options{Now: now, Room: 1e8})
		if fleet.KindOf(err) != c.kind || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if b.everything() != before {
		t.Error("something was written")
	}
}

func change(old, with string) func([]byte) []byte {
	return func(src []byte) []byte { return bytes.Replace(src, []byte(old), []byte(with), 1) }
}

// forge writes an archive anew with one file changed and its checksums along.
func forge(t *testing.T, src []byte, file string, do func([]byte) []byte) []byte {
	t.Helper()
	var out bytes.Buffer
	a := &archive{w: tar.NewWriter(&out), made: now}
	lines := []byte{}
	err := each(bytes.NewReader(src), "sound", func(h *tar.Header, r io.Reader) error {
		body, err := io.ReadAll(r)
		if h.Name == file {
			body = do(body)
		}
		if h.Name == lineSums || h.Name == sumsName {
			return err
		}
		if h.Name == entriesName {
			for line := range bytes.Lines(body) {
				lines = fmt.Appendf(lines, "%s\n", journal.SumOf(bytes.TrimSuffix(line, []byte("\n"))))
			}
			a.add(lineSums, lines)
		}
		a.add(h.Name, body)
		return err
	})
	a.add(sumsName, a.sums)
	if err = errors.Join(err, a.err, a.w.Close()); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}
