package tui

import (
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

type feed struct {
	*board.Page
	lots    []board.Row   // in sentences
	results []fields.Fact // the latest first
}

// fed is the feed of the answer, for the herds asked about.
func (m *model) fed() *feed {
	if m.feed == nil {
		f, use := m.filter, hazard.Feed
		f.Use = &use
		m.feed = &feed{
			Page: board.NewPage(m.answer.Assessment, f, nil),
			lots: board.Today(m.answer.Assessment, f).Lots,
		}
		for _, f := range slices.Backward(m.answer.History.Facts) {
			switch f.Kind() {
			case fields.KindLab, fields.KindWater, fields.KindSampled:
				if _, gone := m.answer.History.UsedUp(f.Lot()); gone {
					continue
				}
				m.feed.results = append(m.feed.results, f)
			}
		}
	}
	return m.feed
}

// feedList is the lots of feed by herd, and the results: of those the number first.
func (m *model) feedList(w, _ int) *list {
	fed := m.fed()
	rows, results := fed.Feed, fed.results
	n := len(rows)
	ids, about := pageIDs(rows, hazard.Feed)
	l := &list{
		above: []line{m.asked(w, keep(plain, " To "), keep(chosen, hazard.Feed.String()), keep(plain, ", for "))},
		ids:   idsOf(ids, func(id *string) string { return "lot " + *id }),
		about: about,
		parts: map[int]string{n: "RESULTS"},
		foot:  strings.Join(append([]string{counted(n+len(results), "row", "rows")}, fed.Foot[2:]...), "; "),
		none:  "No lot of feed and no result yet. b logs a result, l shows the forms for lots, samples and water.",
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
	cols, cells := m.gates(rows, "LOT", w)
	table := &list{cols: cols}
	if n > 0 {
		l.above = append(l.above, table.head()...)
	}
	l.row = func(i int) []span {
		if i < n {
			return table.line(keep(plain, ""), plain, cells(i)).spans
		}
		f := &results[i-n]
		return []span{
			col(title, board.ResultFigure(f.Entry, m.answer.History), 30), keep(plain, " "),
			col(plain, m.resultOf(f), max(8, min(24, w-49))), keep(plain, " "), say(plain, f.Date.Beside(m.answer.Today)),
		}
	}
	l.detail = func(p *prose, i int) {
		if i >= n {
			p.say(plain, m.words(results[i-n].Entry))
			return
		}
		m.todayDetail(p, fed.Page, &rows[i], byID(fed.lots, rows[i].ID))
	}
	return l
}

// resultOf is what a result is of.
func (m *model) resultOf(f *fields.Fact) string {
	if w, ok := f.Body.(*fields.Water); ok {
		return w.Source
	}
	if p := f.Paddocks(); f.Lot() == "" && len(p) > 0 {
		return m.name(p[0])
	}
	return f.Lot()
}
