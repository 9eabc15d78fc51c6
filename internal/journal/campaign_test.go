package journal_test

import (
	"bufio"
	"context"
	"database/sql"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/journal/pgtest"
)

// soak reports whether the long campaigns are asked for, as make soak does.
func soak() bool { return os.Getenv("UNDERTRAY_SOAK") != "" }

// tenth is how many cases an ordinary check takes of so many: the first of the same row.
func tenth(all int) int {
	if soak() {
		return all
	}
	return all / 10
}

// keepAsOther says how many entries are there, keeps visit after visit and says
// which have been kept.
func keepAsOther(address string) {
	ctx := context.Background()
	s, err := journal.Open(ctx, address, journal.Options{Create: true})
	if err == nil {
		var n int
		n, err = s.Count(ctx)
		fmt.Println(n)
		for n /= 11; err == nil; n++ {
			if _, _, err = s.Keep(ctx, visitFrom(11*n)); err == nil {
				fmt.Println(11 * (n + 1))
			}
		}
	}
	fmt.Println("error", err)
}

// TestCrashCampaign kills a program that keeps visits, again and again: every
// visit that was reported is there, once and whole, and at most one that was
// not. In memory nothing waits for the disk: there the kills strike between the
// points at which it is waited for.
func TestCrashCampaign(t *testing.T) {
	kills, most := 1<<30, 7*time.Second
	if soak() {
		kills, most = 2000, time.Hour
	}
	memory := t.TempDir()
	if dir, err := os.MkdirTemp("/dev/shm", "undertray-"); err == nil {
		t.Cleanup(func() { os.RemoveAll(dir) })
		memory = dir
	}
	for name, place := range map[string]func(n int) string{
		"file":           func(n int) string { return filepath.Join(t.TempDir(), fmt.Sprint(n)) },
		"file in memory": func(n int) string { return filepath.Join(memory, fmt.Sprint(n)) },
		"database":       func(int) string { return pgtest.Address(t) },
	} {
		t.Run(name, func(t *testing.T) {
			done, visits := 0, 0
			for begun := time.Now(); done < kills && time.Since(begun) < most; {
				n := min(200, kills-done)
				n, landed := campaign(t, place(done), n, begun.Add(most))
				done, visits = done+n, visits+landed
			}
			t.Logf("%d kills, %d visits", done, visits)
		})
	}
}

