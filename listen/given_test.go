package listen

import (
	"cmp"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"undertray.example/undertray/internal/given"
)

// givenRecord is a record of either collection, asked about the bearing its sensor sits at.
type givenRecord struct {
	name, file, bearing string
	want                Element // NoElement: sound
	rpm                 float64
	flaw                string // records of one flaw at several loads share it
}

// doubted are the records of which the label is doubted by their own collection's readers (W. A. Smith, R. B. Randall,
// Mechanical Systems and Signal Processing 64-65, 2015, 100-131, from memory) and by what is heard in them.
var doubted = []string{"118", "119", "120", "121", "197", "198", "199", "200"}

func givenRecords(t testing.TB) []givenRecord {
	t.Helper()
	dir := given.Data(t, "data", "listening-hard")
	elements := map[string]Element{"BSF": RollingOrCage, "BPFO": OuterRing, "BPFI": InnerRing}
	beside := map[string]string{"6203": "6205", "6205": "6203"}
	var out []givenRecord
	for _, r := range given.Table(t, "data", "listening-hard", "index.csv") {
		name := strings.TrimSuffix(r[1], ".wav")
		q := givenRecord{name, filepath.Join(dir, r[1]), r[2], elements[r[4]], given.Number(t, r[7]), flawOf(r[0])}
		if r[3] == "other" {
			q.bearing, q.want, q.flaw = beside[q.bearing], NoElement, q.flaw+" beside"
		}
		out = append(out, q)
	}
	_, recs := collection(t)
	for _, r := range recs {
		out = append(out, givenRecord{r.name, r.file, r.bearing, r.want(), r.rpm, r.name})
	}
	return out
}

func flawOf(record string) string {
	for _, f := range []string{"118 119 120 121", "144 145 146 147", "197 198 199 200", "290 291 292 293",
		"298 299 300 301", "302 305 306 307"} {
		if strings.Contains(f, record) {
			return f
		}
	}
	return record
}

// givenAnswers are the answers to all given records, had once.
var givenAnswers = sync.OnceValues(func() ([]Diagnosis, error) {
	t := &testing.T{}
	all := givenRecords(t)
	out := make([]Diagnosis, len(all))
	errs := make([]error, len(all))
	parallel(len(all), func(i int) {
		f, err := os.Open(all[i].file)
		if err != nil {
			errs[i] = err
			return
		}
		defer f.Close()
		rec, err := ReadWAV(f)
		if err == nil {
			bs := []Bearing{shelf[all[i].bearing]}
			out[i], err = DiagnoseWith(rec, RPM(all[i].rpm, meterTolerance), bs, laboratory)
		}
		errs[i] = err
	})
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return out, nil
})

func answersGiven(t testing.TB) ([]givenRecord, []Diagnosis) {
	t.Helper()
	all := givenRecords(t)
	ds, err := givenAnswers()
	if err != nil {
		t.Fatal(err)
	}
	return all, ds
}

func givenTold(t testing.TB) []told {
	all, ds := answersGiven(t)
	var out []told
	for i, r := range all {
		out = append(out, tell(ds[i], r.want != NoElement, r.want, r.flaw))
	}
	return out
}

// verdict of an answer: right, mute or wrong about the element; a sound bearing is right where nothing is said of it.
func verdict(d Diagnosis, want Element) string {
	switch {
	case want == NoElement && d.Outcome != Named && d.Outcome != Flawed:
		return "right"
	case want == NoElement:
		return "wrong"
	case d.Outcome == Named && d.Element == want:
		return "right"
	case d.Outcome == Named:
		return "wrong"
	}
	return "mute"
}

