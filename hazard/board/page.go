package board

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/hazard"
)

// Page is the morning on one page: who must leave and where to, where each herd
// stands, and the answer for each paddock and lot of feed by herd. All its texts
// are clean and in the page's language; Words has those that stand around them.
type Page struct {
	Head
	Use   hazard.Use
	Words PageWords

	Loud    []string // what goes before everything: a day nobody knows, silo gas, a relaxed rule
	Acts    []Act
	Stands  []Whereabouts
	Columns []Column
	Rows    []PageRow
	Feed    []PageRow
	Unread  string   // nights not read that can change an answer
	Rules   []string // what to do with a YES, an ASK, a NO and an animal down
	Foot    []string
}

// PageWords are the texts of a page that no answer changes.
type PageWords struct {
	Farm, Date, Good, Wrong     string // the line on top, and what counts on another day
	Herds, Rows, Feed, Why      string // heads
	NO, ASK, YES, Known, ReadBy string
	These                       string // several of which the same is said: "these {n}"

	Lang       string // the language's tag
	PageOf     string // "page {n} of {of}"
	Unreviewed string // of a translation, in both languages: nobody certified it
}

// Word is a flag as whoever opens the gate reads it. It panics on one that was
// never decided.
func (w *PageWords) Word(f hazard.Flag) string {
	switch f {
	case hazard.Hold:
		return w.NO
	case hazard.Caution:
		return w.ASK
	case hazard.Clear:
		return w.YES
	}
	panic("board: a flag that was never decided")
}

// Rule is what to do with a flag.
func (p *Page) Rule(f hazard.Flag) string { return p.Rules[f-hazard.Clear] }

// Act is what must be done before anything else.
type Act struct {
	Word, What string // "MOVE OUT NOW", "PAIRS out of NORTH SLOUGH: frost 21 Nov"
	To         string // where to, or what to do instead
	ID, Herd   string // of the paddock or lot, and of the herd if one is named
}

// Whereabouts is a herd and the paddock it stands in.
type Whereabouts struct {
	Name, Who, Where string
	Flag             hazard.Flag // Unknown: nobody logged where
	Says             string
	ID, Herd         string // of the paddock and the herd
}

// Column is a herd, or several of the same classes, or a class on a farm without
// herds.
type Column struct {
	Head    string
	Herds   []string
	Classes []hazard.Class
}

// PageRow is one paddock or lot: a flag for each column, and why in a few words.
type PageRow struct {
	ID, Name string
	Use      hazard.Use
	Flags    []hazard.Flag // by column
	Worst    hazard.Flag
	Through  Day
	Off      string // Through in words, where it is a day
	Why      string // of the worst answer, and what comes next
	Inside   []string
	MoveOut  bool
}

// maxColumns is how many herds have a column of their own; of more, those of the
// same classes share one.
const maxColumns = 5

// NewPage makes the morning's page of an assessment, for grazing unless the filter
// asks for another use. It panics on a verdict that was never decided.
func NewPage(a *hazard.Assessment, f Filter, tongue Catalog) *Page {
	s := newSpeaker(a, UnitsOf(a.History))
	s.page, s.tongue = true, tongue
	p := &Page{Head: s.head(""), Use: f.ListUse(), Columns: s.columns(f)}
	p.Words = s.pageWords(p)
	var all []hazard.Class
	for _, c := range p.Columns {
		all = append(all, c.Classes...)
	}
	for _, x := range worstFirst(s.paddocks(f), p.Use, all) {
		p.Rows = append(p.Rows, s.pageRow(&x, p, p.Use))
		if p.Use == hazard.Graze && f.Use == nil {
			if swath := x.worstOf(hazard.SwathGraze, all); swath != nil && !swath.CannotBe() {
				x.worst = swath
				row := s.pageRow(&x, p, hazard.SwathGraze)
				row.Name = s.say("{paddock}, the swath", "paddock", row.Name)
				p.Rows = append(p.Rows, row)
			}
		}
	}
	for _, x := range worstFirst(s.lots(f), hazard.Feed, all) {
		row := s.pageRow(&x, p, hazard.Feed)
		row.Why = strings.Join(filled(row.Why, s.shares(&x, p)), "; ")
		p.Feed = append(p.Feed, row)
		if gas := s.siloGas(x.lot); gas != "" {
			p.Loud = append(p.Loud, gas)
		}
	}
	hay := s.testedFeed(all)
	p.Acts = s.acts("")
	p.Stands = s.whereabouts()
	p.Unread = s.pageUnread(f, p)
	p.Rules = s.pageRules(f, p, hay)
	p.Loud = slices.Concat(filled(s.noNumbers()), p.Loud, p.Relaxed, p.Notices)
	if len(p.Rows) == 0 || len(a.History.Herds) == 0 {
		p.Loud = append(p.Loud, s.setUpNext()...)
	}
	return p
}

