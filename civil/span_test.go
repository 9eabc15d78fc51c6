package civil_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"undertray.example/undertray/civil"
)

func TestSpanInWords(t *testing.T) {
	tests := []struct {
		span civil.Span
		want string
	}{
		{civil.Span{}, "0 days"},
		{civil.Span{Months: 48}, "4 years"},
		{civil.Span{Months: 12}, "1 year"},
		{civil.Span{Months: 18}, "18 months"},
		{civil.Span{Months: 6}, "6 months"},
		{civil.Span{Months: 1}, "1 month"},
		{civil.Span{Months: 14}, "1 year 2 months"},
		{civil.Span{Months: 54}, "4 years 6 months"},
		{civil.Span{Days: 90}, "90 days"},
		{civil.Span{Days: 1}, "1 day"},
		{civil.Span{Days: 20.0 / 24}, "20 hours"},
		{civil.Span{Days: 1.5}, "36 hours"},
		{civil.Span{Days: 10.25}, "10.2 days"},
		{civil.Span{Months: 14, Days: 3}, "1 year 2 months 3 days"},
		{civil.Span{Months: -12}, "-1 year"},
		{civil.Span{Days: -3}, "-3 days"},
	}
	for _, tt := range tests {
		if got := tt.span.String(); got != tt.want {
			t.Errorf("%+v reads %q, want %q", tt.span, got, tt.want)
		}
	}
}

// 400 years of the Gregorian calendar are 146 097 days.
func TestMeanMonth(t *testing.T) {
	if civil.DaysPerMonth != 30.436875 {
		t.Errorf("mean month %v days, want 30.436875", civil.DaysPerMonth)
	}
	from, to := civil.MustParse("1801-01-01"), civil.MustParse("2201-01-01")
	if got := (civil.Span{Months: 4800}).Approx(); got != float64(to.Sub(from)) {
		t.Errorf("400 years are %v days, want %d", got, to.Sub(from))
	}
	if got := (civil.Span{Months: 12, Days: 2.5}).Approx(); math.Abs(got-367.7425) > 1e-9 {
		t.Errorf("1 year 2.5 days are %v days", got)
	}
	if !(civil.Span{}).IsZero() || (civil.Span{Days: 1}).IsZero() {
		t.Error("IsZero is wrong")
	}
}

// A span of months lands close to its mean length: the uneven months, the leap
// days within a cycle and the fall back to a month's last day each move it by a
// few days at most and never add up with the length of the span.
func TestApproxIsCloseToCalendar(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from := civil.FromDays(rapid.IntRange(-25567, 47481).Draw(t, "from")) // 1900 to 2099
		span := civil.Span{Months: rapid.IntRange(0, 1200).Draw(t, "months")}
		days := float64(from.Add(span).Sub(from))
		if diff := math.Abs(days - span.Approx()); diff > 5.5 {
			t.Fatalf("%s from %s is %v days, mean %v", span, from, days, span.Approx())
		}
	})
}

func ExampleDate_Add() {
	fitted := civil.MustParse("2026-08-31")
	due := fitted.Add(civil.Span{Months: 18})
	fmt.Println(due, "is", due.Sub(fitted), "days later;", due.Long())
	// Output: 2028-02-29 is 547 days later; 29 February 2028
}
