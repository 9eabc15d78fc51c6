package handfile

import (
	"fmt"

	"undertray.example/undertray/internal/say"
)

// Words say what a file holds that was made.
func (a *About) Words() []string {
	out := []string{fmt.Sprintf("It holds %s.", say.Listing(append([]string{"the sheet of " + a.Name},
		much(int(a.Entries), len(a.Attached))...)))}
	if left := a.LeftOut.Words(); len(left) > 0 {
		out = append(out, "Left out: "+say.Listing(left)+".")
	}
	if a.Withdrawn > 0 {
		out = append(out, say.Capital(entries(a.Withdrawn))+" that you had withdrawn stayed here.")
	}
	if n := len(a.Missing); n > 0 {
		out = append(out, say.Capital(attachments(n))+" could not be read and are not in it.")
	}
	if len(a.OwnKinds) > 0 {
		out = append(out, "The sheet uses kinds of part from your own catalogue: "+say.Listing(a.OwnKinds)+
			". Give those catalogue files along.")
	}
	return append(out, Unproven)
}

// Told says what became of a file, or with look what would; the first is the headline.
func (t *Taken) Told(look bool) []string {
	what := say.Listing(much(t.Added, t.Pictures))
	head := fmt.Sprintf("%s is taken in as %s: %s.", t.Name, t.Here, what)
	switch {
	case look && t.Joins:
		head = fmt.Sprintf("It would add to %s: %s.", t.Here, what)
	case look:
		head = fmt.Sprintf("%s would be taken in as %s: %s.", t.Name, t.Here, what)
	case t.Added+t.Pictures == 0 && !t.Sheet:
		head = fmt.Sprintf("All of it is here already, as %s; nothing was added.", t.Here)
	case t.Joins:
		head = fmt.Sprintf("Added to %s: %s.", t.Here, what)
	}
	out := []string{head}
	if t.Here != t.Vehicle {
		out = append(out, fmt.Sprintf("The giver calls it %s.", t.Vehicle))
	}
	if t.Already > 0 {
		out = append(out, say.Capital(entries(t.Already))+" were here already and stay as they are.")
	}
	if t.Fewer > 0 {
		out = append(out, fmt.Sprintf("Of these, the file has prices or names for %d more; they stay without.",
			t.Fewer))
	}
	if t.Differs {
		out = append(out, "The sheet in the file differs from yours, which stays: it is vehicle.yaml in the file.")
	}
	if left := t.LeftOut.Words(); len(left) > 0 {
		out = append(out, "The giver left out "+say.Listing(left)+".")
	}
	if n := len(t.Missing); n > 0 {
		out = append(out, say.Capital(attachments(n))+" are missing, for the giver no longer had them.")
	}
	return append(out, Unproven)
}

// much is how many entries there are and, where there are any, pictures and recordings.
func much(e, a int) []string {
	if a == 0 {
		return []string{entries(e)}
	}
	return []string{entries(e), attachments(a)}
}

func entries(n int) string { return say.Count(n, "entry", "entries") }

func attachments(n int) string {
	return say.Count(n, "picture or recording", "pictures and recordings")
}
