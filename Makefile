# Self-documenting: `make` lists the targets.
.DEFAULT_GOAL := help

help: ## list the targets
	@grep -E '^[a-z-]+:.*##' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 12

demo: ## an invented farm in a fresh journal, and its morning list
	go run ./cmd/rimegate demo

test: ## the tests, as the README says
	go test ./...

ci: ## everything a change must pass
	bash .ci/run

judge: ## long run of the second engine and of "more bad news never makes a flag better"
	go test ./hazard/judge -timeout 0 -count=1 -run 'TestAgree|TestWorse' -args -days 1000000 -pairs 200000

bench: ## benchmarks; read the ratios, not the times
	go test -run '^$$' -bench . ./...

build: ## one binary, ./rimegate, without debug data
	CGO_ENABLED=0 go build -trimpath -ldflags='-s -w' -o rimegate ./cmd/rimegate

.PHONY: help demo test ci judge bench build
