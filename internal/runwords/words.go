// Package runwords says what package drive refuses, suggests and
// warns of, and what is wrong with a recording. A sheet, which checks the runs it
// holds, and the room of belt runs say it alike.
package runwords

import (
	"strconv"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
)

// said is what is wrong, and what would be right; "" where nothing is to be
// done about it. Arguments stand in braces: {1} to {4} are the pulleys
// concerned, {mm} by how much, any other the argument of that name, with how it
// is written behind a colon: {stop:unit} is its unit.
type said struct{ text, hint message.Text }

// words are what is said of each code.
var words = map[drive.Code]said{
	"pulley inside another": {"the {1} lies wholly inside the {2}",
		"check both centres and whether a radius was entered as a diameter"},
	"pulleys overlap": {"the {1} and the {2} overlap by {mm:%.1f} mm",
		"check both centres and diameters"},
	"no tangent": {"no straight belt can run from the {1} to the {2}: they are too close for " +
		"the sides given", "check the two centres and which of them runs on the back of the belt"},
	"span through a third pulley": {"the span from the {1} to the {2} passes through the {3}, {mm:%.1f} mm " +
		"inside its rim", "check the order of travel and the side of the belt on each of the three"},
	"spans cross": {"the span {1} to {2} crosses the span {3} to {4}",
		"check the order of travel"},
	"pulley not reached": {"the belt does not touch the {1} on the side given",
		"check its place in the order and whether it runs on the ribs or on the back"},
	"ribs outwards":   {"the belt does not close with its ribs facing inwards", closing},
	"figure of eight": {"the belt does not close: it would have to cross itself like a figure of eight", closing},
	"turns round": {"the belt does not close: round the whole run it turns through " +
		"{revolutions:%.0f} revolutions instead of one", closing},
	"number of pulleys": {"the run has {pulleys:%.0f} pulleys",
		"a run has {least:%.0f} to {most:%.0f} pulleys"},
	"figures unusable": {"the figures of this run are too large or not numbers", ""},
	"turns clockwise": {"in the order listed the belt turns the {1} clockwise",
		"pulleys are listed in the order the belt travels"},
	"turns anticlockwise": {"in the order listed the belt turns the {1} anticlockwise",
		"pulleys are listed in the order the belt travels"},
	"takes up no more": {"moving the pulley further no longer takes up belt", ""},
	"tension beyond proportion": {"the tension comes out beyond all proportion",
		"give a power that falls with speed as a table, and draw the arm where it moves across the belt"},
	"no spring figure": {"the tensioner has no spring figure",
		"torque about the pivot in N.m, or force along the slide in N"},
	"nothing says how tight": {"nothing says how tight this belt is",
		"give the tension per span when set in N, or for fixed centres the belt's free length and stiffness"},
	"pressed against the fitting stop": {"under this load the arm is pressed against its fitting stop", ""},
	"stretches beyond take-up":         {"under this load the belt stretches beyond what the tensioner takes up", ""},
	"bearing figures": {"the bearing of the {pulley}: rating {rating} N, {elements} elements of " +
		"{element} mm on {pitch} mm", "rating in N, sizes in mm, elements smaller than the pitch circle"},
	"bearing load": {"rating {rating} N, load {load} N, {speed} rpm",
		"a rating and a load in N and a speed in rpm, all above 0"},
	"bearing tones": {"bearing with {elements} elements of {element} mm on {pitch} mm at {speed} rpm",
		"two or more elements, both diameters in mm, a speed in rpm"},
	"no such pulley":     {"no pulley is called {pulley:%q}", "name one of the pulleys of the run"},
	"driver left out":    {"the driver {pulley:%q} can't be left out", "leave out another"},
	"name taken":         {"there is a pulley called {pulley:%q} already", "give each pulley its own name"},
	"nothing to compare": {"there are not two runs to compare", "lay out both first"},
	"tensioner held as drawn": {"the tensioner can't move from where it is drawn",
		"draw the tensioner where it can move both ways"},
	"too small for the belt": {tooSmall, asDiameter},
	"too small for the section": {tooSmall,
		asDiameter + ", and {smallest} mm is the smallest recommended for {section}"},
	"not a designation": {notPrinted,
		"expected ribs, profile and length in mm like 6PK1885 or 10PJ1230, or AV10X1000"},
	"inch part number": {notPrinted,
		"it looks like an inch part number, which makers count differently: use the metric print on the belt"},
	"designation too small": {"{text:%.40q} has {ribs} ribs and {length} mm", "at least one rib and 100 mm"},
	"length left to the maker": {"no length check is defined for stretch-fit belts: ISO 9981 leaves their length " +
		"and tolerance to the maker", "compare the part number the vehicle maker gives"},
	"belt length": {"a belt {length} mm long", "effective length in mm"},
	"short at the fitting stop": {"the belt is {mm:%.1f} mm too short: with the tensioner at its fitting stop " +
		"({stop:%+.1f} {stop:unit} from as drawn) the run still needs {needs:%.1f} mm", ""},
	"long at the take-up stop": {"the belt is {mm:%.1f} mm too long: with the tensioner at its take-up stop " +
		"({stop:%+.1f} {stop:unit} from as drawn) the run takes up only {takes:%.1f} mm", ""},
	"short on fixed centres": {"the belt is {mm:%.1f} mm too short: all centres are fixed and the run needs " +
		"{needs:%.1f} mm", ""},
	"long on fixed centres": {"the belt is {mm:%.1f} mm too long: all centres are fixed and the run takes " +
		"{takes:%.1f} mm", ""},
	"speed and load factor": {"{speed} rpm at load factor {factor}",
		"driver speed in rpm and load factor, 0 or more"},
	"open belt": {"an open belt over {large} and {small} mm, {apart} mm apart",
		"the larger diameter first, centres far enough apart"},
	"crossed belt": {"a crossed belt over {large} and {small} mm, {apart} mm apart",
		"centres further apart than the pulleys touch"},
	"load kind":  {"the {pulley} has an unknown kind of load", "idle, torque or power"},
	"load value": {"the {pulley} has a load of {load}", "N.m or W"},
	"load row":   {"the load table of the {pulley} has a row {speed}, {load}", "rpm, then N.m or W"},
	"load order": {"the load table of the {pulley} goes from {from} to {to} rpm", "list speeds rising"},
	"outside travel": {"the tensioner can't stand at {at:%.2f}: it moves between {from:%.2f} and " +
		"{to:%.2f} from where it is drawn", ""},
	"read outside travel": {"the tensioner can't stand {at:%+.1f} {at:unit} from as drawn: it moves between " +
		"{from:%+.1f} {from:unit} from as drawn and {to:%+.1f} {to:unit} from as drawn", ""},
	"driver speed":              {"driver speed {speed} rpm", "a driver speed above 0 rpm"},
	"driver speed to a million": {"driver speed {speed} rpm", "0 to a million rpm"},
	"slip between shafts": {"driver {driver speed} rpm on {driver diameter} mm, driven {driven speed} rpm on " +
		"{driven diameter} mm", "speeds in rpm and pitch diameters in mm above 0"},
	"range of speeds": {"from {from} to {to} rpm", "a range of driver speeds above 0 rpm, the lower first"},
	"name twice":      {"two pulleys are called {pulley:%q}", "give each pulley its own name"},
	"not one driver": {"the run has {drivers} drivers",
		"mark exactly one pulley as the driver, as a rule the crankshaft"},
	"driver turns": {"driver turns {turns}", "-1 clockwise, 1 anticlockwise, 0 unknown"},
	"friction":     {"friction coefficient {mu}", "0 for the usual 0.3, or 0.05 to 1"},
	"no name":      {"pulley {number} has no name", "name it"},
	"centre":       {"the {pulley} is centred at ({x}, {y})", "coordinates in mm, within 100 m"},
	"diameter":     {"the {pulley} has diameter {diameter} mm", "a diameter of 1 mm or more"},
	"measure": {"the {pulley} is measured in an unknown way",
		"effective, outside, over balls or plain"},
	"side": {"the {pulley} runs on an unknown side", "ribs or back"},
	"groove": {"the {pulley} has a groove angle of {angle} degrees",
		"the full angle, 34 to 40 degrees as a rule"},
	"speed limit": {"the {pulley} has a speed limit of {speed} rpm", "0 if unknown"},
	"out of line": {"the {pulley} is out of line by {offset} mm, {tilt x} and {tilt y} degrees",
		"offset in mm, tilt within 45 degrees"},
	"no section":         {"the belt has no section", sections},
	"no such section":    {"{section:%q} is not a belt section", sections},
	"ribs":               {"the belt has {ribs} ribs", "ribs, V strands, or mm of width for a flat belt"},
	"length of the belt": {"the belt is {length} mm long", "effective length in mm, 0 if unknown"},
	"mass":               {"the belt weighs {mass} kg/m", "kg per metre, 0 if not weighed"},
	"stiffness": {"the belt has a stiffness of {stiffness} N",
		"tension at 100 % stretch in N, 0 if unknown"},
	"section figures": {"the section {section} has a figure out of all proportion",
		"start from a ready section and change single figures"},
	"length on offer": {"a belt length on offer is not a number", "effective lengths in mm"},
	"tensioner kind": {"tensioner: unknown kind",
		"none, slide or swing adjuster, spring slider or spring arm"},
	"set tension":      {"tensioner: set tension {tension} N", "N per span, 0 if unknown"},
	"tensioner pulley": {"tensioner: no pulley is called {pulley:%q}", "name one of the pulleys of the run"},
	"tensioner drives": {"tensioner: the driver {pulley:%q} can't be the tensioner",
		"name the pulley that moves"},
	"stops": {"tensioner: stops at {low} and {high}",
		"Low is 0 or less, High 0 or more, in degrees or mm from the place drawn"},
	"half a turn": {"tensioner: stops at {low} and {high} degrees",
		"an arm swings through less than half a turn"},
	"pivot or direction": {"tensioner: the pivot or the direction is not a usable figure", "mm and degrees"},
	"no arm": {"tensioner: the pivot lies on the pulley's centre",
		"the arm is the distance from pivot to pulley centre"},
	"spring": {"tensioner: spring {spring}, rate {rate}", "0 or more"},
	"mark":   {"tensioner: a mark is not a usable figure", "degrees or mm from the place drawn"},
	"tone of a span": {"a tone of {tone} Hz on {span} mm of belt at {mass} kg/m",
		"a tone in Hz, the free span in mm, the belt's mass in kg per metre"},
	"errors of a tone": {"errors of {tone} Hz, {span} mm and {mass} kg/m", "0 up to the figure itself"},
	"flank wear":       {"flank wear of {flank} mm", "mm off each flank, 0 to 2"},
	"positions read":   {"positions {new} and {now}, reading error {error}", "degrees or mm, 0 or more"},
	"worn beyond take-up": {"a belt so worn is {mm:%.1f} mm too long for the tensioner, which would stand at " +
		"its take-up stop ({stop:%+.1f} {stop:unit} from as drawn)", ""},
	"wear without ribs":       {"rib wear of a belt without ribs", "a PK or PJ belt"},
	"nothing moves with wear": {"no pulley of this run moves as the belt wears", ""},
	"no grooved pulley":       {"the belt runs on no grooved pulley", "check which pulleys have grooves"},
}

