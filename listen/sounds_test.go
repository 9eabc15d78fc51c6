package listen

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
)

// Sounds of a belt drive, made up from what the literature says of each (none is a recording), in place of the
// bearing flaw of simulate_test.go and beside all the rest of it, the sound alternator's whine included:
//
//   - chirp: bursts of 8 to 20 ms once per pass of the belt or once per turn of a pulley, uneven by 30 %, every
//     tenth missing, their moments scattered by 1 % of the period; every second one a burst of noise, the others of
//     a tone of 2.5 to 5 kHz.
//   - squeal: a tone of 1.8 to 4.5 kHz that wanders by itself by some 0.3 %, with two harmonics, uneven by 20 %;
//     every second one comes and goes with a load of seconds.
//   - whine: a tone and a weaker octave at 36 per turn of the alternator, at the steering pump's ten vanes' third
//     harmonic or, as from some bearing or gear not on the sheet, at 60 to 160 per crank turn.
//   - rumble: noise about two resonances of 250 to 900 Hz that swells once per turn of a pulley by 30 to 80 %, as a
//     worn bearing under a belt's pull.
func (s *simulation) belted(turns []float64, d Drive) []float64 {
	p := d.Pulleys[s.rng.IntN(len(d.Pulleys))]
	s.from = p.Name
	ratio := p.Ratio * (1 + 0.007*s.rng.NormFloat64())
	switch s.sound {
	case "chirp":
		if s.rng.IntN(2) == 0 {
			s.from = "belt"
			ratio = d.BeltPass * (1 + 0.005*s.rng.NormFloat64())
		}
		return s.chirp(turns, ratio)
	case "squeal":
		s.from = ""
		return s.squeal(len(turns))
	case "whine":
		s.from = ""
		order := []float64{36 * d.Pulleys[0].Ratio, 30 * d.Pulleys[4].Ratio,
			60 + 100*s.rng.Float64()}[s.rng.IntN(3)] * (1 + 0.007*s.rng.NormFloat64())
		x := make([]float64, len(turns))
		for i, t := range turns {
			x[i] = math.Sin(2*math.Pi*order*t) + 0.3*math.Sin(4*math.Pi*order*t+1)
		}
		return x
	}
	return s.rumble(turns, ratio)
}

func (s *simulation) chirp(turns []float64, ratio float64) []float64 {
	x := make([]float64, len(turns))
	decay, hz := (0.008+0.012*s.rng.Float64())/2, 2500+2500*s.rng.Float64()
	noise := s.rng
	if s.rng.IntN(2) == 0 {
		noise = nil
	}
	next := 0.3
	for i, t := range turns {
		for next <= t*ratio {
			if s.rng.IntN(10) > 0 {
				burst(x, i, 1+0.3*s.rng.NormFloat64(), hz, decay, s.rate, noise)
			}
			next = math.Floor(next) + 1.3 + 0.01*s.rng.NormFloat64()
		}
	}
	return x
}

func (s *simulation) squeal(n int) []float64 {
	x := make([]float64, n)
	hz := 1800 + 2700*s.rng.Float64()
	loaded := s.rng.IntN(2) == 0
	on, left, level := true, 1.0, 0.0
	dev, uneven, phase, dt := 0.0, 0.0, 0.0, 1/s.rate
	for i := range x {
		dev += -dev*dt/0.3 + 0.003*math.Sqrt(2*dt/0.3)*s.rng.NormFloat64()
		uneven += -uneven*dt/0.05 + 0.2*math.Sqrt(2*dt/0.05)*s.rng.NormFloat64()
		if left -= dt; left < 0 && loaded {
			on, left = !on, 0.5+3*s.rng.Float64()
		}
		goal := 0.0
		if on {
			goal = 1
		}
		level += (goal - level) * dt / 0.05
		phase += 2 * math.Pi * hz * (1 + dev) * dt
		x[i] = level * (1 + uneven) * (math.Sin(phase) + 0.4*math.Sin(2*phase) + 0.2*math.Sin(3*phase))
	}
	return x
}

func (s *simulation) rumble(turns []float64, ratio float64) []float64 {
	x := make([]float64, len(turns))
	in := make([]float64, len(turns))
	depth, second := 0.3+0.5*s.rng.Float64(), 2*math.Pi*s.rng.Float64()
	for i, t := range turns {
		a := 2 * math.Pi * t * ratio
		in[i] = s.rng.NormFloat64() * (1 + depth*math.Cos(a) + 0.4*depth*math.Cos(2*a+second))
	}
	m := shaft{rng: s.rng, rate: s.rate}
	for range 2 {
		m.resonance(x, in, 250+650*s.rng.Float64(), 0.002, 1)
	}
	return x
}

// soundTrial is one recording and what was said of it.
type soundTrial struct {
	sound string
	snr   float64
	from  string // what it came from, if one thing
	got   NoiseSort
}

// right reports whether the sort is what was put in. A bearing's flaw is a rumble, and what is heard of a healthy
// drive is its sound alternator.
func (s soundTrial) right() bool {
	switch s.sound {
	case "bearing flaw":
		return s.got.Sort == Rumble
	case "healthy":
		return s.got.Sort == NoSort || s.got.Sort == Whine
	}
	return s.got.Sort.String() == s.sound
}

// missed reports whether nothing, or only the sound alternator that is in every recording, was heard.
func (s soundTrial) missed() bool {
	return !s.right() && (s.got.Sort == NoSort || s.got.Sort == Unsorted || s.got.Sort == Whine)
}

