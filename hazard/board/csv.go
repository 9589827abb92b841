package board

import (
	"encoding/csv"
	"io"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// csvHeader names the columns of CSV.
var csvHeader = []string{
	"on", "what", "id", "name", "use", "class", "flag", "paper", "through", "needs", "why", "next",
	"feed_from", "max_share_pct", "stock_inside", "move_out", "night_read", "last_walk", "last_lab", "rulebook", "digest",
	"relaxed",
}

// CSV writes one row a paddock, use and class, then one a lot and class, in
// the order of the morning list: all uses and classes unless filtered. A value
// less cautious than the rulebook's stands in every row, as "relaxed". Dates
// are ISO 8601; a hold without a date says "no date". Text from people is made
// harmless to spreadsheets by CSVCell.
func CSV(w io.Writer, a *hazard.Assessment, f Filter) error {
	s := newSpeaker(a, UnitsOf(a.History))
	cw := csv.NewWriter(w)
	if err := cw.Write(csvHeader); err != nil {
		return err
	}
	name, digest := "", ""
	if s.book != nil {
		name, digest = CSVCell(s.book.Name+" "+s.book.Version), CSVCell(s.book.Digest)
	}
	lax := CSVCell(strings.Join(relaxed(s.h, s.book), " "))
	row := func(what, id, title string, v *hazard.Verdict, inside string, moveOut bool, d hazard.DataThrough) error {
		decided(v)
		through := ""
		if v.Flag == hazard.Hold {
			through = "no date"
			if p := jsonThrough(v.Flag, v.Through); p != nil {
				through = *p
			}
		}
		why, next := "", ""
		if v.Flag == hazard.Clear {
			why = s.clearWhy(v)
		} else if r := worstReason(v); r != nil {
			why, next = s.short(r, v.Use), s.lifts(r)
		}
		feedFrom, share, move := "", "", "no"
		if what == "lot" {
			feedFrom = isoDate(v.FeedFrom)
			if x := lotShare(v); x >= 0 {
				share = exact(x)
			}
		}
		if moveOut {
			move = "yes"
		}
		return cw.Write([]string{
			s.on.String(), what, CSVCell(id), CSVCell(title), v.Use.String(), v.Class.String(), v.Flag.String(), PaperWord(v.Flag), through,
			v.Need.String(), CSVCell(why), CSVCell(next), feedFrom, share, CSVCell(inside), move,
			isoDate(d.Night), isoDate(d.Walk), isoDate(d.Lab), name, digest, lax,
		})
	}
	for _, p := range s.ordered(f) {
		var herds []string
		for _, in := range standing(a, p) {
			herds = append(herds, in.herd)
		}
		move := mustMove(a, p)
		for _, u := range f.allUses() {
			for _, c := range f.allClasses() {
				v := needed(p.Verdict(u, c), s.id(p))
				if err := row("paddock", s.id(p), s.name(p), v, strings.Join(herds, ", "), move, p.Data); err != nil {
					return err
				}
			}
		}
	}
	if f.wantsLots() {
		for i := range a.Lots {
			l := &a.Lots[i]
			if !f.names(l.Lot) {
				continue
			}
			for _, c := range f.allClasses() {
				if err := row("lot", l.Lot, lotName(l), needed(l.Verdict(c), l.Lot), "", false, l.Data); err != nil {
					return err
				}
			}
		}
	}
	cw.Flush()
	return cw.Error()
}

func isoDate(d fields.Date) string {
	if d == hazard.NoEnd {
		return ""
	}
	return d.String()
}
