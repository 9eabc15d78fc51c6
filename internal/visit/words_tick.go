package visit

import "fmt"

// WorkWords says how far the sheet in hand has come, or "".
func (j *Job) WorkWords() string {
	if j.Work == nil {
		return ""
	}
	done, next := j.Progress()
	if next == nil {
		return fmt.Sprintf("Every step of the sheet in hand on %s is ticked.", j.Vehicle.Name)
	}
	return fmt.Sprintf("In hand since %s: %d of %d steps done, next step %d.", j.Work.Begun.Date.Long(), done,
		len(j.Steps), next.N)
}
