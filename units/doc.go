// Package units holds quantities as they were typed, reads them, converts them
// and writes them for a reader.
//
// A limit in a handbook says "3/8 in", a gauge says "9.7 mm", an odometer says
// "8,200 mi". Each is kept as typed, figure and unit, and converted only for
// calculation and for show, so nothing is lost by rounding and every text can be
// traced to what was entered.
//
// # Reading
//
// Parse expects a dimension, ParseAny finds it from the unit: every unit belongs
// to one dimension only, so "m" is always the metre, "lb" always a mass, "lbf" a
// force, km and mi distances driven. Accepted are:
//
//   - digits grouped in threes by commas or any space: "8,200 mi", "13 200 km";
//   - a decimal point: "1.5 mm". A comma followed by exactly three digits groups;
//     any other comma is refused with the right spelling, so that "8,5 mm" is
//     never read as 85 or 8;
//   - simple fractions: "3/8 in", "1 1/2 in", "1-1/2 in", "½ in", and inch and
//     foot marks: 3/8", 6';
//   - units in any case with or without a space or full stop ("13200km",
//     "3/8 in."), except where case makes another unit: mPa is not MPa;
//   - counts per length, "3 per 75 mm", the length being part of the unit;
//   - money with a code of ISO 4217 or £, $ (US dollars) or €, with no more
//     decimals than the currency has.
//
// Gallons, pints, quarts and fluid ounces must say whose. Every error is an
// *Error that says what would be right.
//
// # Converting
//
// Each unit is a fraction of whole numbers times the base unit of its dimension
// (see Quantity.Base for the table of base units), from NIST Special Publication
// 811 (2008), Appendix B.8; the entry stands beside each row of the table.
// Convert and In compute in float64 with a relative error of a few times 1e-16;
// Compare is exact, so "1/2 in" equals "12.7 mm". Radians are exact to 16 digits.
// A month counts as the mean Gregorian month, 30.436 875 days, when months are
// turned into days; Quantity.Span keeps calendar months.
//
// Money never changes currency; Sum adds it exactly in minor units.
//
// # Showing
//
// Format writes computed values; Preferences.Show writes a quantity in the
// reader's units, rounded. To rounds a conversion as SP 811 B.7.1 advises.
//
// # Limits
//
// Figures have at most 15 digits before the point and 30 behind it; fractions
// six digits in each part. There is no dimensional arithmetic: multiplying and
// adding are done on float64 by those who know what they compute.
//
// # Sources
//
// NIST SP 811 (2008), Appendix B; BIPM, The International System of Units (2019);
// ISO 4217:2015 for currencies; ISO 48-4 for the durometer scale Shore A.
package units
