package print

import (
	"io"
	"time"

	ics "github.com/arran4/golang-ical"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/plan/calendar"
	"undertray.example/undertray/units"
)

// Alarms are when a calendar may remind of an event, as a duration from the beginning of its day (RFC 5545, 3.3.6).
var Alarms = map[string]string{"evening": "-PT6H", "week": "-P6DT6H"}

// refresh is how often a calendar that is subscribed to is asked for (RFC 7986, 5.7).
const refresh = "PT6H"

// Calendar writes events as an iCalendar stream (RFC 5545, with the names of RFC 7986) for a yard; what was made
// of the same events is the same, byte for byte. Every event takes whole days and shows the day as busy only where
// it is a visit. alarm is one of Alarms, or "" for none. Its words are in the reader's units first.
func Calendar(w io.Writer, name string, events []calendar.Event, alarm string, reads units.Preferences) error {
	cal := ics.NewCalendarFor("Undertray")
	cal.SetProductId("-//Undertray//Undertray//EN")
	cal.SetRefreshInterval(refresh, ics.WithValue("DURATION"))
	cal.SetXPublishedTTL(refresh)
	if name != "" {
		cal.SetName(name)
		cal.SetXWRCalName(name)
	}
	for _, e := range events {
		ev := cal.AddEvent(e.ID + "@undertray")
		ev.SetDtStampTime(e.Changed) // without a METHOD that is when it was last changed, RFC 5545 3.8.7.2
		ev.SetModifiedAt(e.Changed)
		ev.SetSequence(e.Sequence)
		ev.SetAllDayStartAt(noon(e.From))
		ev.SetAllDayEndAt(noon(e.From.AddDays(max(1, e.Days)))) // the day after the last, RFC 5545 3.6.1
		ev.SetSummary(reads.Text(e.Title.String()))
		if e.Text != "" {
			ev.SetDescription(reads.Text(e.Text.String()))
		}
		ev.SetTimeTransparency(transparency(e.Busy))
		if e.Cancelled {
			ev.SetStatus(ics.ObjectStatusCancelled)
		} else if at := Alarms[alarm]; at != "" {
			a := ev.AddAlarm()
			a.SetAction(ics.ActionDisplay)
			a.SetTrigger(at)
			a.SetProperty(ics.ComponentPropertyDescription, reads.Text(e.Title.String())) // required, RFC 5545 3.6.6
		}
	}
	return cal.SerializeTo(w, ics.WithNewLineWindows) // lines end in CRLF, RFC 5545 3.1
}

func transparency(busy bool) ics.TimeTransparency {
	if busy {
		return ics.TransparencyOpaque
	}
	return ics.TransparencyTransparent
}

func noon(d civil.Date) time.Time { return time.Date(d.Year, d.Month, d.Day, 12, 0, 0, 0, time.UTC) }