// unreviewed is what a page says of its translation, in English too.
const unreviewed = "Not reviewed by a certified translator."

func (s *speaker) pageWords(p *Page) PageWords {
	w := PageWords{
		Farm: p.Farm, Date: s.longDate(s.on), Good: s.t("good for TODAY only"),
		Herds: s.t("WHERE THE HERDS ARE"), Rows: s.t(mayWords[p.Use]), Feed: s.t(mayWords[hazard.Feed]), Why: s.t("why, and what next"),
		NO: s.t("NO"), ASK: s.t("ASK"), YES: s.t("YES"),
		Known: s.say("Known {time}.", "time", s.knownAt(p)), ReadBy: s.t("Read by:"),
		Lang: s.t("en"), These: s.t("these {n}"), PageOf: s.t("page {n} of {of}"),
	}
	w.Wrong = s.say("Not today? Open no gate, call {whom}. MOVE OUT still counts.", "whom", s.firstCall())
	if x := s.h.Exchange; x != nil && !x.Last.IsZero() {
		w.Known += " " + s.say("Other seats' entries up to {time}.", "time", s.momentOf(x.Last))
	}
	if s.tongue != nil {
		w.Unreviewed = strings.ToUpper(unreviewed + " " + s.t(unreviewed))
	}
	if p.Coming {
		w.Good, w.Wrong = s.t("a day to come: only if nothing else happens"), ""
	}
	return w
}

// knownAt is the time of day the page was made, with the day where it is another.
func (s *speaker) knownAt(p *Page) string {
	if p.Known == nil {
		return s.t("everything recorded")
	}
	return s.momentOf(*p.Known)
}

// mayWords are the questions of the uses.
var mayWords = [...]string{
	hazard.Graze: "MAY THEY GO IN?", hazard.GreenChop: "MAY IT BE CHOPPED FOR THEM?",
	hazard.SwathGraze: "MAY THEY GO ON THE SWATH?", hazard.CutHay: "MAY IT BE CUT FOR HAY?",
	hazard.CutSilage: "MAY IT BE CUT FOR SILAGE?", hazard.Feed: "MAY THEY BE FED?",
}

// columnWords are the classes in a word or two.
var columnWords = map[hazard.Class]string{
	hazard.BredCattle: "bred cattle", hazard.YoungCattle: "calves", hazard.OpenCattle: "cattle not bred",
	hazard.Sheep: "sheep", hazard.Goats: "goats", hazard.Horses: "horses",
}

// columns are the herds asked about; herds of one class set share a column where
// there are many.
func (s *speaker) columns(f Filter) []Column {
	var out []Column
	for _, g := range s.h.Herds {
		id := g.HerdFacts.Herd
		if g.Head != nil && *g.Head == 0 || f.Herd != "" && f.Herd != id {
			continue
		}
		classes := classesOf(s.h, id)
		if asked := f.asked(); asked != nil {
			classes = slices.DeleteFunc(herdClasses(g), func(c hazard.Class) bool { return !hasClass(asked, c) })
		}
		if len(classes) > 0 {
			head := Clean(id)
			if len(classes) < len(herdClasses(g)) { // an answer for a part of a herd is not the herd's
				head += " (" + strings.Join(texts(classes, func(c hazard.Class) string { return s.t(columnWords[c]) }), ", ") + ")"
			}
			out = append(out, Column{head, []string{id}, classes})
		}
	}
	if len(out) > maxColumns {
		var shared []Column
		for _, cs := range alike(out, func(c Column) string { return ClassWords(c.Classes) }) {
			x := Column{Classes: cs[0].Classes}
			for _, c := range cs {
				x.Herds = append(x.Herds, c.Herds...)
			}
			x.Head = strings.Join(texts(cs, func(c Column) string { return c.Head }), ", ")
			shared = append(shared, x)
		}
		out = shared
	}
	rest := f.asked() // a class that was asked for is answered for, whoever has it
	if len(out) == 0 {
		rest = f.ListClasses(s.h)
	}
	for _, c := range rest {
		if !slices.ContainsFunc(out, func(x Column) bool { return hasClass(x.Classes, c) }) {
			out = append(out, Column{Head: s.t(columnWords[c]), Classes: []hazard.Class{c}})
		}
	}
	return out
}

