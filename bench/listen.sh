#!/bin/sh
# Ten seconds at 48 kHz analysed whole, here and by the same steps in scipy, in the same minute on the same machine.
# Prints both times, their ratio (aim: under a quarter) and the memory allocated against the recording's samples (aim: under 10 times).
# Needs python3 with scipy (Debian: python3-scipy).
set -eu
cd "$(dirname "$0")/.."
py=/usr/bin/python3
[ -x "$py" ] || py=python3
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
"$py" bench/listen_scipy.py make "$dir/ten.wav"
export UNDERTRAY_BENCH_WAV="$dir/ten.wav"
go test ./listen -run '^$' -bench '^BenchmarkDiagnose' -benchtime 3x -count 3 >"$dir/go.txt"
scipy=$("$py" bench/listen_scipy.py time "$dir/ten.wav")
awk -v s="$scipy" '/^BenchmarkDiagnose(-[0-9]+)?[ \t]/ { if (t == 0 || $3 / 1e9 < t) t = $3 / 1e9 }
/^BenchmarkDiagnoseMemory/ { for (i = 2; i < NF; i++) if ($(i+1) == "x-recording") m = $i }
END {
  if (t == 0) { print "no time measured"; exit 1 }
  printf "listen  %.3f s\nscipy   %.3f s\nratio   %.2f\npeak memory over the recording: %.1f times\n", t, s, t / s, m
}' "$dir/go.txt"
