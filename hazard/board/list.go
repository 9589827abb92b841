package board

import (
	"io"
	"slices"
	"strconv"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// List is the morning list: every paddock asked about, worst first, with what
// a sheet must carry around them. All its texts are clean.
type List struct {
	Head
	Use     hazard.Use
	Classes []hazard.Class
	Unread  string   // whose last night is not in: "for Creek and The Bench"
	SetUp   []string // what a farm without paddocks or herds types next

	MoveOut    []string // "MOVE OUT NOW: pairs in North Slough", "STOP FEEDING NOW: bench-hay to pairs"
	Rows       []Row
	Lots       []Row
	Old        string   // of lots that may be used up
	Total      string   // "3 paddocks: 1 NO, 1 ASK FIRST, 1 YES"
	Conditions []string // with every YES and every ASK FIRST that was agreed to

	// Worst is the worst flag of the rows asked about; Clear when there are none
	// would be a lie, so it is Caution then.
	Worst hazard.Flag
}

// Row is one paddock or lot with the worst answer of the classes asked.
type Row struct {
	ID, Name string
	Outcome
	Differ  []string // "ASK FIRST for open-cattle", where the classes differ
	Why     string   // one sentence: the worst reason
	More    int      // further reasons that alone would make the same flag
	Next    string   // the one act
	Inside  []string
	MoveOut bool
	Others  []string // the other uses, where none was asked for: "green-chop: NO, no date"
	Danger  string   // lots: silo gas, for people
}

// Conditions go with CLEAR and CAUTION for the use; they decide nothing.
// Full bellies and a late turn-out: University of Georgia Extension, Colquitt
// County, "Watch Out for Prussic Acid" (2015),
// http://blog.extension.uga.edu/colquittag/2015/11/current-forage-questions/
// (hay first, late afternoon, watch the first hours); at midday: University of
// Nebraska, "Managing bloat and prussic acid when grazing fall alfalfa,
// sorghum",
// https://cropwatch.unl.edu/pasture-and-forage-minute-managing-bloat-and-prussic-acid-when-grazing-fall-alfalfa-sorghum
// Green chop within hours, never overnight: Seedway, "Prussic acid potentials",
// https://seedway.com/agronomy/prussic-acid-potentials (a seed company).
// A few head first, two hours, and a slow start with stored feed are common
// practice, no source.
func Conditions(u hazard.Use) []string {
	const (
		fill  = "to hungry stock: fill them with safe feed first"
		watch = "a few head first, and watch them for two hours"
	)
	switch u {
	case hazard.GreenChop:
		return []string{"never " + fill, "feed it within hours of chopping, never left overnight", watch}
	case hazard.CutHay, hazard.CutSilage:
		return []string{"cutting only: whether it may be fed is a separate question"}
	case hazard.Feed:
		return []string{"never " + fill, "start with a little and bring it up over days", watch}
	}
	return []string{
		"never turn out hungry stock: fill them with safe feed first",
		"turn out at midday or later, with daylight left to watch them", watch,
	}
}

// conditions are those of a verdict that is no hold.
func (s *speaker) conditions(v *hazard.Verdict) []string {
	out := Conditions(v.Use)
	if v.Bloat != fields.NoDate {
		out = append(out, "alfalfa and clover bloat stock for some days after a frost ("+s.date(v.Bloat)+"): hay "+
			"first, and never in hungry")
	}
	return out
}

// Today makes the morning list of an assessment: for grazing and the classes
// of the farm's herds unless the filter says otherwise. It panics on a verdict
// that was never decided.
func Today(a *hazard.Assessment, f Filter) *List {
	s := newSpeaker(a, UnitsOf(a.History))
	l := &List{
		Head: s.head(""), Use: f.ListUse(), Classes: f.ListClasses(a.History), Unread: s.unreadLastNight(),
		SetUp: s.setUpNext(), MoveOut: s.moveOuts(),
	}
	l.Conditions = Conditions(l.Use)
	var bloats []string
	for _, p := range worstFirst(s.paddocks(f), l.Use, l.Classes) {
		row := s.row(&p, l)
		if f.Use == nil {
			row.Others = s.others(&p, l.Use, l.Classes)
		}
		if v := p.verdict(l.Use, l.Classes[0]); v.Bloat != fields.NoDate && row.Flag != hazard.Hold {
			bloats = append(bloats, row.Name)
		}
		l.Rows = append(l.Rows, row)
		l.Worst = max(l.Worst, row.Flag)
	}
	for _, p := range worstFirst(s.lots(f), hazard.Feed, l.Classes) {
		row := s.row(&p, l)
		l.Lots = append(l.Lots, row)
		if f.Use != nil || f.Paddock != "" {
			l.Worst = max(l.Worst, row.Flag)
		}
	}
	if l.Worst == hazard.Unknown {
		l.Worst = hazard.Caution
	}
	l.Old, l.Total = s.oldLots(f), total(l.Rows, "paddock")
	if !f.wantsPaddocks() {
		l.Total = total(l.Lots, "lot")
	}
	if len(bloats) > 0 {
		slices.SortFunc(bloats, fields.CompareNames)
		l.Conditions = append(l.Conditions, "frosted alfalfa or clover ("+join(bloats)+") bloats stock for some "+
			"days: hay first, and never in hungry")
	}
	return l
}

// moveOuts are the lines for all stock in danger, whatever is asked.
func (s *speaker) moveOuts() []string {
	var out []string
	for i := range s.a.Paddocks {
		out = append(out, s.movesOf(&s.a.Paddocks[i])...)
	}
	return append(out, s.stopFeedings("")...)
}

func (s *speaker) movesOf(p *hazard.PaddockAnswer) []string {
	var out []string
	for _, in := range standing(s.a, p) {
		if in.flag == hazard.Hold {
			out = append(out, s.moveOut(&in, p))
		}
	}
	return out
}

// moveOut is the line for stock that must leave: now, or before the coming day
// that was asked about.
func (s *speaker) moveOut(in *inside, p *hazard.PaddockAnswer) string {
	t := "MOVE OUT " + s.nowOrBefore()
	if in.swath {
		t += " unless fenced to the swath"
	}
	return t + ": " + in.herd + " in " + s.name(p)
}

func (s *speaker) nowOrBefore() string {
	if s.coming() {
		return "BEFORE " + s.on.Short()
	}
	return "NOW"
}

func total(rows []Row, one string) string {
	var n [hazard.Hold + 1]int
	for i := range rows {
		n[rows[i].Flag]++
	}
	return plural(len(rows), one) + ": " + strconv.Itoa(n[hazard.Hold]) + " NO, " +
		strconv.Itoa(n[hazard.Caution]) + " ASK FIRST, " + strconv.Itoa(n[hazard.Clear]) + " YES"
}

func (s *speaker) id(p *hazard.PaddockAnswer) string { return p.Paddock.ID }

func (s *speaker) name(p *hazard.PaddockAnswer) string {
	return or(Clean(p.Paddock.Name), Clean(p.Paddock.ID))
}

func (s *speaker) row(p *subject, l *List) Row {
	v := p.worst
	r := Row{
		ID: p.id, Name: p.name, Outcome: s.outcome(v), Differ: s.differ(p, v.Use, l.Classes),
		Inside: p.herds(), MoveOut: p.move, Danger: s.siloGas(p.lot),
	}
	r.Why, r.Next = s.why(v)
	if v.Flag == hazard.Clear {
		return r
	}
	r.More = -1
	for _, x := range reasonsOf(v) {
		if x.Flag == v.Flag {
			r.More++
		}
	}
	return r
}

// others are the worst answers for the other uses.
func (s *speaker) others(p *subject, use hazard.Use, classes []hazard.Class) []string {
	var out []string
	for _, u := range hazard.PaddockUses {
		v := p.worstOf(u, classes)
		if u != use && v != nil {
			out = append(out, u.String()+": "+PaperWord(v.Flag)+after(", ", ThroughWords(v.Flag, v.Through, s.on)))
		}
	}
	return out
}

// siloGas is the line for people, not for stock: DANGER is kept for it.
func (s *speaker) siloGas(l *hazard.LotAnswer) string {
	if l == nil || l.SiloGasThrough < s.on {
		return ""
	}
	return s.say("DANGER TO PEOPLE: silo gas. Stay out of and away from it through {day}.",
		"day", s.date(l.SiloGasThrough))
}

// differ says which classes differ, the worst first: empty when all have the
// same answer.
func (s *speaker) differ(p *subject, use hazard.Use, classes []hazard.Class) []string {
	return s.differing(func(c hazard.Class) *hazard.Verdict { return p.verdict(use, c) }, classes)
}

func (s *speaker) differing(verdict func(hazard.Class) *hazard.Verdict, classes []hazard.Class) []string {
	of := func(c hazard.Class) grade {
		v := verdict(c)
		return grade{flag: v.Flag, through: throughOf(v.Flag, v.Through)}
	}
	if !slices.ContainsFunc(classes, func(c hazard.Class) bool { return of(c) != of(classes[0]) }) {
		return nil // as nearly always
	}
	groups := alike(classes, of)
	slices.SortFunc(groups, func(a, b []hazard.Class) int { return of(b[0]).compare(of(a[0])) })
	return texts(groups, func(cs []hazard.Class) string {
		g := of(cs[0])
		return PaperWord(g.flag) + " for " + ClassWords(cs) + after(", ", g.through.Words(s.beside))
	})
}

// alike puts together what has the same key, in order of first appearance.
func alike[T any, K comparable](list []T, key func(T) K) [][]T {
	var out [][]T
	index := map[K]int{}
	for _, x := range list {
		k := key(x)
		i, known := index[k]
		if !known {
			i = len(out)
			index[k] = i
			out = append(out, nil)
		}
		out[i] = append(out[i], x)
	}
	return out
}

// paperColumn is the width of the first column: NO, ASK FIRST or YES.
const paperColumn = len("ASK FIRST") + 2

// Text writes the list as plain text of at most width cells a line (80 on an
// ordinary terminal, never less than 40). Long names wrap; no word of a flag is
// ever cut, and only our own words stand in the first column. It returns the
// writer's error.
func (l *List) Text(w io.Writer, width int) error {
	t := newText(w, width)
	t.each("", l.MoveOut...) // before anything else, the title included
	t.blank()
	may := "may it be used "
	if l.Use == hazard.Graze || l.Use == hazard.SwathGraze {
		may = "may stock go in "
	}
	t.para("", "", l.Farm+", "+l.On.Words()+": "+may+useWords(l.Use)+"? For "+ClassWords(l.Classes)+".")
	t.para("", "", l.good())
	if len(l.Rows)+len(l.Lots) > 0 || len(l.SetUp) == 0 {
		t.para("Data: ", "      ", l.Stamps+" (the oldest over the paddocks).")
	}
	if l.Unread != "" && !l.Coming {
		t.para("", "", "LAST NIGHT NOT READ "+l.Unread+".")
	}
	t.para("Rules: ", "       ", l.Rulebook.String()+".")
	if len(l.Rows) > 0 {
		t.each("", l.SetUp...)
	}
	t.each("", l.Relaxed...)
	t.each("", l.Notices...)
	if l.Use != hazard.Feed {
		t.blank()
		for i := range l.Rows {
			t.row(&l.Rows[i], l)
		}
		switch {
		case len(l.Rows) > 0:
		case len(l.SetUp) > 0:
			t.para("", "  ", l.SetUp[0])
		default:
			t.para("", "", "No paddock fits that.")
		}
	}
	t.blank()
	switch {
	case len(l.Lots) > 0:
		t.para("", "", "STORED FEED")
		for i := range l.Lots {
			t.row(&l.Lots[i], l)
		}
	case l.Use == hazard.Feed:
		t.para("", "", "No lot fits that.")
	}
	t.blank()
	t.para("", "  ", l.Old)
	t.para("", "", l.Total+".")
	t.blank()
	before := "Before you start"
	if l.Use == hazard.Graze || l.Use == hazard.SwathGraze {
		before = "Before turning out"
	}
	t.para("", "  ", before+": "+strings.Join(l.Conditions, "; ")+".")
	t.foot(&l.Head)
	return t.flush()
}

func (t *text) row(r *Row, l *List) {
	rest := strings.Repeat(" ", paperColumn)
	head := r.Name + ": " + FlagWord(r.Flag) + r.Through.tail(l.On)
	switch r.Flag {
	case hazard.Caution:
		head += ", ask first" + after(": ", l.whom())
	case hazard.Clear:
		head += " " + useWords(r.Use)
	}
	paper := PaperWord(r.Flag)
	t.para(paper+rest[len(paper):], rest, head)
	t.para(rest, rest, r.Danger)
	t.para(rest, rest, sentence(after("Classes differ: ", strings.Join(r.Differ, "; "))))
	t.para(rest, rest, r.Why+provided(r.More > 0, " ("+plural(r.More, "more reason")+")"))
	t.para(rest, rest, sentence(r.Share))
	t.para(rest, rest, sentence(r.FeedFrom))
	if r.Next != "" {
		t.para(rest, rest, "Next: "+r.Next)
	}
}
