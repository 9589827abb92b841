package tui

func (a *app) needMoves() {
	fetch(a, "working out the moves", a.farm.Moves, func(words func(int) string) { a.m.moves = words })
}

// movesText is where each herd can stand, as the farm's plan has it.
func (m *model) movesText(p *prose) {
	if m.moves == nil {
		p.lines = wait("Working out the moves")
		return
	}
	p.told(m.moves(max(p.w-1, minWidth)), func(string, int) role { return plain })
}
