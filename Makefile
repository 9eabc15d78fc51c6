# make demo    the made-up yard of a bird reserve, to look around in
# make check   everything a change must pass; sets up what it needs
# make soak    the long random campaigns, of which make check runs a part
.PHONY: demo check soak build test bench golden clean

demo: build
	@bin/undertray demo

build:
	@go build -o bin/undertray ./cmd/undertray

check:
	@scripts/check

soak:
	@scripts/soak

test:
	@go test ./...

bench:
	@go test -run '^$$' -bench . ./...

# Rewrite the expected outputs after looking at the difference.
golden:
	@go test ./... -update

clean:
	@rm -rf bin build

# Hours instead of minutes: kills, fuzzing, journals of a million entries.
soak:
	UNDERTRAY_SOAK=1 go test -timeout 4h -run 'CrashCampaign|PowerLoss|RandomHistories|FlippedBits|SendersAtOnce' -v ./internal/journal
	UNDERTRAY_SOAK=1 go test -timeout 2h -run '^$$' -bench . -benchtime 10x ./bench/growth
	for f in internal/journal:FuzzImport internal/yard:FuzzSettings internal/yamltree:FuzzReader internal/intake:FuzzFindings; do \
		go test -run '^$$' -fuzz "$${f#*:}\$$" -fuzztime 500000x ./$${f%:*} || exit 1; done

# Known holes in what the program is built from.
holes:
	@scripts/holes
