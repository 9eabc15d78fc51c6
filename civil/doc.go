// Package civil holds calendar dates and spans of calendar time, without a
// clock and without a time zone.
//
// A belt is fitted on a day, not at an instant: 2026-11-25 is the same entry
// wherever it is read. Date is such a day in the proleptic Gregorian calendar
// (ISO 8601), Span a length of time as an interval is written in a handbook:
// "4 years", "18 months", "90 days".
//
// # Method
//
// Days are counted from 1970-01-01 by the usual shifted-year arithmetic: a
// year that begins in March ends with the leap day, so the length of every
// month before it is a linear function and 400 years are always 146 097 days.
// Adding months keeps the day of the month and falls back to the last day of
// a shorter month (31 January plus one month is 28 or 29 February). A span is
// added months first, then days.
//
// # Units and limits
//
// Spans are held as whole months and days; a year is twelve months. Where a
// span must become one number of days, a month counts as the mean Gregorian
// month: 146 097 / 4 800 = 30.436 875 days. Dates run from 0001-01-01 to
// 9999-12-31; arithmetic that would leave that range stops at its end, so that
// "due in 20 000 years" still sorts after every real date. The zero Date means
// "no date"; it sorts before every real one and stays zero when added to.
//
// Nothing here asks what day it is: the caller says.
//
// # Sources
//
// ISO 8601-1:2019 (extended calendar date, YYYY-MM-DD). The Gregorian rule
// (leap years divisible by 4, except centuries not divisible by 400) gives the
// length of the mean month. The tests compare every day from 1900 to 2100 with
// the calendar of the Go standard library.
package civil
