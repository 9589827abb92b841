package main

import (
	"cmp"
	"fmt"
	"strings"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/hazard/board"
)

// thing is something the farm has several of.
type thing struct {
	kind    fields.Kind
	find    func(v *farm.View, typed string) (id string, err error)
	columns []string
	rows    func(v *farm.View) [][]string
	none    string // where there is none yet
	next    string // what is to be done when one was added, SHORT standing for its name
}

var things = map[string]*thing{
	"paddock": {
		kind: fields.KindPaddock, find: (*farm.View).Paddock,
		columns: []string{"SHORT NAME", "NAME", "AREA", ""}, rows: paddockRows,
		none: "No paddock yet: rimegate paddock add --name \"North Slough\" --area 24ha north-slough",
		next: "Next, what grows there: rimegate log sown --new-stand --species NAMES --on DAY SHORT, or of old grass: rimegate log seen --species NAMES SHORT",
	},
	"herd": {
		kind: fields.KindHerd, find: (*farm.View).Herd,
		columns: []string{"SHORT NAME", "HEAD", "EACH", "CLASSES", ""}, rows: herdRows,
		none: "No herd yet: rimegate herd add --class bred-cattle --head 85 pairs",
	},
	"station": {
		kind: fields.KindStation, find: (*farm.View).Station,
		columns: []string{"SHORT NAME", "NAME", "HEIGHT", ""}, rows: stationRows,
		none: "No station yet: rimegate station add --name \"Yard thermometer\" --height 1.5m home",
	},
	"lot": {
		kind: fields.KindLot, find: (*farm.View).Lot,
		columns: []string{"SHORT NAME", "KIND", "MADE", ""}, rows: lotRows,
		none: "No lot of feed yet: rimegate lot add --kind hay --made 12-Aug --from bench bench-hay",
	},
}

func (t *thing) list(r *request) error {
	gone := 0
	if t.kind == fields.KindLot {
		gone = len(r.view.History.Lots()) - len(r.view.History.LotsLeft())
	}
	if rows := t.rows(r.view); len(rows) > 0 {
		r.table(t.columns, rows)
	} else if gone == 0 {
		fmt.Fprintln(r.out, t.none)
	}
	if gone > 0 {
		r.say("%s used up, not listed: rimegate history LOT tells of one.", counted(gone, "lot is", "lots are"))
	}
	return nil
}

// run adds a thing, or changes what is said of it.
func (t *thing) run(r *request, add bool) (err error) {
	k := form.Of(t.kind)
	said := whatWasSaid(r.c, k)
	var was fields.Body
	if names := fields.SplitList(said[string(t.kind)]); len(names) == 1 { // else the form says what is wrong
		id := names[0]
		if !add {
			if id, err = t.find(r.view, id); err != nil {
				return err
			}
			said[string(t.kind)] = []string{id}
		}
		was = r.view.History.OnFile(t.kind, id)
		if add && was != nil {
			hint := "change it with `rimegate " + string(t.kind) + " set`"
			if f, gone := r.view.History.UsedUp(id); gone {
				hint = "it was said to be used up on " + f.Date.Words() + ": give other feed another short name"
			}
			return fields.Problem{What: fmt.Sprintf("the %s %s is there already", t.kind, quoted(id)), Type: hint}
		}
	}
	made, err := r.entries(k, said, was)
	if err != nil {
		return err
	}
	if err := r.store(made); err != nil || !add || t.next == "" {
		return err
	}
	r.para("", "  ", strings.ReplaceAll(t.next, "SHORT", said[string(t.kind)][0]))
	return nil
}

// in prints a number in the unit of a system, "" if nobody said it.
func in(m *fields.Measure, v *float64, units string) string {
	if v == nil {
		return ""
	}
	return m.In(*v, units)
}

func paddockRows(v *farm.View) (rows [][]string) {
	h := v.History
	for _, x := range h.Standing() {
		var more []string
		s := h.NightSetting(h.Lines(x.ID)[0], v.Today)
		if len(x.Parents) > 0 {
			more = append(more, "came from "+words(x.Parents))
		}
		switch {
		case len(s.Stations) == 0:
			more = append(more, "no thermometer: every night counts as not read")
		case s.OffsetC != 0:
			more = append(more, "read at "+words(s.Stations)+", "+fields.Difference.In(s.OffsetC, string(v.Units()))+" there")
		default:
			more = append(more, "read at "+words(s.Stations))
		}
		if s.LowLying {
			more = append(more, "low-lying")
		}
		for _, st := range h.Inside([]string{x.ID}) {
			more = append(more, cmp.Or(board.Clean(st.Herd), "stock")+" inside since "+st.In.Words())
		}
		rows = append(rows, []string{x.ID, x.Name, in(fields.Area, x.AreaHa, string(v.Units())), strings.Join(more, "; ")})
	}
	return rows
}

func herdRows(v *farm.View) (rows [][]string) {
	for _, g := range v.History.Herds {
		head, where := "", "nobody logged where"
		if g.Head != nil {
			head = fmt.Sprint(*g.Head)
		}
		if g.In != "" {
			where = "in " + g.In + " since " + g.Since.Words()
		}
		weight := in(fields.Weight, g.WeightKg, string(v.Units()))
		rows = append(rows, []string{g.HerdFacts.Herd, head, weight, words(g.Classes), where})
	}
	return rows
}

func stationRows(v *farm.View) (rows [][]string) {
	for _, s := range v.History.Stations {
		last := "no reading yet"
		for _, f := range v.History.OfStation(s.Station) {
			if b, ok := f.Body.(*fields.Reading); ok {
				last = "last read: night of " + f.Date.Words()
				if b.LowC != nil {
					last += ", " + fields.Temperature.Both(*b.LowC)
				}
			}
		}
		rows = append(rows, []string{s.Station, s.Name, in(fields.AboveGround, s.HeightM, string(v.Units())), last})
	}
	return rows
}

func lotRows(v *farm.View) (rows [][]string) {
	for _, id := range v.History.LotsLeft() {
		b := v.History.LotOf(id)
		more := []string{"origin unknown"}
		if len(b.From) > 0 {
			more[0] = "from " + words(b.From)
		}
		if b.CutOn != fields.NoDate {
			more = append(more, "cut "+b.CutOn.Words())
		}
		if b.Bales != nil {
			more = append(more, fmt.Sprintf("%v bales", *b.Bales))
		}
		if b.Tonnes != nil {
			more = append(more, fields.Tonnage.In(*b.Tonnes, string(v.Units())))
		}
		if len(b.Species) > 0 {
			more = append(more, words(b.Species))
		}
		if b.Seller != "" {
			more = append(more, "sold by "+b.Seller)
		}
		rows = append(rows, []string{id, string(b.LotKind), b.MadeOn.Words(), strings.Join(more, "; ")})
	}
	return rows
}
