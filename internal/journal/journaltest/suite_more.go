package journaltest

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
)

// abcHash is the SHA-256 of "abc", an example published with FIPS 180-4.
const abcHash = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"

func mustPut(t *testing.T, s journal.Store, content, name, media string) string {
	t.Helper()
	hash, err := s.PutAttachment(t.Context(), strings.NewReader(content), name, media)
	if err != nil {
		t.Fatal(err)
	}
	return hash
}

func testAttachments(t *testing.T, s journal.Store) {
	if got := mustPut(t, s, "abc", `C:\pictures\belt.jpg`, "image/jpeg"); got != abcHash {
		t.Fatalf("hash %s, want %s", got, abcHash)
	}
	if got := mustPut(t, s, "abc", "again.png", "image/png"); got != abcHash {
		t.Fatalf("hash %s, want %s", got, abcHash)
	}
	other := mustPut(t, s, "other", "../../etc/passwd", "")
	a, err := s.Attachment(t.Context(), abcHash)
	if err != nil {
		t.Fatal(err)
	}
	want := &journal.Attachment{AttachmentInfo: journal.AttachmentInfo{Hash: abcHash, Name: "belt.jpg",
		Media: "image/jpeg", Size: 3}, Data: []byte("abc")}
	if diff := cmp.Diff(want, a); diff != "" {
		t.Errorf("the first name is kept (-want +got):\n%s", diff)
	}
	a.Data[0] = 'x' // belongs to the caller
	if _, err := s.Attachment(t.Context(), abcHash); err != nil {
		t.Error(err)
	}
	infos, err := s.Attachments(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	wantInfos := []journal.AttachmentInfo{want.AttachmentInfo,
		{Hash: other, Name: "passwd", Media: "application/octet-stream", Size: 5}}
	slices.SortFunc(wantInfos, func(a, b journal.AttachmentInfo) int { return strings.Compare(a.Hash, b.Hash) })
	if diff := cmp.Diff(wantInfos, infos); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// broken is a sender that fails.
type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, errors.New("line dropped") }

// endless sends zeros for ever.
type endless struct{}

func (endless) Read(p []byte) (int, error) { clear(p); return len(p), nil }

func testBadAttachments(t *testing.T, s journal.Store) {
	put := func(r io.Reader, name, media string) error {
		_, err := s.PutAttachment(t.Context(), r, name, media)
		return err
	}
	wantKind(t, put(strings.NewReader(""), "a.jpg", "image/jpeg"), fleet.Invalid, "empty")
	wantKind(t, put(endless{}, "a.jpg", "image/jpeg"), fleet.Invalid, "larger than 32 MB")
	wantKind(t, put(broken{}, "a.jpg", "image/jpeg"), fleet.Unavailable, "line dropped")
	wantKind(t, put(strings.NewReader("x"), "a.jpg", "picture"), fleet.Invalid, "media type")
	wantKind(t, put(strings.NewReader("x"), strings.Repeat("a", 256), "image/jpeg"), fleet.Invalid, "name")
	wantKind(t, put(strings.NewReader("x"), "\xff.jpg", "image/jpeg"), fleet.Invalid, "name")
	err := s.Land(t.Context(), func(l journal.Landing) error {
		_, err := l.Attach(&journal.Attachment{AttachmentInfo: journal.AttachmentInfo{Hash: abcHash},
			Data: []byte("abd")})
		return err
	})
	wantKind(t, err, fleet.Invalid, "does not match")
	for _, hash := range []string{abcHash, "", "abc"} {
		_, err = s.Attachment(t.Context(), hash)
		wantKind(t, err, fleet.NotFound, "no attachment")
	}
	if infos, err := s.Attachments(t.Context()); err != nil || len(infos) != 0 {
		t.Fatalf("attachments %v, %v; want none", infos, err)
	}
	exact := bytes.Repeat([]byte("x"), journal.MaxAttachment)
	if err := put(bytes.NewReader(exact), "a.bin", ""); err != nil {
		t.Fatalf("an attachment of just the greatest size: %v", err)
	}
}

func testConcurrent(t *testing.T, s journal.Store) {
	const writers, each = 4, 12
	var group sync.WaitGroup
	for w := range writers {
		group.Go(func() {
			vehicle := fmt.Sprintf("vehicle-%d", w)
			for i := range each {
				if _, err := s.Append(t.Context(),
					[]*fleet.Entry{Note(w*1000+i, vehicle), Note(900000+i, "shared")}); err != nil {
					t.Errorf("append: %v", err)
				}
				got, err := s.OfVehicle(t.Context(), vehicle)
				if err != nil || len(got) != i+1 {
					t.Errorf("%d entries of %s, %v; want %d", len(got), vehicle, err, i+1)
				}
			}
		})
	}
	group.Wait()
	wantCount(t, s, writers*each+each)
}

// testModel runs random landings against a map.
func testModel(t *testing.T, s journal.Store) {
	model := map[string]string{} // id to text
	next := 0
	rapid.Check(t, func(rt *rapid.T) {
		var entries []*fleet.Entry
		after := maps.Clone(model)
		added, clash := 0, false
		for range rapid.IntRange(1, 6).Draw(rt, "entries") {
			n := rapid.IntRange(max(0, next-8), next+8).Draw(rt, "n")
			e := Note(n, rapid.SampledFrom([]string{"heron", "egret"}).Draw(rt, "vehicle"))
			e.Note.Text = rapid.SampledFrom([]string{"dry", "wet"}).Draw(rt, "text")
			entries = append(entries, e)
			says := e.Vehicle + " " + e.Note.Text
			old, taken := after[e.ID]
			clash = clash || taken && old != says
			if !taken {
				after[e.ID] = says
				added++
			}
		}
		next += 2
		got, err := s.Append(t.Context(), entries)
		if clash {
			if fleet.KindOf(err) != fleet.Conflict {
				rt.Fatalf("error %v, want a conflict", err)
			}
		} else if model = after; err != nil || got != added {
			rt.Fatalf("added %d, %v; want %d", got, err, added)
		}
		compareModel(t, rt, s, model)
	})
}

func compareModel(t *testing.T, rt *rapid.T, s journal.Store, model map[string]string) {
	for _, vehicle := range []string{"heron", "egret"} {
		entries, err := s.OfVehicle(t.Context(), vehicle)
		if err != nil {
			rt.Fatal(err)
		}
		var want, got []string
		for _, id := range slices.Sorted(maps.Keys(model)) {
			if strings.HasPrefix(model[id], vehicle) {
				want = append(want, id+" "+model[id])
			}
		}
		for _, e := range entries {
			got = append(got, e.ID+" "+e.Vehicle+" "+e.Note.Text)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			rt.Fatalf("%s (-want +got):\n%s", vehicle, diff)
		}
	}
}

func testVerify(t *testing.T, s journal.Store) {
	verify := func(check func([]*fleet.Entry) []journal.Problem) []string {
		problems, err := journal.Verify(t.Context(), s, check)
		if err != nil {
			t.Fatal(err)
		}
		out := []string{}
		for _, p := range problems {
			if p.Hint == "" {
				t.Errorf("%v: no hint", p)
			}
			out = append(out, p.String())
		}
		return out
	}
	mustAppend(t, s, EveryType(0, "heron", mustPut(t, s, "abc", "belt.jpg", "image/jpeg"))...)
	if got := verify(nil); len(got) > 0 {
		t.Fatalf("a sound journal has problems: %q", got)
	}

	lost := Note(50, "heron")
	lost.Note.Attachments = []string{strings.Repeat("0", 64)}
	orphan := Note(51, "heron")
	orphan.Type, orphan.Note, orphan.Correction = fleet.TypeCorrection, nil,
		&fleet.Correction{Of: ID(77), Withdraw: true}
	wrong := Note(52, "egret")
	wrong.Type, wrong.Note, wrong.Correction = fleet.TypeCorrection, nil, &fleet.Correction{Of: ID(0), Withdraw: true}
	late := Note(53, "heron")
	late.Batch = ID(0)
	mustAppend(t, s, lost, orphan, wrong, late)
	got := verify(func(entries []*fleet.Entry) []journal.Problem {
		return []journal.Problem{{Where: "domain", Msg: message.Of("%d entries seen", len(entries)), Hint: "none"}}
	})
	want := []string{
		"entry " + ID(53) + ": batch: the entries of batch " + ID(0) + " did not land together",
		"entry " + ID(51) + ": correction.of: it corrects entry " + ID(77) + ", which is not in the journal",
		"entry " + ID(52) + ": correction.of: it is about egret and corrects an entry about heron",
		"entry " + ID(50) + ": attachments: attachment " + strings.Repeat("0", 64) + " is not in the journal",
		"domain: 18 entries seen",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}