// What several codes say.
const (
	closing    = "check the order of travel and the side of the belt on each pulley"
	sections   = "PK, PJ, AV10, AV13 or flat"
	notPrinted = "{text:%.40q} is not a belt designation"
	tooSmall   = "the {pulley}, {diameter} mm across, is too small for the belt: its line would run on a diameter " +
		"of {line:%.2f} mm"
	asDiameter = "check that it is a diameter, in mm: here it takes more than {least:%.1f} mm"
)

// suggestions are the words of each change that makes a refused run work.
var suggestions = map[drive.Code]message.Text{
	drive.TurnRound: "listed the other way round the run works",
	drive.Swap:      "with the {1} and the {2} swapped the run works",
	drive.OtherSide: "with the {1} on the ribs of the belt the run works",
	otherBack:       "with the {1} on the back of the belt the run works",
}

// otherBack is the other side where that is the back.
const otherBack drive.Code = "on the back"

// stops name the ends of a travel.
var stops = map[drive.Stop]message.Text{drive.TakeUpStop: "take-up stop", drive.FittingStop: "fitting stop"}

// warnings are the words of each limit passed.
var warnings = map[drive.WarningKind]message.Text{
	drive.SmallPulley:     "effective diameter below the smallest recommended",
	drive.SmallBackPulley: "pulley on the back of the belt below the smallest recommended",
	drive.LittleRoom:      "less room to the next pulley or span than the belt is thick",
	drive.GroovedBack:     "the back of the belt runs on a grooved pulley",
	drive.FastBelt:        "belt faster than its limit",
	drive.FastPulley:      "faster than its limit",
	drive.FastAlternator:  "faster than an alternator usually bears",
	drive.SlowAlternator:  "slow enough for its output to fall",
}

