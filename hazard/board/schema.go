package board

import _ "embed" // the schema ships inside the program

// TodaySchema is the JSON Schema (draft 2020-12) of TodayJSON, WhyJSON and
// each line of StreamJSON.
//
//go:embed schema/today-1.schema.json
var TodaySchema []byte
