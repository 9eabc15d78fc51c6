#!/usr/bin/env bash
# Compares one Weibull fit of 200 censored lives with R's survreg in a loop inside one R process.
# Needs Rscript with the survival package. Fails when the fit is not at least 20 times as fast.
set -euo pipefail
cd "$(dirname "$0")/.."
read -r survreg bare shape scale < <(Rscript bench/lifetime_survreg.R)
ours=$(go test -run '^$' -bench '^BenchmarkEstimate$' ./lifetime | awk '/^BenchmarkEstimate/ {print $3}')
awk -v r="$survreg" -v b="$bare" -v o="$ours" -v k="$shape" -v s="$scale" 'BEGIN {
	printf "survreg (formula)      %10.0f ns a fit   shape %s scale %s\n", r, k, s
	printf "survreg.fit (bare)     %10.0f ns a fit\n", b
	printf "lifetime.Estimate      %10.0f ns a fit\n", o
	printf "times as fast          %10.1f (formula), %.1f (bare)\n", r / o, b / o
	exit !(r / o >= 20)
}'
