# `make` prints what can be done here. CI runs `make test`, and nothing else.
GO ?= go
export CGO_ENABLED = 0
LDFLAGS = -s -w
TARGETS = linux/amd64 linux/arm64 darwin/amd64 darwin/arm64 windows/amd64 windows/arm64

.PHONY: help run test soak lint fuzz hunt bench bench-exact bench-routes backtest stories shots looks storybook build release need unit vuln foreign size

help: ## this list
	@grep -E '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sed 's/:.*## /\t/' | sort | awk -F'\t' '{printf "  make %-10s %s\n", $$1, $$2}'

run: ## the whole job on the example season
	$(GO) run ./cmd/larder demo

test: need lint unit foreign size ## everything that must pass: what the tests need, lint, tests with the race detector, foreign builds

need: ## install what the tests need, or say the one line to type
	sh tools/need.sh

unit:
	GO="$(GO)" sh tools/unit.sh

hunt: ## property tests with new draws, CHECKS each (default 1000)
	GO="$(GO)" sh tools/unit.sh hunt $${CHECKS:-1000}

lint: ## gofmt, vet, staticcheck
	@bad=$$(gofmt -l cmd internal manual tools); if [ -n "$$bad" ]; then echo "gofmt would change:"; echo "$$bad"; exit 1; fi
	$(GO) vet ./...
	$(GO) tool staticcheck ./...

vuln: ## known vulnerabilities in what we depend on (needs the network)
	$(GO) tool govulncheck ./...

fuzz: ## fuzz every target, FUZZTIME each (default 60s), and keep account in tools/fuzz/RESULT.csv
	$(GO) run ./tools/fuzz -each $${FUZZTIME:-60s}

bench: ## benchmarks; nothing here can fail a build
	$(GO) test -run '^$$' -bench . -benchmem ./...
	sh tools/startup.sh

bench-routes: ## trips on public routing instances against the best known: make bench-routes DATA=folder
	DATA="$(DATA)" $(GO) run ./tools/routes -to tools/routes/RESULT.md

soak: ## half an hour of mixed load and trouble on each engine (SOAK=30m)
	$(GO) run ./tools/soak -for $${SOAK:-30m} -engine sqlite
	$(GO) run ./tools/soak -for $${SOAK:-30m} -engine postgres

backtest: ## foretell each season from the years before and score it: make backtest DATA=folder
	DATA="$(DATA)" $(GO) run ./tools/backtest -to tools/backtest/RESULT.md

bench-exact: ## the planner against an exact solver on 30 small seasons, up to two minutes each
	$(GO) run ./tools/exact -to tools/exact/RESULT.md
	$(GO) run ./tools/exact -page manual/planner.md

stories: ## the stories of the whole binary, one by one
	$(GO) test -count=1 -v -run TestStories ./cmd/larder

storybook: ## every screen in every state, without a database
	$(GO) run ./tools/storybook

looks: ## axe-core on every screen in every state, wide and narrow, light and dark
	LOOKS=all $(GO) test -count=1 -timeout 30m -run TestStories ./internal/web/browser

shots: ## pictures of every screen in every state, 390 and 1280 px, light and dark, in shots/
	$(GO) run ./tools/storybook --shots shots

build: ## the binary for this machine
	$(GO) build -trimpath -ldflags '$(LDFLAGS)' -o larder ./cmd/larder

foreign: ## two foreign builds, another pair each week
	sh tools/foreign.sh $(TARGETS)

# Without -trimpath nothing has to be compiled anew after the tests; with it the
# binary is smaller by some kilobytes.
size: ## the binary stays under 40 MB
	@bin=$$(mktemp) && trap 'rm -f "$$bin"' EXIT && $(GO) build -ldflags '$(LDFLAGS)' -o "$$bin" ./cmd/larder && sh tools/size.sh "$$bin" 40

release: ## archives, Debian packages, what is in them and check sums, in dist/
	$(GO) run ./tools/release -to dist
