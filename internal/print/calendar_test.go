package print

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/emersion/go-ical"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/plan/calendar"
	"undertray.example/undertray/units"
)

// A calendar read back with another library of RFC 5545 says the same.
func TestCalendarReadsBack(t *testing.T) {
	long := strings.Repeat("belt, hose; clamp\\ and \"mount\"\n", 20)
	changed := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	events := []calendar.Event{
		{ID: "wren-visit-2027-04-03", From: civil.MustParse("2027-04-03"), Days: 2,
			Title: "Wren: oil change, über 3 parts", Text: message.Name(long),
			Busy: true, Sequence: 3, Changed: changed},
		{ID: "wren-limit-2027-12-31", From: civil.MustParse("2027-12-31"), Days: 1,
			Title: "Wren: limit of wiper blades", Changed: changed, Cancelled: true},
	}
	var buf bytes.Buffer
	if err := Calendar(&buf, "Alder Fen", events, "evening", units.Preferences{}); err != nil {
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
	// RFC 7986, 5.1 and 5.7; RFC 5545: 3.7.2 (a METHOD would ask for an ORGANIZER, RFC 5546, 3.2.1), 3.8.1.11, 3.8.7.
	if r := cal.Props.Get("REFRESH-INTERVAL"); r == nil || r.Value != "PT6H" || r.ValueType() != ical.ValueDuration ||
		cal.Props.Get("NAME").Value != "Alder Fen" || cal.Props.Get("METHOD") != nil {
		t.Errorf("the calendar says of itself %v", cal.Props)
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
		if civil.Of(start) != e.From || civil.Of(end) != e.From.AddDays(e.Days) || title != e.Title.String() {
			t.Errorf("event %d came back as %s to %s, %q", i, start, end, title)
		}
		if e.Text != "" {
			if text, err := back[i].Props.Text(ical.PropDescription); err != nil || text != e.Text.String() {
				t.Errorf("event %d: text %q, %v", i, text, err)
			}
		}
		status, _ := back[i].Props.Text(ical.PropStatus)
		seq, errSeq := back[i].Props.Get(ical.PropSequence).Int()
		mod, errMod := back[i].Props.DateTime(ical.PropLastModified, time.UTC)
		if errSeq != nil || errMod != nil || seq != e.Sequence || !mod.Equal(changed) ||
			(status == "CANCELLED") != e.Cancelled {
			t.Errorf("event %d: sequence %d, %s, %q (%v, %v)", i, seq, mod, status, errSeq, errMod)
		}
		if reminds := len(back[i].Children) == 1 &&
			back[i].Children[0].Props.Get(ical.PropTrigger).Value == "-PT6H"; reminds == e.Cancelled {
			t.Errorf("event %d reminds: %v", i, reminds)
		}
		uid, _ := back[i].Props.Text(ical.PropUID)
		if !strings.HasPrefix(uid, e.ID) {
			t.Errorf("event %d: uid %q", i, uid)
		}
	}
}
