package visit

import (
	"fmt"

	"undertray.example/undertray/internal/say"
)

// YoursWords says behind its minutes that they are the owner's own, or "".
func (s *Step) YoursWords() string {
	if s.Own == nil || s.Minutes == 0 {
		return ""
	}
	return ", yours"
}

// YoursInFull says what the owner's own minutes of a step rest on, or "".
func (s *Step) YoursInFull() string {
	if s.YoursWords() == "" {
		return ""
	}
	return fmt.Sprintf("Yours: from %s of your ticks; the sheet says %.0f min.",
		say.Count(s.Own.Times, "time", "times"), s.Own.Sheet)
}

// WorkWords says how far the sheet in hand has come, or "".
func (j *Job) WorkWords() string {
	if j.Work == nil {
		return ""
	}
	done, next := j.Progress()
	if next == nil {
		return fmt.Sprintf("%s: every step is ticked. Write down what was changed.", j.Vehicle.Name)
	}
	return fmt.Sprintf("In hand since %s: %d of %d steps done, next step %d.", j.Work.Begun.Date.Long(), done,
		len(j.Steps), next.N)
}
