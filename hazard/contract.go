package hazard

import (
	_ "embed"
	"slices"
	"strings"
	"sync"

	"rimegate/fields/lazy"
)

//go:embed CONTRACT.md
var contractText string

// Contract is the text by which the engine answers, as Markdown.
func Contract() string { return contractText }

// ContractLine is a row of the contract's appendix A: a line of the answer by the name of
// its constant.
type ContractLine struct {
	Name, Section, Says string
	Rules               []string // ids of those it can rest on
}

var contractRow = lazy.Regexp("(?m)^\\| `(Line\\w+)` \\| §(\\S+) \\| (.*) \\| (.*) \\|$")

// ContractLines returns appendix A, which is read when it is first asked for.
var ContractLines = sync.OnceValue(func() (out []ContractLine) {
	for _, m := range contractRow().FindAllStringSubmatch(contractText, -1) {
		out = append(out, ContractLine{m[1], m[2], m[3], strings.Split(strings.ReplaceAll(m[4], "`", ""), ", ")})
	}
	return out
})

// ContractSections returns the numbers of the contract's sections that name a rule.
func ContractSections(rule string) (out []string) {
	body, appendices, _ := strings.Cut(contractText, "\n## Appendix A.")
	for _, s := range strings.Split(body, "\n### ")[1:] {
		if strings.Contains(s, "`"+rule+"`") {
			number, _, _ := strings.Cut(s, " ")
			out = append(out, number)
		}
	}
	_, reasons, _ := strings.Cut(appendices, "\n## Appendix B.")
	if _, at, found := strings.Cut(reasons, "`"+rule+"` | §"); found {
		if number, _, _ := strings.Cut(at, " "); !slices.Contains(out, number) {
			out = append(out, number)
		}
	}
	return out
}
