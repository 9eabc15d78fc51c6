#!/usr/bin/env bash
# Measures the engine of hidden condition in processor time, so that other work on the machine counts
# little: one log-likelihood of the cav data against msm's in the same run (needs Rscript with msm), which must be at
# least 20 times as fast, and the chances of 300 parts with ten years of looks each, below 100 ms.
set -euo pipefail
cd "$(dirname "$0")/.."
reference=$(Rscript bench/condition_msm.R)
export GODEBUG=asyncpreemptoff=1 # being interrupted by others is not ours
go test -run '^$' -bench '^Benchmark(Cav|Yard)$' -benchtime 1s ./condition | awk -v r="$reference" '
	{ for (i = 2; i <= NF; i++) if ($i == "cpu-ms/op") cpu[substr($1, 10, 3)] = $(i - 1) }
	END {
		printf "msm, one likelihood of cav      %8.2f ms of processor time\n", r
		printf "condition, the same             %8.3f ms\n", cpu["Cav"]
		printf "times as fast                   %8.1f, wanted 20\n", r / cpu["Cav"]
		printf "300 parts, ten years of looks   %8.1f ms, allowed 100\n", cpu["Yar"]
		exit !(r / cpu["Cav"] >= 20 && cpu["Yar"] < 100)
	}'
