package tui

import (
	"slices"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

type feed struct {
	lots    []board.Row   // worst first
	results []fields.Fact // the latest first
}

// fed is the feed of the answer, for the classes asked about.
func (m *model) fed() *feed {
	if m.feed == nil {
		use := hazard.Feed
		m.feed = &feed{lots: board.Today(m.answer.Assessment, board.Filter{Use: &use, Class: m.filter.Class}).Lots}
		for _, f := range slices.Backward(m.answer.History.Facts) {
			switch f.Kind() {
			case fields.KindLab, fields.KindWater, fields.KindSampled:
				m.feed.results = append(m.feed.results, f)
			}
		}
	}
	return m.feed
}

func (m *model) feedList(w, _ int) *list {
	lots, results := m.fed().lots, m.fed().results
	n := len(lots)
	l := &list{
		above: []line{m.asked(w, keep(plain, " To "), keep(chosen, hazard.Feed.String()), keep(plain, ", for "))},
		about: idsOf(lots, rowID),
		parts: map[int]string{n: "RESULTS"},
		foot:  counted(n+len(results), "row", "rows"),
		none:  "No lot of feed and no result yet. b logs a result, l shows the forms for lots, samples and water.",
	}
	for _, id := range l.about {
		l.ids = append(l.ids, "lot "+id)
	}
	for i := range results {
		about := results[i].Lot()
		if p := results[i].Paddocks(); about == "" && len(p) > 0 {
			about = p[0]
		}
		l.ids, l.about = append(l.ids, results[i].ID), append(l.about, about)
	}
	if len(l.ids) == 0 {
		l.above = nil
	}
	if n > 0 {
		l.parts[0] = "LOTS OF FEED"
	}
	l.row = func(i int) []span {
		if i >= n {
			f := results[i-n]
			return []span{col(plain, f.Date.Beside(m.answer.Today), 16), col(plain, m.words(f.Entry), max(1, w-18))}
		}
		r := &lots[i]
		out := []span{flagSpan(r.Flag), keep(plain, " "), col(plain, r.Name, 23), col(plain, through(r), 17)}
		if rest := w - 2 - flagCells - 24 - 17; rest > 8 {
			out = append(out, col(plain, r.Share, rest))
		}
		return out
	}
	l.detail = func(p *prose, i int) {
		if i >= n {
			p.say(plain, m.words(results[i-n].Entry))
			return
		}
		m.rowHead(p, &lots[i])
		m.rowDetail(p, &lots[i])
	}
	return l
}