// TestGiven holds the answers to the given records against their labels and against the plain way in scipy: no element
// is wrongly called most likely, at most one is wrongly named, more are right than the plain way has, and no sound
// bearing beside a flawed one is accused.
func TestGiven(t *testing.T) {
	all, ds := answersGiven(t)
	plain := plainAnswers(t, all)
	var own, other tally
	for i, r := range all {
		d := ds[i]
		v := verdict(d, r.want)
		mark := ""
		if slices.Contains(doubted, strings.SplitN(r.name, "_", 2)[0]) {
			mark = "label doubted"
		}
		t.Logf("%-13s %s %-22s | %-5s | flawed %.2f %-11s | %-8s %-22s %.2f %-11s %v | plain: %-22s %-5s %s", r.name,
			r.bearing, r.want, v, d.Flaw, d.FlawSure(), d.Outcome, d.Element, elementP(d), d.ElementSure(),
			d.Elements, plain[i], plainVerdict(plain[i], r.want), mark)
		own.add(v, r.want)
		other.add(plainVerdict(plain[i], r.want), r.want)
		if v == "wrong" && (r.want == NoElement || d.ElementSure() == MostLikely) {
			t.Errorf("%s: %s %s of the %s, %s", r.name, d.ElementSure(), d.Element, d.Bearings, d.FlawSure())
		}
	}
	t.Logf("here: %+v, the plain way: %+v", own, other)
	checkGivenTable(t, all, ds, plain)
	if own.wrong > 1 {
		t.Errorf("%d wrong names", own.wrong)
	}
	if own.right <= other.right {
		t.Errorf("%d flaws named rightly, the plain way %d", own.right, other.right)
	}
}

// givenHead is over the table of docs/listening.md that says what became of each given record.
const givenHead = "| record | label | flawed | element | verdict | plain |\n|---|---|---|---|---|---|\n"

// checkGivenTable holds the table of docs/listening.md against the answers; -update writes it.
func checkGivenTable(t *testing.T, all []givenRecord, ds []Diagnosis, plain []Element) {
	t.Helper()
	var b strings.Builder
	for i, r := range all {
		label := shortElement(r.want, "sound")
		if slices.Contains(doubted, strings.SplitN(r.name, "_", 2)[0]) {
			label += " (doubted)"
		}
		parts := strings.Split(r.name, "_") // record, end, own or other
		flawed, element := tableWords(ds[i])
		fmt.Fprintf(&b, "| %s as %s | %s | %s | %s | %s | %s, %s |\n", strings.Join(slices.Compact([]string{parts[0],
			parts[len(parts)-1]}), " "), r.bearing, label, flawed, element, verdict(ds[i], r.want),
			shortElement(plain[i], "none"), plainVerdict(plain[i], r.want))
	}
	page := filepath.Join("..", "docs", "listening.md")
	src, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, found := strings.Cut(string(src), givenHead)
	have, after, _ := strings.Cut(rest, "\n\n")
	switch {
	case !found:
		t.Errorf("%s has no table of the given records", page)
	case *update:
		if err := os.WriteFile(page, []byte(before+givenHead+b.String()+"\n"+after), 0o644); err != nil {
			t.Fatal(err)
		}
	case have+"\n" != b.String():
		t.Errorf("%s is of another form; go test ./listen -run TestGiven -update writes\n%s", page, b.String())
	}
}

func shortElement(e Element, none string) string {
	return map[Element]string{NoElement: none, OuterRing: "outer", InnerRing: "inner", RollingOrCage: "ball or cage"}[e]
}

// tableWords are the two parts of an answer.
func tableWords(d Diagnosis) (flawed, element string) {
	if len(d.Elements) == 0 {
		return string(d.Why), "-"
	}
	names := make([]string, len(d.Elements))
	for i, b := range d.Elements {
		names[i] = shortElement(b.Element, "")
	}
	flawed = fmt.Sprintf("%s, %.2f", cmp.Or(d.FlawSure().String(), "not said"), d.Flaw)
	switch {
	case d.Outcome == Named:
		element = fmt.Sprintf("%s, %s, %.2f", d.ElementSure(), names[0], d.Elements[0].P)
		if len(names) > 1 {
			element += "; " + strings.Join(names[1:], " and ") + " beside"
		}
	case d.Why == TwoOut:
		element = names[0] + " or " + names[1]
		if d.Elements[0].Element == RollingOrCage || d.Elements[1].Element == RollingOrCage {
			element = names[0] + ", or " + names[1]
		}
	case d.Outcome == Flawed:
		element = "left open"
	default:
		element = "-"
	}
	return flawed, element
}

