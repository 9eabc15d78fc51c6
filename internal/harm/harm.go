// Package harm changes texts at random for tests: what a program reads may be
// cut off, doubled, mixed up, or meant to hurt.
package harm

import (
	"bytes"
	"flag"
	"iter"
	"math/rand/v2"
	"testing"
)

// share is how many harmed texts a fuzzing target reads in every run of the tests; make
// soak asks for more, of which these are the first.
var share = flag.Int("harmed", 5000, "how many harmed texts each fuzzing target reads")

// Add gives a fuzzing target of one text its seeds, and texts harmed from them as Harmed
// does.
func Add[T string | []byte](f *testing.F, seeds ...T) {
	f.Helper()
	for _, s := range seeds {
		f.Add(s)
	}
	for s := range Harmed(seeds...) {
		f.Add(s)
	}
}

// Harmed yields as many texts harmed from seeds as are a target's share, always the same;
// none where a target is fuzzed, which goes on from the seeds by itself.
func Harmed[T string | []byte](seeds ...T) iter.Seq[T] {
	return func(yield func(T) bool) {
		if flag.Lookup("test.fuzz").Value.String() != "" {
			return
		}
		texts := make([][]byte, len(seeds))
		for i, s := range seeds {
			texts[i] = []byte(s)
		}
		random := rand.New(rand.NewPCG(11, 12))
		for range *share {
			if !yield(T(Text(random, texts...))) {
				return
			}
		}
	}
}

// words are what readers stumble over.
var words = []string{"\x00", "\xff", "\ufeff", "{}", "[[[[", "null", "-1", "1e309", "9999-12-31", "&a *a", "!!binary",
	"<script>", "\x1b[2J", "\u202e", "\r\n", ": ", "- ", "%00", "../../", "'", "\""}

// Text returns one of the texts, changed in up to eight places.
func Text(random *rand.Rand, texts ...[]byte) []byte {
	out := bytes.Clone(texts[random.IntN(len(texts))])
	for range 1 + random.IntN(8) {
		at, to := random.IntN(len(out)+1), random.IntN(len(out)+1)
		from, end := min(at, to), max(at, to)
		switch random.IntN(6) {
		case 0:
			out = out[:at]
		case 1:
			out = append(out[:from:from], out[end:]...)
		case 2:
			out = append(out[:end:end], out[from:]...)
		case 3:
			if at < len(out) {
				out[at] ^= 1 << random.IntN(8)
			}
		case 4:
			out = append(append(out[:at:at], words[random.IntN(len(words))]...), out[at:]...)
		case 5:
			other := texts[random.IntN(len(texts))]
			out = append(append(out[:at:at], other[random.IntN(len(other)+1):]...), out[at:]...)
		}
		if len(out) > 1<<16 {
			out = out[:1<<16]
		}
	}
	return out
}
