package harm

import (
	"bytes"
	"math/rand/v2"
	"testing"
)

func TestText(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	seed := []byte("yard: Reserve\n")
	same := 0
	for range 1000 {
		if bytes.Equal(Text(random, seed), seed) {
			same++
		}
	}
	if same > 200 || string(seed) != "yard: Reserve\n" {
		t.Errorf("%d of 1000 are as they were; the seed is %q", same, seed)
	}
}