// tally of verdicts about flawed bearings, and of sound ones accused.
type tally struct{ right, mute, wrong, accused int }

func (c *tally) add(v string, want Element) {
	switch {
	case want == NoElement && v == "wrong":
		c.accused++
	case want == NoElement:
	case v == "right":
		c.right++
	case v == "mute":
		c.mute++
	default:
		c.wrong++
	}
}

// elementP is the probability of the best match's element.
func elementP(d Diagnosis) float64 {
	for _, b := range d.Elements {
		if b.Element == d.Element {
			return b.P
		}
	}
	return 0
}

func plainVerdict(got, want Element) string {
	switch {
	case got == want:
		return "right"
	case got == NoElement:
		return "mute"
	}
	return "wrong"
}

// plainAnswers are those of testdata/kurtogram.py.
func plainAnswers(t *testing.T, all []givenRecord) []Element {
	t.Helper()
	var jobs [][]any
	for _, r := range all {
		k, err := shelf[r.bearing].Rates()
		if err != nil {
			t.Fatal(err)
		}
		jobs = append(jobs, []any{r.file, r.rpm / 60,
			map[string]float64{"outer": k.Outer, "inner": k.Inner, "ball": 2 * k.Spin, "cage": k.Cage}})
	}
	in, err := json.Marshal(jobs)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "jobs.json")
	if err := os.WriteFile(file, in, 0o600); err != nil {
		t.Fatal(err)
	}
	var names []string
	if err := json.Unmarshal(scipy(t, "testdata/kurtogram.py", file), &names); err != nil || len(names) != len(all) {
		t.Fatal(err, len(names))
	}
	elements := map[string]Element{"outer": OuterRing, "inner": InnerRing, "ball": RollingOrCage, "cage": RollingOrCage}
	out := make([]Element, len(all))
	for i, n := range names {
		out[i] = elements[n]
	}
	return out
}

// TestLeftOut fits anew without the records of one flaw at a time and asks about those: what is said of a record does
// not rest on its own label.
func TestLeftOut(t *testing.T) {
	all, ds := answersGiven(t)
	given := givenTold(t)
	var c tally
	for i, r := range all {
		if !given[i].reached {
			c.add(verdict(ds[i], r.want), r.want)
			continue
		}
		rest := slices.DeleteFunc(slices.Clone(given), func(q told) bool { return q.what == r.flaw })
		d := ds[i]
		d.Outcome = Named
		d.Elements = slices.Clone(d.Elements)
		d.believeBy(fitted(t, rest))
		v := verdict(d, r.want)
		c.add(v, r.want)
		t.Logf("%-13s %-22s %-5s flawed %.2f, %s %.2f", r.name, r.want, v, d.Flaw, d.Element, elementP(d))
		if v == "wrong" && (r.want == NoElement || d.ElementSure() == MostLikely) {
			t.Errorf("%s: %s named, most likely, or a sound bearing accused", r.name, d.Element)
		}
	}
	t.Logf("%+v", c)
	if c.wrong > 1 || c.accused > 0 {
		t.Errorf("left out: %+v", c)
	}
}

