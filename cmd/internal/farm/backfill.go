package farm

import (
	"slices"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/fields/journal"
)

// Backfilled is what became of a sheet given to Backfill.
type Backfilled struct {
	Logged
	Batch  string // id of the import, "" if it brought nothing
	Kinds  map[fields.Kind]int
	From   fields.Date // days of what is new
	To     fields.Date
	Same   int      // entries that the journal holds already, by the same person
	Twice  int      // entries that a row above says too; they are one
	Others int      // entries that another person logged too; both are kept
	Taken  []string // what words for stock were taken for
}

// Backfill makes entries of the rows of a sheet as `log` does and stores them all with
// one batch id, or none of them: what `log` would refuse or ask about is refused, with the
// line and column of all of it. An entry that the signer logged already, word for word,
// is left out. They are known from now on, whatever days they are of.
func (v *View) Backfill(s *Sheet, dryRun bool, sure Sure) (*Backfilled, error) {
	return again(v, func(v *View) (*Backfilled, error) { return v.backfill(s, dryRun, sure) })
}

func (v *View) backfill(s *Sheet, dryRun bool, sure Sure) (*Backfilled, error) {
	b := &backfill{
		base: v, view: v, sheet: s, check: newChecker(v, sure), sure: sure,
		out: &Backfilled{Kinds: map[fields.Kind]int{}}, held: map[string]int{}, said: map[string]bool{},
	}
	b.check.rows = true
	for i := range v.Entries {
		if e := &v.Entries[i]; !v.struck(e) {
			b.held[wordForWord(e)]++
		}
	}
	reshapes := s.Kind.Kind == fields.KindSplit || s.Kind.Kind == fields.KindJoin
	for _, row := range s.Rows {
		if reshapes { // what stands is what the row above left
			b.goOn()
		}
		made, problems := b.read(row)
		if len(problems) > 0 && b.goOn() {
			made, problems = b.read(row)
		}
		b.add(row.Line, problems)
		for i := range made {
			if len(row.bad) == 0 {
				b.take(row.Line, &made[i])
			}
		}
	}
	b.problems = slices.Concat(s.problems, b.problems)
	slices.SortStableFunc(b.problems, func(p, q fields.Problem) int { return p.Line - q.Line })
	if err := b.problems.Err(); err != nil {
		return nil, err
	}
	return b.out, b.store(dryRun)
}

// backfill is one sheet on its way into the journal.
type backfill struct {
	base     *View // the journal
	view     *View // with rows above that were needed to understand one
	sheet    *Sheet
	sure     Sure
	check    *checker
	held     map[string]int  // entries the journal holds, how often each
	said     map[string]bool // entries of the rows above
	fresh    []fields.Entry
	folded   int // of them, in view
	folds    int
	problems fields.Problems
	out      *Backfilled
}

// mostFolds is how often the rows above are taken in to understand one: a file in which
// more rows than that are wrong is wrong.
const mostFolds = 100

// goOn takes the rows above into the view, and reports whether that is news. A row may
// speak of what one above it said, as it could if they were logged one by one.
func (b *backfill) goOn() bool {
	if b.folded == len(b.fresh) || b.folds == mostFolds {
		return false
	}
	b.view = b.base.with(b.fresh, Question{})
	b.folded, b.check.v = len(b.fresh), b.view
	b.folds++
	return true
}

// read makes the entries of a row.
func (b *backfill) read(row SheetRow) ([]fields.Entry, fields.Problems) {
	c := form.Context{Now: b.view.Now, Behind: b.view.Behind, Farm: b.view, Line: true, Rows: true}
	c.Stands = func(string) bool { return b.sure.Figures }
	made, problems := b.sheet.Kind.Entries(row.Said, c)
	for _, t := range b.sheet.Kind.Read(row.Said, c).Taken() {
		if !slices.Contains(b.out.Taken, t) {
			b.out.Taken = append(b.out.Taken, t)
		}
	}
	known := func(p fields.Problem) bool { return slices.Contains(row.bad, p.Field) }
	return made, slices.DeleteFunc(problems, known)
}

// add takes in the problems of a row.
func (b *backfill) add(line int, problems fields.Problems) {
	for _, p := range problems {
		p.File, p.Line = b.sheet.Name, line
		b.problems = append(b.problems, p)
	}
}

