# make demo    the made-up yard of a bird reserve, to look around in
# make check   everything a change must pass; sets up what it needs
# make soak    the long random campaigns, of which make check runs a part
.PHONY: demo check soak build reader test bench golden clean holes

demo: build
	@bin/undertray demo

build: reader
	@go build -o bin/undertray ./cmd/undertray

# What counts on pictures in a browser; without it the server does.
reader:
	@scripts/reader

check:
	@scripts/check

soak:
	@scripts/soak

test: reader
	@go test ./...

bench:
	@go test -run '^$$' -bench . ./...

# Rewrite the expected outputs after looking at the difference.
golden:
	@go test ./... -update

clean:
	@rm -rf bin build internal/web/reader/reader.wasm.gz internal/web/reader/wasm_exec.js

# Known holes in what the program is built from.
holes:
	@scripts/holes
