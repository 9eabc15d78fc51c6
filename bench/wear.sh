#!/usr/bin/env bash
# Measures all forecasts of a yard of 5 vehicles and 300 parts on one core; fails above 50 ms.
set -euo pipefail
cd "$(dirname "$0")/.."
GOMAXPROCS=1 go test -run '^$' -bench '^BenchmarkYard$' -count 3 ./wear |
	awk '/^BenchmarkYard/ {for (i = 1; i < NF; i++) if ($(i+1) == "ms/yard") {print $i " ms a yard"; if (best == "" || $i < best) best = $i}}
		END {print "best " best " ms, allowed 50"; exit !(best < 50)}'
