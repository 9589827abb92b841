package tui

import (
	"strings"

	"rimegate/hazard"
	"rimegate/hazard/board"
)

// A flag is a word, a shape (board.Mark) and a colour, the word first.
var flagRole = [...]role{hazard.Clear: flagClear, hazard.Caution: flagCaution, hazard.Hold: flagHold}

// flagCells is the width of a flag with its shape, "? CAUTION" the longest.
const flagCells = 11

// flagSpan is the flag as "# HOLD". It panics on a flag that was never decided.
func flagSpan(f hazard.Flag) span {
	t := " " + board.Mark(f) + " " + board.FlagWord(f)
	return keep(flagRole[f], t+strings.Repeat(" ", flagCells-len(t)))
}

// flagCell is the flag of one day in a strip: three cells, shape in the middle.
func flagCell(f hazard.Flag) span { return keep(flagRole[f], " "+board.Mark(f)+" ") }
