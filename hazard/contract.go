package hazard

import _ "embed"

//go:embed CONTRACT.md
var contractText string

// Contract is the text by which the engine answers, as Markdown: `rimegate help contract`.
func Contract() string { return contractText }
