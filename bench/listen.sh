#!/bin/sh
# Ten seconds at 48 kHz analysed whole, here and by the same steps in scipy, in the same minute on the same machine.
# Prints both times by the clock and of the processor, which a busy machine disturbs less, their ratios (aim: a fifth at
# most) and the memory allocated against the recording's samples (aim: under 10 times).
# Needs python3 with scipy (Debian: python3-scipy).
set -eu
cd "$(dirname "$0")/.."
py=/usr/bin/python3
[ -x "$py" ] || py=python3
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
"$py" bench/listen_scipy.py make "$dir/ten.wav"
export UNDERTRAY_BENCH_WAV="$dir/ten.wav"
go test ./listen -run '^$' -bench '^BenchmarkDiagnose' -benchtime 5x -count 3 >"$dir/go.txt"
scipy=$("$py" bench/listen_scipy.py time "$dir/ten.wav")
awk -v scipy="$scipy" 'function least(old, new) { return old == 0 || new < old ? new : old }
/^BenchmarkDiagnose(-[0-9]+)?[ \t]/ { for (i = 3; i < NF; i++) {
  if ($(i+1) == "ns/op") t = least(t, $i / 1e9)
  if ($(i+1) == "cpu-ns/op") c = least(c, $i / 1e9) } }
/^BenchmarkDiagnoseMemory/ { for (i = 2; i < NF; i++) if ($(i+1) == "x-recording") m = $i }
END {
  if (t == 0 || c == 0) { print "no time measured"; exit 1 }
  split(scipy, s, " ")
  printf "by the clock      listen %.3f s, scipy %.3f s, ratio %.2f\n", t, s[1], t / s[1]
  printf "of the processor  listen %.3f s, scipy %.3f s, ratio %.2f\n", c, s[2], c / s[2]
  printf "peak memory over the recording: %.1f times\n", m
}' "$dir/go.txt"
