package tui

import "strings"

func (a *app) needMoves() {
	a.start(job{
		what: "working out the moves",
		run: func() (func(), error) {
			words, err := a.farm.Moves()
			return func() { a.m.moves = words }, err
		},
		fail: func(err error) { a.m.wrong(sentence(err)) },
	})
}

// movesText is where each herd can stand, as the farm's plan has it.
func (m *model) movesText(w int) []line {
	if m.moves == nil {
		return []line{row(keep(dim, " Working out the moves ..."))}
	}
	var out []line
	for _, s := range strings.Split(strings.TrimRight(m.moves(max(w-1, minWidth)), "\n"), "\n") {
		indent := len(s) - len(strings.TrimLeft(s, " "))
		out = append(out, row(keep(plain, " "+strings.Repeat(" ", indent)), say(plain, s)))
	}
	return out
}
