package cli

import (
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// words that are typed in the wrong place as well as in the right one.
var anyWords = []string{"heron", "dunnock", "main-belt", "top-hose", "cracks", "noise", "ribbed-belt", "main-run",
	"engine-cover", "184310 km", "4 per 75 mm", "2026-11-25", "2027-02-30", "200 EUR", "-5", "-16 °C", "0", "1e400",
	"NaN", "9999999999999999999", "", " ", "-", "--", "=", "a=b", "main-belt=2027-09", "\x00", "\x1b[2J", "\u202e",
	"\xff\xfe", "日本", "'", `"`, "$(x)", "../..", ".", "/nowhere/at/all", "none.csv", strings.Repeat("x", 5000),
	"--yard", "--json", "--help", "-h", "--on", "--no-such", "--all=2", "help", "1in50", "1 in 0", "v-belt,ribbed-belt",
	"heron,,dunnock", "50 %", "½", "1.000.000", "1,5 h", "null", "{}", "[]"}

// Whatever is typed, a command ends with one of its codes and says on standard error what is
// wrong where something is; it never panics. A hundred lines here, many more with UNDERTRAY_SOAK.
func TestRandomCommandLines(t *testing.T) {
	lines, seed := 100, uint64(1)
	if os.Getenv("UNDERTRAY_SOAK") != "" {
		lines, seed = 20_000, uint64(os.Getpid())
	}
	demoYard(t)
	r := rand.New(rand.NewPCG(seed, 0))
	var all []*cobra.Command
	var walk func(c *cobra.Command)
	walk = func(c *cobra.Command) {
		for _, sub := range c.Commands() {
			walk(sub)
		}
		// The first two go on until they are ended; the third takes longer than all others together.
		if name := c.Name(); name != "serve" && name != "demo" && (name != "reckoning" || lines > 1000) {
			all = append(all, c)
		}
	}
	walk((&app{now: clock}).root())
	ended := map[int]int{}
	for n := range lines {
		c := all[r.IntN(len(all))]
		args := strings.Fields(c.CommandPath())[1:]
		var flags []string
		c.Flags().VisitAll(func(f *pflag.Flag) { flags = append(flags, "--"+f.Name) })
		for range r.IntN(5) {
			word := anyWords[r.IntN(len(anyWords))]
			if len(flags) > 0 && r.IntN(3) == 0 {
				word = flags[r.IntN(len(flags))] + []string{"", "=", "=" + word}[r.IntN(3)]
			}
			args = append(args, word)
		}
		var out, complaint strings.Builder
		code := Main(args, strings.NewReader(anyWords[r.IntN(len(anyWords))]+"\nend\n"), &out, &complaint)
		ended[code]++
		said := complaint.String()
		if !slices.Contains([]int{0, 2, 3, 4, 5, 6}, code) || strings.Contains(said, "fault of the program") ||
			code != 0 && !strings.Contains("\n"+said, "\nundertray: ") || strings.ContainsAny(said, "\x00\x1b\u202e") {
			t.Errorf("seed %d, line %d: %q ends with %d and says %q", seed, n, args, code, said)
		}
	}
	if ended[exitOK] == 0 || ended[exitInvalid] == 0 || ended[exitNotFound] == 0 {
		t.Errorf("they ended only with %v", ended)
	}
	t.Log(ended)
}
