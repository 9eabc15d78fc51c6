#!/bin/sh
# How soon pages come: the demo's first answer after its start (aim 150 ms), a vehicle's page against the journal
# reads it needs (aim: at most 3 times), and the yard page of 200 vehicles with eight years of entries each (aim 100 ms).
set -eu
cd "$(dirname "$0")/.."
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
go build -o "$dir/undertray" ./cmd/undertray
python3 bench/start_pages.py "$dir/undertray"
go test ./internal/web -run '^$' -bench 'VehiclePage|YardOf200' -benchtime 20x | grep '^Benchmark'