// Text says what is wrong, inside a sentence.
func Text(r *drive.Refusal) message.Text {
	s := fill(words[r.Code].text, r)
	if r.Reason == drive.WrongOrder {
		return message.Of("the pulleys are not in the order the belt travels: %s", s)
	}
	return s
}

// Hint says what would be right, or "".
func Hint(r *drive.Refusal) message.Text { return fill(words[r.Code].hint, r) }

// Suggestion says what would make a refused run work.
func Suggestion(s *drive.Suggestion) message.Text {
	code := s.Code
	if code == drive.OtherSide && s.Side == drive.BackSide {
		code = otherBack
	}
	return fill(suggestions[code], &drive.Refusal{Pulleys: s.Pulleys})
}

// Remedy is the first suggestion, else the hint, or "".
func Remedy(r *drive.Refusal) message.Text {
	if len(r.Suggestions) > 0 {
		return Suggestion(&r.Suggestions[0])
	}
	return Hint(r)
}

// Whole says what is wrong, what would be right and what would make it work.
func Whole(r *drive.Refusal) message.Text {
	all := told.Sentences(Text(r), Hint(r))
	if len(r.Suggestions) > 0 {
		all = append(all, Suggestion(&r.Suggestions[0]))
	}
	return message.Joined(all, "; ")
}

