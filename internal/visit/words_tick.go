package visit

import (
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say/told"
)

// YoursWords says behind its minutes that they are the owner's own, or "".
func (s *Step) YoursWords() message.Text {
	if s.Own == nil || s.Minutes == 0 {
		return ""
	}
	return ", yours"
}

// YoursInFull says what the owner's own minutes of a step rest on, or "".
func (s *Step) YoursInFull() message.Text {
	if s.YoursWords() == "" {
		return ""
	}
	return message.Of("Yours: from %s of your ticks; the sheet says %.0f min.",
		told.Count(s.Own.Times, "time", "times"), s.Own.Sheet)
}

// WorkWords says how far the sheet in hand has come, or "".
func (j *Job) WorkWords() message.Text {
	if j.Work == nil {
		return ""
	}
	done, next := j.Progress()
	if next == nil {
		return message.Of("%s: every step is ticked. Write down what was changed.", j.Vehicle.Name)
	}
	return message.Of("In hand since %s: %d of %d steps done, next step %d.", told.Long(j.Work.Begun.Date), done,
		len(j.Steps), next.N)
}
