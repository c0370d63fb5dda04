# run        build the program and open the invented demo programme on loopback
# test       everything that is checked, in one go; ends with one line of counts
# bench      benchmarks of the core and the stores
# fuzz       each fuzz test for FUZZTIME
# generate   files made from other files: SOURCES.md, the measures in
#            NOMENCLATURE.md, and whatever go:generate names
# pictures   the pictures in docs/pictures, taken of the built program
# release    one static binary per platform under dist/, with checksums

SHELL := /bin/bash
.SHELLFLAGS := -eu -o pipefail -c
.DEFAULT_GOAL := run
.PHONY: run build engine test needs check e2e-assets bench fuzz generate pictures release clean

ADDR     ?= 127.0.0.1:8737
FUZZTIME ?= 30s
TIMEOUT  ?= 20m
VERSION  ?= $(shell git describe --tags --always --dirty 2>/dev/null || echo unversioned)
LDFLAGS  := -s -w -X main.version=$(VERSION)

# A machine without a home directory keeps its caches here.
ifeq ($(strip $(HOME)),)
export HOME             := $(CURDIR)/.cache
endif
export npm_config_cache ?= $(HOME)/.npm
export npm_config_update_notifier := false
export CHROME_LOG_FILE  := /dev/null

run: build
	@echo "Firnhand's demo programme opens on http://$(ADDR)  (stop with Ctrl-C)"
	bin/firnhand demo serve --addr $(ADDR)

build: engine
	CGO_ENABLED=0 go build -buildvcs=false -trimpath -ldflags "$(LDFLAGS)" -o bin/firnhand ./cmd/firnhand

# The engine for the page on a phone, as WebAssembly; the program carries it.
engine:
	@go run ./tools/hill engine

test: needs e2e-assets build check
	FIRNHAND_BIN="$(CURDIR)/bin/firnhand" go run ./tools/testrun -timeout $(TIMEOUT)

# Programs only the tests use. Where one is missing and cannot be installed the
# tests that need it are skipped, each saying so.
needs:
	@tools/needs

check:
	@dirty=$$(gofmt -l $(wildcard cmd core demo e2e internal programme tools)); \
	if [ -n "$$dirty" ]; then echo "gofmt would change:"; echo "$$dirty"; exit 1; fi
	go vet ./...

e2e-assets:
	@if [ -f e2e/package-lock.json ] && [ ! -d e2e/node_modules/axe-core ]; then \
		if command -v npm >/dev/null; then cd e2e && npm ci --no-audit --no-fund --ignore-scripts; \
		else echo "npm is missing, so the accessibility checks of the pages will be skipped."; fi; \
	fi

bench:
	go test -run '^$$' -bench . -benchmem ./...

fuzz:
	@go list -f '{{if .TestGoFiles}}{{.ImportPath}}{{else if .XTestGoFiles}}{{.ImportPath}}{{end}}' ./... | while read -r pkg; do \
		go test -list '^Fuzz' $$pkg | { grep '^Fuzz' || true; } | while read -r name; do \
			echo "$$pkg $$name"; go test -run '^$$' -fuzz "^$$name\$$" -fuzztime $(FUZZTIME) $$pkg; \
		done; \
	done

generate:
	go generate ./...
	go run ./tools/sources

pictures: build
	FIRNHAND_BIN="$(CURDIR)/bin/firnhand" go test ./e2e -run TestPictures -pictures -count=1

release:
	@rm -rf dist && mkdir -p dist
	@for target in linux/amd64 linux/arm64 darwin/arm64 darwin/amd64 windows/amd64; do \
		os=$${target%/*}; arch=$${target#*/}; ext=; [ $$os = windows ] && ext=.exe; \
		echo "firnhand-$$os-$$arch$$ext"; \
		CGO_ENABLED=0 GOOS=$$os GOARCH=$$arch go build -buildvcs=false -trimpath -ldflags "$(LDFLAGS)" \
			-o dist/firnhand-$$os-$$arch$$ext ./cmd/firnhand; \
	done
	cd dist && sha256sum firnhand-* > SHA256SUMS

clean:
	rm -rf bin dist e2e/node_modules e2e/out
