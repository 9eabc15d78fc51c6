package print

import (
	"io"
	"time"

	ics "github.com/arran4/golang-ical"

	"undertray/civil"
	"undertray/internal/plan/calendar"
	"undertray/units"
)

// Calendar writes events as an iCalendar stream (RFC 5545) named for a yard;
// stamp is when it was made. Every event takes whole days and shows the day as
// busy only where it is a visit. Its words are in the reader's units first.
func Calendar(w io.Writer, name string, events []calendar.Event, stamp time.Time, reads units.Preferences) error {
	cal := ics.NewCalendarFor("Undertray")
	cal.SetMethod(ics.MethodPublish)
	cal.SetProductId("-//Undertray//Undertray//EN")
	if name != "" {
		cal.SetName(name)
		cal.SetXWRCalName(name)
	}
	for _, e := range events {
		ev := cal.AddEvent(e.ID + "@undertray")
		ev.SetDtStampTime(stamp.UTC().Truncate(time.Second))
		ev.SetAllDayStartAt(noon(e.From))
		ev.SetAllDayEndAt(noon(e.From.AddDays(max(1, e.Days)))) // the day after the last, RFC 5545 3.6.1
		ev.SetSummary(reads.Text(e.Title))
		if e.Text != "" {
			ev.SetDescription(reads.Text(e.Text))
		}
		ev.SetTimeTransparency(transparency(e.Busy))
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
