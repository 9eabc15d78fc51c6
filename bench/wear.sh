#!/usr/bin/env bash
# Measures all forecasts of a yard of 5 vehicles and 300 parts on one core, in processor time, so
# that other work on the machine counts little; fails above 50 ms.
set -euo pipefail
cd "$(dirname "$0")/.."
binary=$(mktemp)
trap 'rm -f "$binary"' EXIT
go test -c -o "$binary" ./wear
rounds=60 # and one more that the benchmark takes to warm up
cd wear
TIMEFORMAT=%U
user=$({ time GOMAXPROCS=1 "$binary" -test.run '^$' -test.bench '^BenchmarkYard$' -test.benchtime ${rounds}x >&2; } 2>&1 | tee /dev/stderr | tail -n 1)
awk -v u="$user" -v n=$((rounds + 1)) 'BEGIN {ms = 1000 * u / n; printf "%.1f ms of processor time a yard, allowed 50\n", ms; exit !(ms < 50)}'