// TestHarmed: a recording clipped at its rms, or left with four bits, is noticed, and nothing of it is called most
// likely; no element is named wrongly. Records take turns at the two.
func TestHarmed(t *testing.T) {
	all := givenRecords(t)
	ds := make([]Diagnosis, len(all))
	kinds := []WarningKind{Clipped, Coarse}
	parallel(len(all), func(i int) {
		rec := readFile(t, all[i].file).Part(0, 5)
		x := rec.Mono()
		if i%2 == 0 {
			clipAt(x, rms(x))
		} else {
			coarsen(x, 4)
		}
		var err error
		ds[i], err = DiagnoseWith(Recording{Rate: rec.Rate, Channels: [][]float64{x}}, RPM(all[i].rpm, meterTolerance),
			[]Bearing{shelf[all[i].bearing]}, laboratory)
		if err != nil {
			t.Error(err)
		}
	})
	counts := map[string]int{}
	for i, d := range ds {
		v := verdict(d, all[i].want)
		counts[kinds[i%2].String()+" "+v]++
		if !warned(d.Warnings, kinds[i%2]) {
			t.Errorf("%s: %s not noticed: %v", all[i].name, kinds[i%2], d.Warnings)
		}
		if d.FlawSure() == MostLikely || d.ElementSure() == MostLikely || d.Firm || v == "wrong" {
			t.Errorf("%s: %s, %s the %s, %s flawed", all[i].name, v, d.ElementSure(), d.Element, d.FlawSure())
		}
	}
	t.Logf("%v", counts)
}

// TestCutTops: what was clipped and then filtered has no flat tops and is noticed all the same; noise, knocks and a
// machine's lines are not taken for it.
func TestCutTops(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	x := make([]float64, 48000)
	for i := range x {
		x[i] = rng.NormFloat64()
	}
	if s := cutTops(x); s != 0 {
		t.Errorf("noise: %.3f", s)
	}
	if s := cutTops(drifting(30, 0, 3.0531, 4).Channels[0]); s != 0 {
		t.Errorf("knocks: %.3f", s)
	}
	low := cutBand(Recording{Rate: 48000, Channels: [][]float64{x}}, 0, 4000)
	clipAt(low.Channels[0], 0.7*rms(low.Channels[0]))
	y := cutBand(low, 0, 20000).Channels[0]
	if s := cutTops(y); s < 0.05 {
		t.Errorf("clipped and filtered: %.3f", s)
	}
}

// TestFewValues: 6 bits at full scale are few, 9 are not.
func TestFewValues(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 5))
	for bits, want := range map[int]bool{4: true, 6: true, 9: false} {
		x := make([]float64, 48000)
		for i := range x {
			x[i] = 2*rng.Float64() - 1
		}
		coarsen(x, bits)
		w, err := Recording{Rate: 48000, Channels: [][]float64{x}}.Check()
		if err != nil || warned(w, Coarse) != want {
			t.Errorf("%d bits: %v %v", bits, w, err)
		}
	}
}

// TestFalseSpeedOfGiven: no bearing is called flawed at a speed that is wrong. Each record takes one of the sixteen
// factors in turn; UNDERTRAY_SOAK tries all on each.
func TestFalseSpeedOfGiven(t *testing.T) {
	all := givenRecords(t)
	type job struct {
		r givenRecord
		f float64
	}
	var jobs []job
	for i, r := range all {
		if os.Getenv("UNDERTRAY_SOAK") == "" {
			jobs = append(jobs, job{r, wrongSpeeds(i)[i/8%2]})
			continue
		}
		for k := range 8 {
			for _, f := range wrongSpeeds(k) {
				jobs = append(jobs, job{r, f})
			}
		}
	}
	parallel(len(jobs), func(i int) {
		j := jobs[i]
		d, err := DiagnoseWith(readFile(t, j.r.file), RPM(j.r.rpm*j.f, meterTolerance), []Bearing{shelf[j.r.bearing]},
			laboratory)
		if err != nil {
			t.Error(err)
			return
		}
		if d.Outcome == Named || d.Outcome == Flawed {
			t.Errorf("%s at %.2f times its speed: %s %s, flawed %.2f", j.r.name, j.f, d.Outcome, d.Element, d.Flaw)
		}
	})
	t.Logf("%d answers", len(jobs))
}
