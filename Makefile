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

SEED ?= $(shell awk -F, 'END {print $$2 + 1}' hazard/judge/testdata/runs.csv)
DAYS ?= 1000000
LEDGER = -commit $(shell git rev-parse --short HEAD) -ledger

judge: ## a part of the long run of both engines; adds its row to hazard/judge/testdata/runs.csv
	go test ./hazard/judge -timeout 0 -count=1 -v -run 'TestEnginesAgree|TestWorseNeverHelps|TestRelaxedIsNeverStricter' -args \
	-seed $(SEED) -days $(DAYS) -pairs $$(($(DAYS) / 16)) -relaxed $$(($(DAYS) / 25)) $(LEDGER) testdata/runs.csv

small: ## every history of up to 5 entries of each alphabet; adds its rows to hazard/judge/testdata/small.csv
	go test ./hazard/judge -timeout 0 -count=1 -v -run TestSmallWorlds -args -small 5 -stride 0 $(LEDGER) testdata/small.csv

closed: ## farms of several seasons, answered with and without what closed seasons say
	go test ./hazard/judge -timeout 0 -count=1 -v -run TestClosed -args -closed 3000 -seed $(SEED)

faults: ## killed programs, power cuts, spoilt files, merges: hours
	go test ./fields/journal -timeout 0 -count=1 -v -run 'TestKilledWhile|TestPowerCutReplayed|TestHarm|TestMergeLaws' -args -kills 5000 -cuts 12 -harms 10000 -laws 60
	go test ./fields/journal -timeout 0 -count=1 -v -run TestNoOlderStateAfterAFlip -args -step 1
	go test ./cmd/rimegate -timeout 0 -count=1 -v -run 'TestKilledCommands|TestAskedOf' -args -kills 500 -harms 5000
	go test ./cmd/internal/farm -timeout 0 -count=1 -v -run TestTwoSeatsApart -args -apart 500

seats: ## eight programs log into 100,000 entries; how long each waits
	go test ./fields/journal -timeout 0 -count=1 -v -run TestEightSeats -args -seats 2m -entries 100000
	go run ./testdata/scale/seats

safeguards: ## take each safeguard of SAFETY.md out and see its test fail
	go test ./cmd/internal/arch -timeout 0 -count=1 -v -run 'TestSafeguards$$' -args -safeguards

fuzz: ## every fuzz target for a minute, one at a time (FUZZ_SECONDS)
	@grep -rnE '^func Fuzz[A-Za-z0-9_]+' --include='*_test.go' . | sed -E 's#^(.*)/[^/]*_test\.go:[0-9]+:func (Fuzz[A-Za-z0-9_]+).*#\1 \2#' | while read -r d n; do echo "-- $$d $$n"; nice go test $$d -run '^$$' -fuzz "^$$n\$$" -fuzztime $${FUZZ_SECONDS:-60}s -fuzzminimizetime 5x -parallel 1 </dev/null || exit 1; done

vulnerable: ## known vulnerabilities in what the program calls, from golang.org/x/vulndb
	go run ./testdata/vulnerable

share: ## sharing at length: 10,000 entries offline, longer cluster, a million replicated
	nice -n 19 go test ./fields/share -run 'TestLongOffline|TestClusterLosesNothing|TestRate' -offline 10000 -rounds 20 -replicated 1000000 -timeout 60m -v
	nice -n 19 go test ./cmd/rimegate -run TestDistrictMemory -v -args -district 200

security: ## a security linter over shipped code; names what security.tsv does not explain
	GOBIN=$$(mktemp -d) && export GOBIN && go install github.com/securego/gosec/v2/cmd/gosec@v2.22.8 && \
	go test ./cmd/internal/arch -timeout 0 -count=1 -v -run TestSecurityLinter -args -security $$GOBIN/gosec

mutants: ## single-token changes of hazard, weather and fields that the tests must notice
	nice go test ./cmd/internal/arch -timeout 0 -count=1 -v -run 'TestMutants' -args -mutants 150

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

.PHONY: help demo test ci judge small closed faults seats safeguards fuzz vulnerable share security mutants size bench build binaries packages packages-check reproducible sbom
