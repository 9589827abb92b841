// Package tui is the day's work on a terminal: the morning list, the reasoning
// behind it, forms for what happened, nights, feed, the coming days, errands
// and the rulebook. It works at 80 by 24 cells with the keyboard alone.
//
// How it is built:
//
//   - model is all state, a plain struct; only the loop of Run touches it.
//   - model.render makes a frame (lines of spans with roles) of it; nothing is
//     read back from a widget. view draws the frame, cell by cell.
//   - Every text becomes a span through say, which cleans it (board.Clean).
//     Spans are drawn as they are, so square brackets, which tview's own widgets
//     take for colour tags, have no meaning here and need no escaping.
//   - Keys are data (keys.go); footer and help are made from them.
//   - Nothing waits for the disk: jobs run in one loader goroutine and come back
//     through post. The last list stays on screen, marked, while a journal is
//     busy or damaged.
//   - A selection is an id, never a row number, so that a refresh does not move
//     the cursor to another paddock.
//
// The package sees one small Farm and knows no journal, rulebook or file.
package tui