func tryingSounds(t testing.TB, sounds []string, snrs []float64, seeds int, key uint64) []soundTrial {
	t.Helper()
	out := make([]soundTrial, len(sounds)*len(snrs)*seeds)
	parallel(len(out), func(i int) {
		seed := i % seeds
		sound, snr := sounds[i/seeds/len(snrs)], snrs[i/seeds%len(snrs)]
		s := simulation{rate: 32000, seconds: 10, snr: snr, faulty: -1, rng: rand.New(rand.NewPCG(uint64(i), key))}
		switch sound {
		case "healthy":
		case "bearing flaw":
			s.faulty, s.element = seed%5, []Element{OuterRing, InnerRing}[seed/5%2]
		default:
			s.sound = sound
		}
		rec, d := s.run()
		k, err := Rank(rec, d)
		if err != nil {
			t.Error(err)
			return
		}
		got, err := SortRunning(rec, d, k)
		if err != nil {
			t.Error(err)
		}
		out[i] = soundTrial{sound, snr, s.from, got}
	})
	return out
}

var allSounds = []string{"chirp", "squeal", "whine", "rumble", "bearing flaw", "healthy"}

// TestSortRunning holds the sorts apart on a few of the trials of docs/listening.md.
func TestSortRunning(t *testing.T) {
	if testing.Short() {
		t.Skip("simulation is slow")
	}
	n, missed, matched, named := 0, 0, 0, 0
	for _, s := range tryingSounds(t, allSounds, []float64{5, -5}, 2, 17) {
		n++
		switch {
		case s.missed():
			missed++
			t.Logf("%s at %+.0f dB missed: %s", s.sound, s.snr, s.got.Sort)
		case !s.right():
			t.Errorf("%s at %+.0f dB is called %s: %+v", s.sound, s.snr, s.got.Sort, s.got)
		case s.from != "":
			named++
			if slices.Contains(s.got.Matches, s.from) {
				matched++
			}
		}
	}
	if missed > n/8 || matched < named {
		t.Errorf("%d of %d missed, %d of %d matched with what they came from", missed, n, matched, named)
	}
}

// TestSortRunningRefuses: what no ranking belongs to, or no drive, is an error.
func TestSortRunningRefuses(t *testing.T) {
	r := belt(func(float64, *rand.Rand) float64 { return 0 })
	if _, err := SortRunning(r, benchDrive(15), Ranking{}); !errors.Is(err, ErrInput) {
		t.Error(err)
	}
	if _, err := SortRunning(r, Drive{}, Ranking{}); !errors.Is(err, ErrInput) {
		t.Error(err)
	}
}

// TestSoundTable prints the tables of docs/listening.md: UNDERTRAY_LONG=1 go test ./listen -run SoundTable -v
func TestSoundTable(t *testing.T) {
	if os.Getenv("UNDERTRAY_LONG") == "" {
		t.Skip("long; set UNDERTRAY_LONG")
	}
	snrs := []float64{20, 10, 5, 0, -5, -10, -15}
	all := tryingSounds(t, allSounds, snrs, 10, 2027)
	sorts := []Sort{Chirp, Squeal, Whine, Rumble, Unsorted, NoSort}
	var b strings.Builder
	b.WriteString("\n| put in | chirp | squeal | whine | rumble | unsorted | none |\n|---|---|---|---|---|---|---|\n")
	for _, sound := range allSounds {
		fmt.Fprintf(&b, "| %s |", sound)
		for _, k := range sorts {
			fmt.Fprintf(&b, " %d |", count(all, func(s soundTrial) bool { return s.sound == sound && s.got.Sort == k }))
		}
		b.WriteString("\n")
	}
	b.WriteString("\n| right of 10 at | +20 | +10 | +5 | 0 | -5 | -10 | -15 dB |\n|---|---|---|---|---|---|---|---|\n")
	for _, sound := range allSounds {
		fmt.Fprintf(&b, "| %s |", sound)
		for _, snr := range snrs {
			fmt.Fprintf(&b, " %d |", count(all, func(s soundTrial) bool {
				return s.sound == sound && s.snr == snr && s.right()
			}))
		}
		b.WriteString("\n")
	}
	wrong := count(all, func(s soundTrial) bool { return !s.right() && !s.missed() })
	from := count(all, func(s soundTrial) bool { return s.right() && s.from != "" })
	matched := count(all, func(s soundTrial) bool {
		return s.right() && s.from != "" && slices.Contains(s.got.Matches, s.from)
	})
	alone := count(all, func(s soundTrial) bool {
		return s.right() && s.from != "" && slices.Equal(s.got.Matches, []string{s.from})
	})
	fmt.Fprintf(&b, "\n%d of %d called something that was not there; of %d chirps, rumbles and flaws heard, %d "+
		"matched with what they came from, %d with it alone\n", wrong, len(all), from, matched, alone)
	for _, s := range all {
		if !s.right() && !s.missed() {
			fmt.Fprintf(&b, "wrong: %s of %s at %+.0f dB: %s tone %.0f %v\n", s.sound, s.from, s.snr, s.got.Sort,
				s.got.Tone, s.got.Matches)
		}
	}
	t.Log(b.String())
	if wrong > len(all)/40 {
		t.Errorf("%d of %d called something that was not there", wrong, len(all))
	}
}

func count(all []soundTrial, is func(soundTrial) bool) int {
	n := 0
	for _, s := range all {
		if is(s) {
			n++
		}
	}
	return n
}
