# Self-documenting: `make` lists the targets.
.DEFAULT_GOAL := help

help: ## list the targets
	@grep -E '^[a-z-]+:.*##' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 12

demo: ## an invented farm in a fresh journal, and its morning list
	go run ./cmd/rimegate demo

docs: ## limits, recipes, words, every rule and the contract on one page to read: rimegate-docs.md
	@{ cat cmd/rimegate/docs/limits.md; for f in cmd/rimegate/docs/cookbook/*.md cmd/rimegate/docs/glossary.md; do echo; cat $$f; done; \
	printf '\n# Rules\n\n'; go run ./cmd/rimegate help rules all | sed -E 's/^([a-z]+[a-z0-9._-]*): /## \1: /; s/^[A-Z ]/    &/'; \
	echo; cat hazard/CONTRACT.md; } > rimegate-docs.md
.PHONY: docs

test: ## the tests, as the README says
	go test ./...

ci: ## everything a change must pass
	bash .ci/run

judge: ## long run of the second engine and of "more bad news never makes a flag better"
	go test ./hazard/judge -timeout 0 -count=1 -run 'TestEnginesAgree|TestWorseNeverHelps' -args -days 1000000 -pairs 200000

mutants: ## single-token changes of hazard and weather that the ordinary tests must notice
	go test ./cmd/internal/arch -timeout 0 -count=1 -v -run 'TestMutants' -args -mutants 40

size: ## shipped hand-written lines by package (tests, second engine, generated code not counted)
	@git ls-files '*.go' | grep -vE '_test\.go$$|_gen\.go$$|/judge/|readertest|anyentry' | xargs wc -l | awk '\
	$$2 != "total" {n = $$2; sub(/\/[^\/]*$$/, "", n); s[n] += $$1; t += $$1} END {for (k in s) printf "%6d %s\n", s[k], k; printf "%6d in all\n", t}' | sort -rn

bench: ## benchmarks, then whole commands on large farms; read the ratios, not the times
	go test -run '^$$' -bench . ./...
	go run ./testdata/scale/bench

build: ## one binary, ./rimegate, without debug data
	bash cmd/rimegate/package/build.sh program

binaries: ## dist/: archives for Linux, macOS and Windows, their SBOMs and SHA-256 sums
	bash cmd/rimegate/package/build.sh binaries

packages: ## dist/: .deb and .rpm with manual pages and completions
	bash cmd/rimegate/package/build.sh packages

packages-check: ## unpack this computer's package into a scratch root and run every file of it
	bash cmd/rimegate/package/check.sh

reproducible: ## build everything twice, in two folders, and compare byte by byte
	bash cmd/rimegate/package/reproducible.sh

sbom: ## dist/rimegate.cdx.json: the modules in the program, as CycloneDX
	bash cmd/rimegate/package/build.sh sbom

.PHONY: help demo test ci judge mutants size bench build binaries packages packages-check reproducible sbom
