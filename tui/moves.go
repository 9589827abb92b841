package tui

import "strings"

func (a *app) needMoves() {
	fetch(a, "working out the moves", a.farm.Moves, func(words func(int) string) { a.m.moves = words })
}

// movesText is where each herd can stand, as the farm's plan has it.
func (m *model) movesText(p *prose) {
	if m.moves == nil {
		p.lines = wait("Working out the moves")
		return
	}
	for _, s := range strings.Split(strings.TrimRight(m.moves(max(p.w-1, minWidth)), "\n"), "\n") {
		indent := len(s) - len(strings.TrimLeft(s, " "))
		p.row(keep(plain, " "+strings.Repeat(" ", indent)), say(plain, s))
	}
}
