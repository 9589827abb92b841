package board

import _ "embed" // the schema ships inside the program

// TodaySchema is the JSON Schema (draft 2020-12) of TodayJSON, WhyJSON and
// each line of StreamJSON.
//
//go:embed schema/today-1.schema.json
var TodaySchema []byte

// AheadSchema is the JSON Schema of Strip.JSON.
//
//go:embed schema/ahead-1.schema.json
var AheadSchema []byte

// MovesSchema is the JSON Schema of Moves.JSON.
//
//go:embed schema/moves-1.schema.json
var MovesSchema []byte

// CompareSchema is the JSON Schema of Comparison.JSON.
//
//go:embed schema/compare-1.schema.json
var CompareSchema []byte

// NightsSchema is the JSON Schema of the nights as JSON.
//
//go:embed schema/nights-1.schema.json
var NightsSchema []byte
