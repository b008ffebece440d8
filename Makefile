# What people run. Everything works offline once the modules are there.
#
#   make test      all checks, as the build machine runs them
#   make cases     only the published and shared cases, each by name
#   make fuzz      every fuzz target, FUZZTIME (10m) each
#   make bench     benchmarks, compared with .cache/bench-before.txt if there is one
#   make generate  rewrites what is generated
#   make size      how large the programs are

SHELL := /bin/bash
.SHELLFLAGS := -eu -o pipefail -c
GO ?= go
TOOL := $(GO) tool -modfile=tools.mod
FUZZTIME ?= 10m
LDFLAGS := -s -w

.PHONY: test needs format vet staticcheck vulnerabilities layers go-test wasm bench cases fuzz generate size clean

test: needs format vet staticcheck vulnerabilities layers go-test wasm
	@echo "all checks done"

needs:
	@.ci/needs

format:
	@out=$$(gofmt -l . ); [ -z "$$out" ] || { printf 'gofmt -w is wanted for:\n%s\n' "$$out"; exit 1; }
	@out=$$($(TOOL) gofumpt -l . ); [ -z "$$out" ] || { printf 'go tool -modfile=tools.mod gofumpt -w is wanted for:\n%s\n' "$$out"; exit 1; }

vet:
	$(GO) vet ./...

staticcheck:
	$(TOOL) staticcheck ./...

vulnerabilities:
	@.ci/vulnerabilities

# First and alone: a package in the wrong place is better heard of before all else fails.
layers:
	$(GO) test .

go-test:
	$(GO) test ./...

wasm:
	GOOS=js GOARCH=wasm $(GO) build ./engine/...

cases:
	@$(GO) run ./internal/cases/cmd/cases -v

fuzz:
	@FUZZTIME=$(FUZZTIME) .ci/fuzz

bench:
	@mkdir -p .cache
	$(GO) test -run '^$$' -bench . -benchmem -count 6 ./... | tee .cache/bench.txt
	@if [ -f .cache/bench-before.txt ]; then $(TOOL) benchstat .cache/bench-before.txt .cache/bench.txt; \
	else echo "to compare later: cp .cache/bench.txt .cache/bench-before.txt"; fi

generate:
	$(GO) generate ./...

# Each main package: as a program for this machine, and for a browser where it is made for one.
size:
	@mkdir -p .cache/size
	@for p in $$($(GO) list -f '{{if eq .Name "main"}}{{.ImportPath}}{{end}}' ./cmd/...); do \
		CGO_ENABLED=0 $(GO) build -trimpath -ldflags '$(LDFLAGS)' -o .cache/size/program $$p; \
		printf '%-32s %9d bytes\n' $$p $$(stat -c %s .cache/size/program); done
	@for p in $$(GOOS=js GOARCH=wasm $(GO) list -f '{{if eq .Name "main"}}{{.ImportPath}}{{end}}' ./web/... 2>/dev/null); do \
		GOOS=js GOARCH=wasm $(GO) build -trimpath -ldflags '$(LDFLAGS)' -o .cache/size/page.wasm $$p; \
		printf '%-32s %9d bytes, %d gzipped\n' "$$p (wasm)" $$(stat -c %s .cache/size/page.wasm) $$(gzip -9c .cache/size/page.wasm | wc -c); done

clean:
	rm -rf .cache bin
