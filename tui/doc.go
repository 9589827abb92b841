// Package tui is the day's work on a terminal: the morning list, the reasoning
// behind it, forms for what happened and for setting up the farm, nights, feed,
// the coming days, errands and the rulebook. It works at 80 by 24 cells with the keyboard alone.
//
// How it is built:
//
//   - model is all state, a plain struct; only the loop of Run touches it.
//   - screens.go is a table of pages: each is a list with ids or a text, and says
//     what its rows open. list.go lays out every list, prose (span.go) every text;
//     model.render makes a frame (lines of spans with roles) of it, and view.go
//     draws it on the terminal, cell by cell.
//   - Every text becomes a span through say or col, which clean it (board.Clean).
//     Spans are drawn as they are, so square brackets have no meaning here.
//   - Keys are data (keys.go); footer and help are made from them.
//   - Nothing waits for the disk: jobs run in one loader goroutine and come back
//     through post. The last list stays on screen, marked, while a journal is
//     busy or damaged.
//   - A selection is an id, never a row number, so that a refresh does not move
//     the cursor to another paddock.
//
// The package sees one small Farm and knows no journal, rulebook or file.
package tui
