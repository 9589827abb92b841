package main

import "rimegate/hazard/moves"

func runMoves(r *request) error {
	days := r.days("days", 21, moves.MaxDays-1)
	var set moves.Settings
	if pct := r.Number("utilisation"); pct != nil {
		set.UtilisationPct = *pct
		if !(*pct > 0 && *pct <= 100) {
			r.Wrong("utilisation", "lies above 0 and up to 100 %", "type one like 25%")
		}
	}
	if cm := r.Number("leave"); cm != nil {
		set.LeaveCM = *cm
	}
	if err := r.err(); err != nil {
		return err
	}
	m, err := r.view.Moves(days, set)
	if err != nil {
		return err
	}
	return r.print(m, m.JSON)
}