// wordForWord is all that an entry says and who says it, without when it was written down.
func wordForWord(e *fields.Entry) string { return e.By + "\x00" + e.Note + "\x00" + stated(e, false) }

// addsUp are the kinds of which two equal entries of one day say more than one: they are
// both kept, so that nitrogen spread twice counts twice.
var addsUp = map[fields.Kind]bool{fields.KindNitrogen: true, fields.KindRain: true, fields.KindFed: true}

// take checks one entry, unless it is there already or a row above says it.
func (b *backfill) take(line int, e *fields.Entry) {
	v := b.base
	e.Recorded, e.By = v.farm.Clock().In(v.Loc), v.farm.By
	says := wordForWord(e)
	switch {
	case b.said[says] && !addsUp[e.Kind()]:
		b.out.Twice++
		return
	case b.held[says] > 0:
		b.held[says]--
		b.said[says] = true
		b.out.Same++
		return
	}
	b.said[says] = true
	was, id := b.onFile(e)
	if was != nil {
		if string(fields.Encode(&fields.Entry{Body: was})) == string(fields.Encode(&fields.Entry{Body: e.Body})) {
			b.out.Same++
			return
		}
		kind := string(e.Kind())
		b.add(line, fields.Problems{{
			Field: kind, What: "the " + kind + " " + id + " is there already and is said otherwise",
			Type: "change it with `rimegate " + kind + " set`, or delete the row",
		}})
		return
	}
	if id != "" && b.check.isFresh(string(e.Kind()), id) {
		twice := fields.Problem{Field: string(e.Kind()), What: id + " is in a row above too", Type: "leave one of the two"}
		b.add(line, fields.Problems{twice})
		return
	}
	at := len(b.check.problems)
	try := b.check.clone()
	if try.entry(e); len(try.problems) > at && b.goOn() {
		try = b.check.clone()
		try.entry(e)
	}
	b.check = try
	for _, p := range b.check.problems[at:] {
		if f := b.sheet.Kind.Field(p.Field); f != nil {
			p.Field = f.Column()
		} else if f := b.sheet.Kind.Field(p.Field + "s"); f != nil {
			p.Field = f.Column()
		}
		b.add(line, fields.Problems{p})
	}
	if slices.ContainsFunc(v.about(e), func(x *fields.Entry) bool { return stated(x, false) == stated(e, false) }) {
		b.out.Others++
	}
	b.fresh = append(b.fresh, *e)
}

// onFile is what stands in the journal of the thing that an entry sets up.
func (b *backfill) onFile(e *fields.Entry) (fields.Body, string) {
	i := slices.IndexFunc(b.sheet.Kind.Fields, func(f form.Field) bool { return f.Type == form.New })
	if i < 0 {
		return nil, ""
	}
	id := ""
	e.Texts(func(field, _, text string) {
		if field == b.sheet.Kind.Fields[i].Name {
			id = text
		}
	})
	return b.base.History.OnFile(e.Kind(), id), id
}

func (b *backfill) store(dryRun bool) (err error) {
	v, out := b.base, b.out
	out.Logged = Logged{Entries: b.fresh, Notes: once(b.check.notes), View: v, Before: v.Assess()}
	if len(b.fresh) == 0 {
		out.After = out.Before
		return nil
	}
	out.Batch = journal.NewBatch(v.farm.Clock())
	for i := range b.fresh {
		e := &b.fresh[i]
		e.Batch = out.Batch
		out.Kinds[e.Kind()]++
		d := e.EventDate(v.Loc)
		if out.From == fields.NoDate || d < out.From {
			out.From = d
		}
		out.To = max(out.To, d)
	}
	if !dryRun {
		if out.Entries, err = v.farm.store.AppendTo(v.content, b.fresh); err != nil {
			return err
		}
		out.Stored = true
	}
	out.After = v.with(out.Entries, Question{On: v.Today}).Assess()
	return nil
}

// once leaves out texts that were said already.
func once(texts []string) (out []string) {
	for _, t := range texts {
		if !slices.Contains(out, t) {
			out = append(out, t)
		}
	}
	return out
}
