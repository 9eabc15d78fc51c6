package print

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/emersion/go-ical"

	"undertray/civil"
	"undertray/internal/plan/calendar"
	"undertray/units"
)

// A calendar read back with another library of RFC 5545 says the same.
func TestCalendarReadsBack(t *testing.T) {
	long := strings.Repeat("belt, hose; clamp\\ and \"mount\"\n", 20)
	events := []calendar.Event{
		{ID: "wren-visit-2027-04-03", From: civil.MustParse("2027-04-03"), Days: 2,
			Title: "Wren: oil change, über 3 parts", Text: long, Busy: true},
		{ID: "wren-limit-2027-12-31", From: civil.MustParse("2027-12-31"), Days: 1,
			Title: "Wren: limit of wiper blades"},
	}
	var buf bytes.Buffer
	if err := Calendar(&buf, "Alder Fen", events, time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC),
		units.Preferences{}); err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(strings.TrimSuffix(buf.String(), "\r\n"), "\r\n") {
		if len(line) > 75 || strings.ContainsAny(line, "\r\n") {
			t.Errorf("RFC 5545 3.1 allows 75 octets a line, ended by CRLF: %q", line)
		}
	}
	cal, err := ical.NewDecoder(&buf).Decode()
	if err != nil {
		t.Fatal(err)
	}
	back := cal.Events()
	if len(back) != len(events) {
		t.Fatalf("%d events read back, %d written", len(back), len(events))
	}
	for i, e := range events {
		start, err := back[i].DateTimeStart(time.UTC)
		end, errEnd := back[i].DateTimeEnd(time.UTC)
		title, errTitle := back[i].Props.Text(ical.PropSummary)
		if err != nil || errEnd != nil || errTitle != nil {
			t.Fatal(err, errEnd, errTitle)
		}
		if civil.Of(start) != e.From || civil.Of(end) != e.From.AddDays(e.Days) || title != e.Title {
			t.Errorf("event %d came back as %s to %s, %q", i, start, end, title)
		}
		if e.Text != "" {
			if text, err := back[i].Props.Text(ical.PropDescription); err != nil || text != e.Text {
				t.Errorf("event %d: text %q, %v", i, text, err)
			}
		}
		uid, _ := back[i].Props.Text(ical.PropUID)
		if !strings.HasPrefix(uid, e.ID) {
			t.Errorf("event %d: uid %q", i, uid)
		}
	}
}
