// Package rules holds the rulebook as data: TOML files, embedded, each number
// with its sources, and the strict reader that turns them into the numbers the
// engine works with.
//
// Adding a nitrate table or a publication is adding a file. Every fault of the
// data is reported at once, with file, line and column.
package rules
