package sequence

import (
	"bufio"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// Published problems with published optima: the sequential ordering problems
// of TSPLIB (G. Reinelt, ORSA Journal on Computing 3, 1991, 376-384; files and
// optima as listed by its keeper, Universität Heidelberg). A problem asks for
// the cheapest path from its first node to its last through all nodes, where
// an entry of -1 in row i and column j says that j comes before i.
//
// Here, a node is one value of a single attribute and one step that needs it.
// Changes may go through other values, a path of the published problem may
// not; so the same number is added to every entry, large enough that no way
// round is shorter. A path through n nodes then costs n-1 times that number
// more, and the best path stays the best.
func TestPublishedOptima(t *testing.T) {
	for name, optimum := range map[string]int64{
		"ESC07": 2125, "ESC11": 2075, "ESC12": 1675, "br17.10": 55, "br17.12": 55,
	} {
		t.Run(name, func(t *testing.T) {
			matrix := readMatrix(t, filepath.Join("testdata", name+".sop"))
			steps, opts, added := asVisit(matrix)
			plan := mustOrder(t, steps, opts)
			got := plan.Cost - added*int64(len(matrix)-1)
			if got != optimum || !plan.Proven {
				t.Errorf("cost %d, proven %t; published optimum %d", got, plan.Proven, optimum)
			}
			if path := pathLength(matrix, plan.Order); path != optimum {
				t.Errorf("the path found is %d long by the published matrix, not %d", path, optimum)
			}
		})
	}
}

// A published problem that is too much for the exact search: the fallback must stay within a tenth of the published
// optimum, 1681, and its lower bound must not exceed it.
func TestPublishedOptimumWithFallback(t *testing.T) {
	const optimum = 1681
	matrix := readMatrix(t, filepath.Join("testdata", "ESC25.sop"))
	steps, opts, added := asVisit(matrix)
	opts.MaxStates = 10_000
	plan := mustOrder(t, steps, opts)
	if plan.Proven {
		t.Errorf("proven with %d states: move ESC25 to the other test", plan.States)
	}
	path := pathLength(matrix, plan.Order)
	if path < optimum || path > optimum*11/10 {
		t.Errorf("the path found is %d long; published optimum %d", path, optimum)
	}
	if bound := plan.LowerBound - added*int64(len(matrix)-1); bound > optimum {
		t.Errorf("lower bound %d exceeds the published optimum %d", bound, optimum)
	}
}

func asVisit(matrix [][]int64) (steps []Step, opts Options, added int64) {
	const unlike = 1_000_000 // stands in the files for "not from the first node to the last"
	for _, row := range matrix {
		for _, entry := range row {
			if entry != unlike {
				added = max(added, entry)
			}
		}
	}
	id := func(i int) string { return fmt.Sprintf("n%02d", i) }
	opts.Start = Setting{"node": id(0)}
	for i, row := range matrix {
		step := Step{ID: id(i), Needs: Setting{"node": id(i)}}
		for j, entry := range row {
			switch {
			case i == j:
				continue
			case entry < 0:
				step.After = append(step.After, id(j))
				entry = unlike // never taken: j is over by then
			}
			opts.Changes = append(opts.Changes, Change{"node", id(i), id(j), entry + added})
		}
		steps = append(steps, step)
	}
	return steps, opts, added
}

func pathLength(matrix [][]int64, order []int) int64 {
	total := int64(0)
	for k := 1; k < len(order); k++ {
		total += matrix[order[k-1]][order[k]]
	}
	return total
}

func readMatrix(t *testing.T, path string) [][]int64 {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	var matrix [][]int64
	inside := false
	for lines := bufio.NewScanner(file); lines.Scan(); {
		line := strings.TrimSpace(lines.Text())
		switch {
		case line == "EDGE_WEIGHT_SECTION":
			inside = true
		case line == "EOF":
			return matrix
		case inside:
			matrix = append(matrix, parseRow(t, line))
		}
	}
	t.Fatalf("%s has no EOF line", path)
	return nil
}

func parseRow(t *testing.T, line string) []int64 {
	t.Helper()
	var row []int64
	for _, field := range strings.Fields(line) {
		entry, err := strconv.ParseInt(field, 10, 64)
		if err != nil {
			t.Fatal(err)
		}
		row = append(row, entry)
	}
	return row
}