func (s *speaker) pageRow(x *subject, p *Page, use hazard.Use) PageRow {
	name := x.name
	if x.lot != nil {
		name = Clean(x.id)
	}
	row := PageRow{ID: x.id, Name: name, Use: use, Inside: x.herds(), MoveOut: x.move, Through: throughOf(x.worst.Flag, x.worst.Through)}
	var all []columnWhy
	for _, c := range p.Columns {
		v := needed(x.worstOf(use, c.Classes), x.id)
		row.Flags = append(row.Flags, v.Flag)
		row.Worst = max(row.Worst, v.Flag)
		all = append(all, columnWhy{c.Head, s.pageWhy(v), v})
	}
	row.Off, row.Why = s.offThrough(x.worst), s.rowWhy(all)
	return row
}

// columnWhy is why one column has its answer.
type columnWhy struct {
	head, why string
	v         *hazard.Verdict
}

// rowWhy is why most columns have the worst answer there is, and what else stands
// behind the others where it is another matter: horses never go on sorghum, whatever
// the frost did.
func (s *speaker) rowWhy(all []columnWhy) string {
	line := func(g []columnWhy) hazard.Line { return lineOf(g[0].v) }
	all = slices.DeleteFunc(all, func(c columnWhy) bool { return c.why == "" })
	groups := alike(all, func(c columnWhy) string { return fmt.Sprint(c.v.Flag, lineOf(c.v)) })
	slices.SortStableFunc(groups, func(a, b []columnWhy) int {
		x, y := gradeOf(a[0].v), gradeOf(b[0].v)
		return cmp.Or(cmp.Compare(y.flag, x.flag), asOne(line(a) == hazard.LineHorses)-asOne(line(b) == hazard.LineHorses),
			cmp.Compare(len(b), len(a)), y.compare(x))
	})
	if len(groups) == 0 {
		return ""
	}
	first := groups[0]
	for _, g := range groups[1:] {
		step := bare(s, s.step(cmp.Or(worstReason(g[0].v), &hazard.Reason{})))
		switch heads := strings.Join(texts(g, func(c columnWhy) string { return c.head }), ", "); {
		case line(g) == line(first), step != "" && strings.Contains(first[0].why, step):
		case line(g) == hazard.LineHorses && g[0].v.Flag == first[0].v.Flag: // which needs no saying there
		case line(first) == hazard.LineHorses:
			return s.brief(worstReason(first[0].v)) + "; " + heads + ": " + g[0].why
		case g[0].v.Flag == first[0].v.Flag:
			return first[0].why + "; " + heads + ": " + s.brief(worstReason(g[0].v))
		default:
			return first[0].why + "; " + heads + ": " + g[0].why
		}
	}
	return first[0].why
}

// pageWhy is why in at most about twelve words: the reason that ends last, until
// when, the step after it, and the other steps where that one is not enough.
func (s *speaker) pageWhy(v *hazard.Verdict) string {
	if v.Flag == hazard.Clear {
		if v.Bloat != fields.NoDate {
			return s.t("frosted alfalfa or clover bloats: hay first")
		}
		return ""
	}
	r := worstReason(v)
	if r == nil {
		return s.brief(nil)
	}
	why, step := s.brief(r), s.step(r)
	if r.SoftBy != nil {
		step = s.say("{vet} says it may be used, ask", "vet", s.vetName(&r.SoftBy.VetWord))
	}
	end := s.offThrough(v)
	next := strings.Join(filled(end, step), ", ")
	if end == "" {
		next = bare(s, next) // no wait stands before it
	}
	if also := s.alsoSteps(v, r); also != "" {
		next = strings.Join(filled(next, also), " + ")
	}
	return strings.Join(filled(why, next), ": ")
}

// offThrough is until when a hold runs, "" where no day ends it.
func (s *speaker) offThrough(v *hazard.Verdict) string {
	d := s.date(fields.Date(throughOf(v.Flag, v.Through)))
	if d == "" {
		return ""
	}
	return s.say("off through {day}", "day", d)
}

// brief is a reason in a few words.
func (s *speaker) brief(r *hazard.Reason) string {
	if r == nil {
		return s.t(lines[hazard.LineNone].short)
	}
	return s.fill(s.t(lines[r.Line].short), r)
}

// lineOf is the line a verdict stands on.
func lineOf(v *hazard.Verdict) hazard.Line {
	if r := worstReason(v); r != nil {
		return r.Line
	}
	return hazard.LineNone
}

// step is what comes next in a few words.
func (s *speaker) step(r *hazard.Reason) string { return s.fill(s.t(lines[r.Line].step), r) }

