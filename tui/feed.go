package tui

import (
	"slices"

	"rimegate/fields"
	"rimegate/hazard"
	"rimegate/hazard/board"
)

// feedRow is a lot of feed or a result.
type feedRow struct {
	id      string
	subject string // paddock or lot whose reasoning it opens
	lot     *board.Row
	day     fields.Date
	words   string
	fact    bool
}

// feedOf is the answer that lots were listed from, and for which class.
type feedOf struct {
	answer *Answer
	class  string
}

// feedRows are the lots, worst first, then the results, the latest first.
func (m *model) feedRows() []feedRow {
	if m.answer == nil {
		return nil
	}
	of := feedOf{m.answer, m.classKey()}
	if m.feed != nil && m.feedOf == of {
		return m.feed
	}
	use := hazard.Feed
	lots := board.Today(m.answer.Assessment, board.Filter{Use: &use, Class: m.filter.Class}).Lots
	out := []feedRow{}
	for i := range lots {
		out = append(out, feedRow{id: "lot " + lots[i].ID, subject: lots[i].ID, lot: &lots[i]})
	}
	facts := m.answer.History.Facts
	for i := len(facts) - 1; i >= 0; i-- {
		f := facts[i]
		switch f.Kind() {
		case fields.KindLab, fields.KindWater, fields.KindSampled:
			r := feedRow{id: f.ID, day: f.Date, words: board.EntryWords(f.Entry, m.answer.History, m.units()), fact: true}
			if l := f.Lot(); l != "" {
				r.subject = l
			} else if p := f.Paddocks(); len(p) > 0 {
				r.subject = p[0]
			}
			out = append(out, r)
		}
	}
	m.feed, m.feedOf = out, of
	return out
}

func (m *model) feedBody(w, h int) []line {
	rows := m.feedRows()
	if len(rows) == 0 {
		return wrapped(plain, "No lot of feed and no result yet. b logs a result, l shows the forms for lots, samples and water.", " ", " ", w)
	}
	ids := m.ids()
	here := m.selected(pageFeed, ids)
	at := slices.Index(ids, here)
	var detail []line
	if r := &rows[at]; r.lot != nil {
		d := *r.lot
		detail = append([]line{row(keep(plain, " "), say(title, d.Name), keep(plain, ": "), say(flagRole[d.Flag], board.FlagWord(d.Flag)), say(plain, holdTail(&d)))}, m.lotDetail(&d, w)...)
	} else {
		detail = wrapped(plain, r.words, " ", "   ", w)
	}
	asked := row(keep(plain, " To "), keep(chosen, hazard.Feed.String()), keep(plain, ", for "), say(chosen, board.Cut(m.classesWords(), max(10, w-18))), keep(dim, " (c)"))
	var listed []line
	at2 := 0
	head := ""
	for i := range rows {
		r := &rows[i]
		part := "RESULTS"
		if r.lot != nil {
			part = "LOTS OF FEED"
		}
		if part != head {
			listed = append(listed, row(keep(plain, " "), keep(heading, part)))
			head = part
		}
		mark := " "
		if r.id == here {
			mark, at2 = ">", len(listed)
		}
		t := line{sel: r.id == here, spans: []span{keep(keycap, mark+" ")}}
		if r.lot != nil {
			rest := w - 2 - flagCells - 24 - 17
			t.spans = append(t.spans, flagSpan(r.lot.Flag), keep(plain, " "), col(plain, r.lot.Name, 23), col(plain, through(r.lot, true), 17))
			if rest > 8 {
				t.spans = append(t.spans, col(plain, r.lot.Share, rest))
			}
		} else {
			t.spans = append(t.spans, col(plain, r.day.Words(), 16), col(plain, r.words, max(1, w-18)))
		}
		listed = append(listed, t)
	}
	room := max(3, h-min(len(detail), h/2)-2)
	from, to := window(len(listed), at2, room)
	out := append([]line{asked}, listed[from:to]...)
	out = append(out, row(keep(dim, " "+counted(len(rows), "row", "rows"))))
	out = append(out, detail...)
	if len(out) > h {
		out = append(out[:h-1], row(keep(dim, " ... Enter shows all of it")))
	}
	return out
}

func (m *model) lotDetail(r *board.Row, w int) []line {
	var out []line
	add := func(ro role, s string) {
		if s != "" {
			out = append(out, wrapped(ro, s, "   ", "   ", w)...)
		}
	}
	add(banner, r.Danger)
	if r.Share != "" {
		add(title, upper(r.Share)+".")
	}
	if r.FeedFrom != "" {
		add(plain, upper(r.FeedFrom)+".")
	}
	if d := m.differ(r); d != "" {
		add(plain, "Classes differ: "+d+".")
	}
	add(plain, r.Why)
	if r.Next != "" {
		add(plain, "Next: "+r.Next)
	}
	return out
}
