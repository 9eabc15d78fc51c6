#!/bin/sh
# Times the belt engine beside the same computation in numpy and scipy, in one
# run on one machine, and fails if the two don't compute the same figures.
# Needs go and python3 with numpy and scipy.
set -eu
cd "$(dirname "$0")/.."
python=${PYTHON:-/usr/bin/python3}
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT
go test -run '^$' -bench '^Benchmark(Geometry|Arm|LeaveOneOut)$' ./drive >"$tmp/go"
"$python" bench/drive_numpy.py >"$tmp/py"
awk '
FNR == NR && /^Benchmark/ {
	name = $1; sub(/^Benchmark/, "", name); sub(/-[0-9]+$/, "", name)
	ns[name] = $3; fig[name] = $5
	next
}
FNR == NR { next }
FNR == 1 {
	printf "%-16s %14s %14s %8s   %s\n", "computation", "drive, ns", "numpy, ns", "ratio", "figure"
}
{
	base = $1; sub(/Batch$/, "", base)
	d = fig[base] - $3; if (d < 0) d = -d
	same = d <= 1e-6 * $3
	printf "%-16s %14.1f %14.1f %8.1f   %s %s %s\n", $1, ns[base], $2, $2 / ns[base], fig[base], same ? "=" : "differs from", $3
	if (!same) bad = 1
}
END { exit bad }
' "$tmp/go" "$tmp/py"