// Warning says which limit is passed, inside a sentence.
func Warning(k drive.WarningKind) message.Text { return warnings[k] }

// WarningUnit is the unit of a warning's figures, a space before it; "" where it
// has none.
func WarningUnit(k drive.WarningKind) string {
	switch k {
	case drive.FastBelt:
		return " m/s"
	case drive.FastPulley, drive.FastAlternator, drive.SlowAlternator:
		return " rpm"
	case drive.GroovedBack:
		return ""
	}
	return " mm"
}

// End names what ends a travel.
func End(t *drive.Travel) message.Text {
	if t.Ends == nil {
		return stops[t.Stop]
	}
	return message.Of("end (before the stop, %s)", Text(t.Ends))
}

// NoBelt says why nothing can be said of a belt that was meant by a print.
func NoBelt(err error) message.Text {
	all := drive.Refusals(err)
	out := make([]message.Text, len(all))
	for i, r := range all {
		out[i] = Whole(r)
	}
	return told.Listing(out)
}

// fill puts the arguments of a refusal into what is said of it.
func fill(text message.Text, r *drive.Refusal) message.Text {
	if text == "" {
		return ""
	}
	args := []say.Argument{{Of: "mm", Value: r.MM}}
	for i, p := range r.Pulleys {
		args = append(args, say.Argument{Of: strconv.Itoa(i + 1), Name: p})
	}
	for _, a := range r.Args {
		args = append(args, say.Argument(a))
	}
	return say.Fill(text, args)
}
