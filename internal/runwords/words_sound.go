package runwords

import (
	"errors"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/listen"
)

// sounds say each kind of thing that can be wrong with a recording, and what to
// do about it.
var sounds = []struct {
	is         error
	what, hint message.Text
}{
	{listen.ErrNotAudio, "not a WAV recording",
		"record or export it as WAV, uncompressed: compressed sound has lost what is asked for"},
	{listen.ErrBroken, "broken WAV recording", "copy the file again from where it was recorded, or record anew"},
	{listen.ErrFormat, "WAV coding not read", "save it as WAV with 16 or 24 bits and 44100 or 48000 samples a second"},
	{listen.ErrSilent, "recording is silent",
		"see that the right microphone is in use and not muted, and record again"},
	{listen.ErrTooShort, "recording is too short", "record ten seconds at one held speed"},
	{listen.ErrTooLong, "recording is too long", "cut it to the half minute that matters"},
	{listen.ErrInput, "impossible input", "check the speed and the figures given"},
}

// cases say each case of these; what stands in braces is an argument.
var cases = map[listen.Code]message.Text{
	"bearing figures": "bearing {bearing:%q}: {balls} balls of {ball} on a pitch circle of {pitch} at " +
		"{angle} degrees; 3 to 200 balls, smaller than the pitch circle, 0 to 90 degrees",
	"balls do not fit": "bearing {bearing:%q}: {balls} balls of {ball} do not fit on a pitch circle of {pitch}",
	"no bearing":       "no bearing given",
	"short to compare": "it lasts {lasts:%.2f} s; one second is needed to compare",
	"notch":            "a notch at {at} Hz; at least 5 Hz is needed",
	"cylinders":        "{cylinders} cylinders; 1 to 16 are taken",
	"band":             "band from {from} to {to} Hz; half the sampling rate is {half}",
	"envelope":         "envelope up to {to} Hz; half the sampling rate is {half}",
	"few samples":      "{samples:%.0f} samples",
	"beat":             "beat {beat:%q} at {at} Hz",
	"short to sort":    "it lasts {lasts:%.1f} s; a noise is sorted from 3 s, ten are better",
	"coarse to sort":   "{rate} samples per second hold nothing above {half} Hz; at least {least} are needed",
	"uneven track":     "a track of {times} times and {speeds} speeds",
	"track point":      "track point {point}: {speed} Hz at {at} s; speeds above zero at rising times",
	"order":            "an order of {order}; above 0 and up to 1000",
	"samples per turn": "{samples} samples per turn",
	"no pulley":        "no pulley given",
	"pulley ratio": "pulley {number} ({pulley}): ratio {ratio} with deviation {deviation}; 0.05 to 20, " +
		"and up to 0.05",
	"pulley tone":     "pulley {number} ({pulley}): tone {tone:%q} at order {order}",
	"belt turns":      "{turns} belt turns per crank turn",
	"no samples":      "it holds no samples",
	"rate":            "{rate} samples per second",
	"uneven channels": "channel {channel} has {samples:%.0f} samples, channel 1 has {first:%.0f}",
	"no channel sounds": "no channel carries more than a millionth of full scale; check that the microphone " +
		"is the one in use and not muted",
	"sample no number": "channel {channel}, sample {sample:%.0f} is {value}",
	"foreign ranking":  "a ranking that was not made from this recording",
	"experiment":       "experiment {experiment:%q} is not known",
	"odds":             "hypothesis {number} ({hypothesis}): its odds are no share from 0 to 1",
	"no odds":          "no hypothesis is left to weigh",
	"short segment":    "a segment of {samples:%.0f} samples; 8 are the least",
	"long segment":     "a segment of {samples:%.0f} samples in a recording of {length:%.0f}",
	"speed":            "a speed of {speed} turns per second; 0.5 to 2000 are taken (30 to 120 000 rpm)",
	"speed tolerance":  "a speed tolerance of {tolerance}; 0 to 0.1 is taken (10 %)",
	"short at the speed": "it lasts {lasts:%.1f} s; at {speed:%.0f} rpm at least {needs:%.1f} s are needed, " +
		"and ten seconds are better",
	"span":                   "a span of {length} m with {mass} kg/m; 0.02 to 5 m and 0.005 to 5 kg/m",
	"short for a pluck":      "it lasts {lasts:%.2f} s; a pluck rings for half a second",
	"shorter than a header":  "the file is shorter than a WAV header",
	"other head":             "it begins with {head:%q}, a WAV file begins with RIFF....WAVE",
	"ends before samples":    "the file ends before any samples",
	"ends inside a part":     "the file ends inside the part named \"{part}\"",
	"format length":          "the format part is {bytes:%.0f} bytes long, 16 to 40 are usual",
	"ends inside the format": "the file ends inside its format part",
	"coding": "coding {coding:%.0f} with {bits} bits; 8, 16, 24, 32-bit integers and 32, 64-bit " +
		"floats are read, record uncompressed",
	"channels": "{channels} channels; 1 to {most} are read",
	"rate not read": "{rate} samples per second; {least:%.0f} to {most:%.0f} are read, 44100 or 48000 " +
		"are usual",
	"bytes per instant": "the header says {says} bytes per instant, {channels} channels of {bits} bits need " +
		"{needs}",
	"samples before the format": "the samples come before the format that explains them",
	"many bytes":                "more than {most:%.0f} GiB of samples; ten to thirty seconds are enough",
}

// Sound says what is wrong with a recording and what to do about it; ""
// where the error is not of package listen.
func Sound(err error) (text, hint message.Text) {
	var f *listen.Fault
	if !errors.As(err, &f) {
		return "", ""
	}
	var args []say.Argument
	for _, a := range f.Args {
		args = append(args, say.Argument(a))
	}
	for _, s := range sounds {
		if errors.Is(f.Kind, s.is) {
			return message.Joined([]message.Text{s.what, say.Fill(cases[f.Code], args)}, ": "), s.hint
		}
	}
	return "", ""
}