// alsoSteps are what else must be done before the answer gets better: the steps of the
// other reasons of its flag, of stored feed those of milder ones too, since one round of
// cores serves all tests.
func (s *speaker) alsoSteps(v *hazard.Verdict, top *hazard.Reason) string {
	said := []string{bare(s, s.step(top))}
	for _, r := range reasonsOf(v) {
		step := bare(s, s.step(r))
		told := slices.ContainsFunc(said, func(x string) bool { return strings.Contains(x, step) || x != "" && strings.Contains(step, x) })
		if r == top || step == "" || told || r.Flag == hazard.Clear || r.Flag != v.Flag && v.Use != hazard.Feed {
			continue
		}
		said = append(said, step)
	}
	also := said[1:]
	if len(also) > 3 {
		also = append(also[:2:2], s.t("more"))
	}
	return strings.Join(also, " + ")
}

// bare is a step without what joins it to a wait before it.
func bare(s *speaker, step string) string {
	for _, then := range []string{s.t("then a") + " ", s.t("then") + " "} {
		step = strings.TrimPrefix(step, then)
	}
	return step
}

// filled are the texts that say something.
func filled(texts ...string) []string {
	return slices.DeleteFunc(texts, func(t string) bool { return t == "" })
}

// whereabouts are the herds and where they stand, what must leave first.
func (s *speaker) whereabouts() []Whereabouts {
	var out []Whereabouts
	seen := map[string]bool{}
	for _, x := range s.paddocks(Filter{}) {
		for _, in := range x.inside {
			if in.worst == nil {
				continue
			}
			seen[in.id] = true
			out = append(out, Whereabouts{s.stock(&in), s.who(in.id), x.name, in.flag, s.stay(&in), x.id, in.id})
		}
	}
	for _, g := range s.h.Herds {
		if id := g.HerdFacts.Herd; !seen[id] && !(g.Head != nil && *g.Head == 0) {
			out = append(out, Whereabouts{
				Name: Clean(id), Who: s.who(id), Says: s.t("nobody has logged where they stand"), Herd: id,
			})
		}
	}
	slices.SortStableFunc(out, func(a, b Whereabouts) int { return fields.CompareNames(a.Name, b.Name) }) // as the columns
	return out
}

// stock is what stands there by its name, if anyone named it.
func (s *speaker) stock(in *inside) string { return or(Clean(in.id), s.t("stock")) }

// who is a herd in words: "85 bred cattle, calves".
func (s *speaker) who(herd string) string {
	g := s.h.Herd(herd)
	if g == nil {
		return ""
	}
	words := strings.Join(texts(herdClasses(g), func(c hazard.Class) string { return s.t(columnWords[c]) }), ", ")
	if g.Head != nil {
		words = strings.Join(filled(number(*g.Head, 0), words), " ")
	}
	return words
}

// stay is what to do with stock that is inside.
func (s *speaker) stay(in *inside) string {
	switch {
	case in.flag == hazard.Hold && in.swath:
		return s.say("move out {when}, unless fenced to the swath", "when", s.nowOr())
	case in.flag == hazard.Hold:
		return s.say("move out {when}", "when", s.nowOr())
	case in.flag == hazard.Clear:
		return ""
	case s.waitsForLastNight(in.worst):
		return s.say("{why}; a frost: move them out; none: leave them in, add none, call today", "why", s.pageWhy(in.worst))
	case in.worst.Need == hazard.NeedDecision:
		return s.say("{why}: call now; nobody answers, move them out", "why", s.pageWhy(in.worst))
	}
	return s.say("{why}; leave them in, add none, call today", "why", s.pageWhy(in.worst))
}

// nowOr is "now", or of a coming day "before Sat 12 Sep".
func (s *speaker) nowOr() string {
	if s.coming() {
		return s.say("before {day}", "day", s.dayDate(s.on))
	}
	return s.t("now")
}

// callFirst is whom to call, in order.
func (s *speaker) callFirst() string {
	switch who := s.inCharge(); len(who) {
	case 0:
		return s.t("(NO NUMBER ON FILE: write one here ____________)")
	case 1:
		return who[0]
	default:
		return s.say("{first}, then {second}", "first", who[0], "second", who[1])
	}
}

