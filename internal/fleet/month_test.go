package fleet

import (
	"testing"
	"time"
)

func TestCalendarMonths(t *testing.T) {
	september := Month{2027, time.September}
	for _, typed := range []string{"2027-09", "September 2027", " sep  2027 "} {
		if got, err := ParseCalendarMonth(typed); err != nil || got != september {
			t.Errorf("%q: %v, %v", typed, got, err)
		}
	}
	for _, typed := range []string{"", "2027-13", "2027-9", "September", "Septembre 2027x", "9 2027", "2027-09-01"} {
		if got, err := ParseCalendarMonth(typed); err == nil {
			t.Errorf("%q was read as %v", typed, got)
		}
	}
	if a, b := september.First().String(), september.Last().String(); a != "2027-09-01" || b != "2027-09-30" {
		t.Errorf("%s to %s", a, b)
	}
	if february := (Month{2028, time.February}).Last().String(); february != "2028-02-29" {
		t.Errorf("the leap February ends on %s", february)
	}
	var m Month
	if got := m.Words().String(); got != "0000-00" {
		t.Errorf("no month is called %q", got)
	}
	if err := m.UnmarshalText([]byte("September 2027")); err == nil {
		t.Error("an entry's month is taken in words")
	}
}
