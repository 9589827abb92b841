package tui

import (
	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// feedRow is a lot of feed or a result.
type feedRow struct {
	id      string
	subject string // paddock or lot it is about
	lot     *board.Row
	day     fields.Date
	words   string
}

// lots are the lots of feed, worst first.
func (m *model) lots() []board.Row {
	use := hazard.Feed
	return board.Today(m.answer.Assessment, board.Filter{Use: &use, Class: m.filter.Class}).Lots
}

// feedRows are the lots, worst first, then the results, the latest first.
func (m *model) feedRows() []feedRow {
	if m.feed != nil {
		return m.feed
	}
	lots := m.lots()
	m.feed = []feedRow{}
	for i := range lots {
		m.feed = append(m.feed, feedRow{id: "lot " + lots[i].ID, subject: lots[i].ID, lot: &lots[i]})
	}
	facts := m.answer.History.Facts
	for i := len(facts) - 1; i >= 0; i-- {
		f := facts[i]
		switch f.Kind() {
		case fields.KindLab, fields.KindWater, fields.KindSampled:
			r := feedRow{id: f.ID, subject: f.Lot(), day: f.Date, words: m.words(f.Entry)}
			if p := f.Paddocks(); r.subject == "" && len(p) > 0 {
				r.subject = p[0]
			}
			m.feed = append(m.feed, r)
		}
	}
	return m.feed
}

func (m *model) feedList(w, _ int) *list {
	rows := m.feedRows()
	if len(rows) == 0 {
		return &list{none: "No lot of feed and no result yet. " +
			"b logs a result, l shows the forms for lots, samples and water."}
	}
	l := &list{
		above: []line{m.asked(w, keep(plain, " To "), keep(chosen, hazard.Feed.String()), keep(plain, ", for "))},
		part: func(i int) string {
			if rows[i].lot != nil {
				return "LOTS OF FEED"
			}
			return "RESULTS"
		},
		row: func(i int) []span {
			r := &rows[i]
			if r.lot == nil {
				return []span{col(plain, r.day.Words(), 16), col(plain, r.words, max(1, w-18))}
			}
			until := through(r.lot, true)
			out := []span{flagSpan(r.lot.Flag), keep(plain, " "), col(plain, r.lot.Name, 23), col(plain, until, 17)}
			if rest := w - 2 - flagCells - 24 - 17; rest > 8 {
				out = append(out, col(plain, r.lot.Share, rest))
			}
			return out
		},
		foot:   counted(len(rows), "row", "rows"),
		detail: prose{w: w},
	}
	if r := &rows[m.at(pageFeed)]; r.lot != nil {
		l.detail = m.rowHead(r.lot, w)
		m.rowDetail(&l.detail, r.lot)
	} else {
		l.detail.say(plain, r.words)
	}
	return l
}