// noNumbers says who cannot be called, "" where all three have a number on file. A name
// alone rings no phone.
func (s *speaker) noNumbers() string {
	var c fields.Contacts
	if s.h.Farm.Contacts != nil {
		c = *s.h.Farm.Contacts
	}
	var who []string
	for _, x := range [][2]string{{c.Manager, s.t("the manager")}, {c.Backup, s.t("the backup")}, {c.Vet, s.t("the vet")}} {
		if !strings.ContainsAny(x[0], "0123456789") {
			who = append(who, x[1])
		}
	}
	if len(who) == 0 {
		return ""
	}
	return s.say("NO NUMBER ON FILE: {who}. Write it here ____________. To put it on file: {command}",
		"who", strings.Join(who, ", "), "command", "rimegate start")
}

func (s *speaker) vetNumber() string {
	vet := ""
	if c := s.h.Farm.Contacts; c != nil {
		vet = Clean(c.Vet)
	}
	return or(vet, s.t("(NO VET ON FILE: write a number here ____________)"))
}

// pageRules are what to do with each word and if an animal goes down.
func (s *speaker) pageRules(f Filter, p *Page, hay string) []string {
	call := s.callFirst()
	yes := s.say("YES = in at midday, never hungry, a few head first; watch them two hours. Fill them first: {hay}.", "hay", hay)
	switch p.Use {
	case hazard.GreenChop:
		yes = s.say("YES = never to hungry stock, fill them first: {hay}; feed within hours of chopping, never left overnight.", "hay", hay)
	case hazard.CutHay, hazard.CutSilage:
		yes = s.t("YES = it may be cut. Whether it may be fed is a separate question.")
	case hazard.Feed:
		yes = s.t("YES = never to hungry stock; start with a little, bring it up over days, watch them two hours.")
	}
	ask := s.say("ASK = call first: {whom}. Nobody answers: put none in.", "whom", call)
	no := s.t("NO = nobody goes in, stock inside comes out. A new frost starts the days over. Frost on the grass that this page does " +
		"not know of: open nothing, call. A step done is not a YES: log it and print a new page.")
	if p.Use != hazard.Graze && p.Use != hazard.SwathGraze {
		ask = s.say("ASK = call first: {whom}. Nobody answers: it is a NO.", "whom", call)
		no = s.t("NO = it is not done. A new frost starts the days over. A step done is not a YES: log it and print a new page.")
	}
	p.Foot = []string{
		s.say("NOT LOOKED AT: {hazards}.", "hazards", strings.Join(texts(p.NotAssessed, s.t), ", ")),
		s.t("The vet, the lab and local advice come before this page."),
	}
	p.Foot = append(p.Foot, filled(s.oldLots(f))...)
	return []string{
		yes, ask, no,
		s.say("ONE STAGGERS, GASPS, SHAKES OR GOES DOWN: others out quietly. Do not force-move the sick one. "+
			"Call vet {vet}. Put none back.", "vet", s.vetNumber()),
	}
}

// waitsForLastNight reports an answer that counts last night as not read.
func (s *speaker) waitsForLastNight(v *hazard.Verdict) bool {
	return slices.ContainsFunc(reasonsOf(v), func(r *hazard.Reason) bool {
		waits := r.Line == hazard.LineUnreadNights || r.Line == hazard.LineClock || r.Line == hazard.LineNitrateNights
		return waits && slices.Contains(unreadOf(r), s.on)
	})
}

// pageUnread names the paddocks whose last night nobody read and whose answer that can
// change; a NO stays one, and where no answer asks about the night it stays quiet.
func (s *speaker) pageUnread(f Filter, p *Page) string {
	var names, read []string
	line := math.Inf(-1)
	for _, x := range s.paddocks(f) {
		open := false
		for _, c := range p.Columns {
			v := x.worstOf(p.Use, c.Classes)
			open = open || v.Flag != hazard.Hold && s.waitsForLastNight(v)
		}
		if !open {
			continue
		}
		names = append(names, x.name)
		for _, id := range s.h.Lines(x.id) {
			set := s.h.NightSetting(id, s.on)
			for _, st := range set.Stations {
				name := Clean(st)
				if g := s.h.Station(st); g != nil {
					name = or(Clean(g.Name), name)
				}
				if !contains(read, name) {
					read = append(read, name)
				}
			}
			line = max(line, s.book.V[hazard.FrostTrigger]-set.OffsetC)
		}
	}
	if len(names) == 0 {
		return ""
	}
	return s.say("NOT READ LAST NIGHT: {paddocks}. Log the LOWEST of the night from thermometer {thermometer}: {low} or colder is a "+
		"frost: NO, and stock comes out. Warmer: log it and print this page again before a gate is opened.", "paddocks", strings.Join(names, ", "),
		"thermometer", or(strings.Join(read, ", "), s.t("nearest to them")), "low", s.u.line(line))
}