// campaign kills a program so many times and returns how often it was killed until
// the end, and how many visits it kept. A journal that grows without end would be
// counted ever more slowly: each campaign has one of its own.
func campaign(t *testing.T, address string, kills int, end time.Time) (done, visits int) {
	s, err := journal.Open(t.Context(), address, journal.Options{Create: true})
	if err != nil {
		t.Fatal(err)
	}
	s.Close()
	told, start := 0, 50*time.Millisecond
	for ; done < kills && time.Now().Before(end); done++ {
		there, said, first := killed(t, address, start)
		if there < 0 {
			continue // it died before it had looked
		}
		if there%11 != 0 || there < told || there > told+11 {
			t.Fatalf("kill %d: %d entries are there, %d were reported", done, there, told)
		}
		if told = max(there, said); first > 0 {
			start = (7*start + first) / 8
		}
	}
	s, err = journal.Open(t.Context(), address, journal.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	n, err := s.Count(t.Context())
	if err != nil || n%11 != 0 || n < told || n > told+11 {
		t.Fatalf("%d entries are there, %v; %d were reported", n, err, told)
	}
	if err := s.Alarm(); err != nil {
		t.Fatal(err)
	}
	wantSound(t, s)
	return done, n / 11
}

// killed lets another program keep visits and kills it: now and then while it opens
// the journal or keeps the first, which takes about start in all, else a few landings
// later. It returns how many entries the program found, -1 where it died before, and
// how many it reported last, and what passed until the first report, 0 for none.
func killed(t *testing.T, address string, start time.Duration) (there, told int, first time.Duration) {
	cmd := command(t, "keep", address, false)
	out, err := cmd.StdoutPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	begun := time.Now()
	kill := func(after time.Duration) { time.AfterFunc(after, func() { cmd.Process.Kill() }) }
	early := rand.IntN(3) == 0
	if early {
		kill(rand.N(start))
	}
	said := 0
	for lines := bufio.NewScanner(out); lines.Scan(); said++ {
		if _, err := fmt.Sscan(lines.Text(), &told); err != nil {
			t.Errorf("the other program says %q", lines.Text())
		}
		switch said {
		case 0:
			there = told
		case 1:
			first = time.Since(begun)
			kill(rand.N(10 * time.Millisecond))
		}
	}
	if said == 0 {
		there = -1
	}
	cmd.Wait()
	return there, told, first
}

// TestPowerLoss cuts the power at 5 000 points, a tenth of them in an ordinary
// check. What SQLite has synced is on the disk; of what it wrote since, any part
// may be: the log ends anywhere, the rest of it is what was there before, zeros
// or other bits. Every landing that was
// reported is there, and each is whole. Likewise while the log is brought into
// the file: any of its pages may be old or new.
func TestPowerLoss(t *testing.T) {
	const landings = 40
	dir := t.TempDir()
	path := filepath.Join(dir, "journal.db")
	s := mustOpen(t, path, journal.Options{Create: true})
	synced := make([]int64, landings+1) // length of the log after so many landings
	for n := range landings {
		synced[n] = sizeOf(t, path+"-wal")
		mustAppend(t, s, visitFrom(11*n)...)
	}
	synced[landings] = sizeOf(t, path+"-wal")
	before, log := read(t, path), read(t, path+"-wal")
	s.Close() // brings the log into the file
	after := read(t, path)
	random := rand.New(rand.NewPCG(5, 6))
	scratch := filepath.Join(dir, "cut.db")
	for n := range tenth(5000) {
		kept, file, wal := random.IntN(landings+1), before, log
		if n%4 == 3 {
			kept, file = landings, mixed(random, before, after)
		} else if kept < landings {
			wal = torn(random, log, synced[kept], synced[kept+1])
		}
		lay(t, scratch, file, wal)
		got := visitsIn(t, scratch, n%250 == 0)
		if got != kept && (got != kept+1 || kept == landings) {
			t.Fatalf("cut %d: %d landings are there of %d that were reported", n, got, kept)
		}
	}
}

func sizeOf(t *testing.T, path string) int64 {
	info, err := os.Stat(path)
	if err != nil {
		return 0
	}
	return info.Size()
}

func read(t *testing.T, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// torn returns the log as it may be found where it was synced up to one length
// and written up to another.
func torn(random *rand.Rand, log []byte, synced, written int64) []byte {
	out := append([]byte(nil), log[:written]...)
	if random.IntN(3) == 0 {
		return out[:synced+random.Int64N(written-synced+1)]
	}
	const sector = 512
	for at := synced; at < written; at += sector {
		part := out[at:min(at+sector, written)]
		switch random.IntN(4) {
		case 0:
			clear(part)
		case 1:
			for i := range part {
				part[i] = byte(random.Uint32())
			}
		}
	}
	return out
}

// mixed returns the file with some of its pages as they are after the log was
// brought in.
func mixed(random *rand.Rand, before, after []byte) []byte {
	const page = 4096
	out := append([]byte(nil), after...)
	for at := 0; at < len(after); at += page {
		if random.IntN(2) == 0 {
			clear(out[at:min(at+page, len(out))])
			if at < len(before) {
				copy(out[at:at+page], before[at:])
			}
		}
	}
	return out
}

func lay(t *testing.T, path string, file, wal []byte) {
	t.Helper()
	for name, content := range map[string][]byte{path: file, path + "-wal": wal} {
		if err := os.WriteFile(name, content, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	os.Remove(path + "-shm")
}

// visitsIn counts the landings in a file as any program that opens it would, and
// wants each to be whole.
func visitsIn(t *testing.T, path string, verify bool) int {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+path+"?_pragma=synchronous(off)")
	if err != nil {
		t.Fatal(err)
	}
	var n, landings int
	err = db.QueryRow("SELECT count(*), count(DISTINCT landing) FROM entries").Scan(&n, &landings)
	if err != nil || n != 11*landings {
		t.Fatalf("%d entries of %d landings, %v", n, landings, err)
	}
	db.Close()
	if verify {
		s := mustOpen(t, path, journal.Options{})
		wantSound(t, s)
		s.Close()
	}
	return landings
}
