package sequence

import (
	"errors"
	"fmt"
	"testing"

	"undertray.example/undertray/internal/harm"
)

// FuzzOrder feeds arbitrary steps and changes, mostly faulty ones: Order must
// either say what is wrong or give a plan that Verify accepts.
func FuzzOrder(f *testing.F) {
	harm.Add(f, []byte{}, []byte{2, 2, 0, 1, 2, 5, 0, 2, 1, 7, 0, 0, 1, 0, 1, 1, 1, 0, 2},
		[]byte("open from above, work from below, refit in reverse"))
	f.Fuzz(func(t *testing.T, data []byte) {
		steps, opts := decode(data)
		plan, err := Order(steps, opts)
		if err != nil {
			var fault *Error
			if !errors.As(err, &fault) || fault.Fault == 0 || fault.Msg == "" {
				t.Fatalf("error %v carries no fault", err)
			}
			return
		}
		if err := Verify(steps, opts, plan); err != nil {
			t.Fatal(err)
		}
	})
}

// decode reads steps and options from bytes; missing bytes read as zero.
func decode(data []byte) (steps []Step, opts Options) {
	next := func() int {
		if len(data) == 0 {
			return 0
		}
		b := data[0]
		data = data[1:]
		return int(b)
	}
	attribute := func() string { return fmt.Sprint("a", next()%3) }
	value := func() string {
		if v := next() % 5; v > 0 {
			return fmt.Sprint("v", v)
		}
		return ""
	}
	opts.MaxStates = next() - 1
	opts.Start, opts.End = Setting{attribute(): value()}, Setting{attribute(): value()}
	for range next() % 16 {
		opts.Changes = append(opts.Changes, Change{attribute(), value(), value(), int64(next()) - 1})
	}
	if next()%2 == 0 {
		opts.Changes = complete(opts.Changes)
	}
	for i := range next() % 40 {
		step := Step{ID: fmt.Sprint(i), Rank: next() % 4, Needs: Setting{attribute(): value(), attribute(): value()}}
		for range next() % 4 {
			step.After = append(step.After, fmt.Sprint(next()%max(i, 1)))
		}
		steps = append(steps, step)
	}
	return steps, opts
}

// complete drops faulty changes and adds those that are missing between four
// values of three attributes, so that faults are left to the steps.
func complete(changes []Change) []Change {
	cost := map[[3]string]int64{}
	for _, c := range changes {
		cost[[3]string{c.Attribute, c.From, c.To}] = max(c.Cost, 0)
	}
	var out []Change
	for a := range 3 {
		for v := range 4 {
			for w := range 4 {
				if v != w {
					c := Change{Attribute: fmt.Sprint("a", a), From: fmt.Sprint("v", v+1), To: fmt.Sprint("v", w+1)}
					c.Cost = cost[[3]string{c.Attribute, c.From, c.To}]
					out = append(out, c)
				}
			}
		}
	}
	return out
}
